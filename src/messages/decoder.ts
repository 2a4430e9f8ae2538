import type { MessageSummary } from '../../shared/day.ts';
import type { DecodedLog, FrameBatch, FrameDecoder, WholeMessage } from '../formats/log-format.ts';
import { createChannelBook, orderByTrust, withoutIdleSwitches } from './channel-book.ts';
import { decodedNotes } from './decoded-notes.ts';
import { GLOBAL_ADDRESS, formatIdentifier, parseIdentifier } from './identifier.ts';
import { createHandlers, type MessageHandler } from './handlers.ts';
import { messageName } from './known-messages.ts';
import { processChannels } from './process-channels.ts';
import type { SignalDefinition } from './signal-definition.ts';
import { createSlotTable, type SlotTable } from './slot-table.ts';

export interface DecoderContext {
  /** Name of the log, for the channels' source. */
  readonly file: string;
  /** Interface names by bus index, asked for at the end. */
  readonly busNames: () => readonly string[];
  /** From signals.json or a DBC file. */
  readonly signals: readonly SignalDefinition[];
}

/**
 * Turns frames into channels. Per frame: one look-up by identifier and bus, then the handler prepared for it, or nothing.
 * Times stay as logged, also where the log's clock was set back.
 */
export function createDecoder(context: DecoderContext): FrameDecoder {
  const frames = createSlotTable();
  /* Messages the log or a transfer gives whole: apart, because there a fast packet must not be put together again. */
  const whole = createSlotTable();
  const frameHandlers: (MessageHandler | undefined)[] = [];
  const wholeHandlers: (MessageHandler | undefined)[] = [];
  const book = createChannelBook();
  let untimed = 0;

  const handlers = createHandlers(context.signals, book, {
    deliver: (pgn, address, time, data) => deliver(pgn, address.bus, address.source, address.destination, time, data),
    changed: (bus, addresses) => {
      renew(frames, frameHandlers, bus, addresses, false);
      renew(whole, wholeHandlers, bus, addresses, true);
    },
  });

  /** A sender changed: prepare again what comes from, or goes to, these addresses. */
  const renew = (table: SlotTable, prepared: (MessageHandler | undefined)[], bus: number, addresses: readonly number[], isWhole: boolean): void => {
    for (let slot = 0; slot < prepared.length; slot++) {
      if (table.bus(slot) !== bus) continue;
      const parts = parseIdentifier(table.id(slot));
      if (parts !== undefined && (addresses.includes(parts.source) || addresses.includes(parts.destination))) prepared[slot] = handlers.prepare(table.id(slot), bus, isWhole);
    }
  };

  const deliver = (pgn: number, bus: number, source: number, destination: number, time: number, data: Uint8Array): void => {
    const id = formatIdentifier({ priority: 0, pgn, source, destination });
    const slot = whole.slot(id, bus);
    if (slot < 0) return;
    if (slot === wholeHandlers.length) wholeHandlers.push(handlers.prepare(id, bus, true));
    whole.count(slot, time);
    wholeHandlers[slot]?.(time, data.length < 8 ? padded(data) : data, 0, data.length);
  };

  return {
    frames: (batch: FrameBatch) => {
      const { count, id, bus, time, length, data } = batch;
      for (let i = 0; i < count; i++) {
        const slot = frames.slot(id[i] as number, bus[i] as number);
        if (slot < 0) continue;
        if (slot === frameHandlers.length) frameHandlers.push(handlers.prepare(id[i] as number, bus[i] as number, false));
        const at = time[i] as number;
        frames.count(slot, at);
        const handler = frameHandlers[slot];
        if (handler !== undefined) handler(at, data, i * 8, length[i] as number);
      }
      for (let i = 0; i < count; i++) if (Number.isNaN(time[i])) untimed += 1;
    },
    message: (message: WholeMessage) => {
      if (Number.isNaN(message.time)) untimed += 1;
      deliver(message.pgn, message.bus, message.source, message.destination, message.time, message.data);
    },
    finish: (): DecodedLog => {
      const busNames = context.busNames();
      const messages = summarise(context.file, busNames, [{ table: frames, handlers: frameHandlers }, { table: whole, handlers: wholeHandlers }]);
      const process = processChannels(handlers.processData, context.file, busNames);
      const finished = book.finish(context.file, busNames);
      const { used, unused } = withoutIdleSwitches([...finished.ranked, ...process.ranked]);
      const channels = orderByTrust(used);
      const notes = [
        ...decodedNotes(channels, finished.empty),
        ...(unused === 0 ? [] : ['A hitch or start/stop switch that never came on was left out of implement.working: it says nothing of a towed machine.']),
        ...process.notes,
        ...handlers.notes(),
        ...(untimed === 0 ? [] : [`Records without a time stamp: ${untimed}. Their values cannot be placed in the day and are left out.`]),
        ...(frames.overflow() === 0 ? [] : [`${frames.overflow()} frames were not looked at: more than ${frames.size()} different identifiers is not a working bus.`]),
      ];
      return { channels, messages, notes };
    },
  };
}

function padded(data: Uint8Array): Uint8Array {
  const eight = new Uint8Array(8).fill(0xff);
  eight.set(data);
  return eight;
}

/** One line per parameter group and sender, or per identifier where there is no parameter group. */
function summarise(file: string, busNames: readonly string[], parts: readonly { readonly table: SlotTable; readonly handlers: readonly (MessageHandler | undefined)[] }[]): readonly MessageSummary[] {
  const lines = new Map<string, MessageSummary>();
  for (const { table, handlers } of parts) {
    for (let slot = 0; slot < handlers.length; slot++) {
      const id = table.id(slot);
      const parsed = parseIdentifier(id);
      const tally = table.tally(slot);
      const key = parsed === undefined ? `${table.bus(slot)}/id/${id}` : `${table.bus(slot)}/${parsed.pgn}/${parsed.source}`;
      const before = lines.get(key);
      lines.set(key, {
        file,
        bus: busNames[table.bus(slot)] ?? String(table.bus(slot)),
        ...(parsed === undefined ? { id: id & 0x1fffffff, name: id > 0x7fffffff ? 'Not J1939 (extended data page)' : '11-bit identifier' }
          : { pgn: parsed.pgn, sourceAddress: parsed.source, name: messageName(parsed.pgn) }),
        count: tally.count + (before?.count ?? 0),
        first: earlier(tally.first, before?.first),
        last: -earlier(-tally.last, before === undefined ? undefined : -before.last),
        decoded: handlers[slot]?.makesChannels === true || before?.decoded === true,
      });
    }
  }
  return [...lines.values()].sort((a, b) => a.bus.localeCompare(b.bus) || (a.pgn ?? a.id ?? 0) - (b.pgn ?? b.id ?? 0) || (a.sourceAddress ?? GLOBAL_ADDRESS) - (b.sourceAddress ?? GLOBAL_ADDRESS));
}

function earlier(a: number, b: number | undefined): number {
  if (b === undefined || Number.isNaN(b)) return a;
  return Number.isNaN(a) ? b : Math.min(a, b);
}
