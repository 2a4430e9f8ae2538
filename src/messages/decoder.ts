import type { MessageSummary } from '../../shared/day.ts';
import type { DecodedLog, FrameBatch, FrameDecoder, WholeMessage } from '../formats/log-format.ts';
import { createChannelBook, orderByTrust, withoutIdleSwitches } from './channel-book.ts';
import { decodedNotes } from './decoded-notes.ts';
import { createDispatch, type Dispatch } from './dispatch.ts';
import { createHandlers } from './handlers.ts';
import { EXTENDED, GLOBAL_ADDRESS, formatIdentifier, parseIdentifier } from './identifier.ts';
import { messageName } from './known-messages.ts';
import { processChannels } from './process-channels.ts';
import type { SignalDefinition } from './signal-definition.ts';

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
  const book = createChannelBook();
  const handlers = createHandlers(context.signals, book, {
    deliver: (pgn, { bus, source, destination }, time, data) => deliver(pgn, bus, source, destination, time, data),
    changed: (bus, addresses) => {
      frames.renew(bus, addresses);
      whole.renew(bus, addresses);
    },
  });
  const frames = createDispatch((id, bus) => handlers.prepare(id, bus, false));
  /* Messages the log or a transfer gives whole: apart, because there a fast packet must not be put together again. */
  const whole = createDispatch((id, bus) => handlers.prepare(id, bus, true));
  let untimed = 0;

  const deliver = (pgn: number, bus: number, source: number, destination: number, time: number, data: Uint8Array): void => {
    whole.handle(formatIdentifier({ priority: 0, pgn, source, destination }), bus, Float64Array.of(time), 0, data.length < 8 ? padded(data) : data, 0, data.length);
  };

  return {
    frames: (batch: FrameBatch) => {
      const { count, id, bus, time, length, data } = batch;
      let without = 0;
      for (let i = 0; i < count; i++) {
        if (Number.isNaN(time[i])) without += 1;
        frames.handle(id[i] as number, bus[i] as number, time, i, data, i * 8, length[i] as number);
      }
      untimed += without;
    },
    message: (message: WholeMessage) => {
      if (Number.isNaN(message.time)) untimed += 1;
      deliver(message.pgn, message.bus, message.source, message.destination, message.time, message.data);
    },
    device: handlers.processData.logged,
    finish: (): DecodedLog => {
      handlers.finish();
      const busNames = context.busNames();
      const messages = summarise(context.file, busNames, [frames, whole]);
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
        ...(frames.table.overflow() === 0 ? [] : [`${frames.table.overflow()} frames were not looked at: more than ${frames.table.size()} different identifiers is not a working bus.`]),
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
function summarise(file: string, busNames: readonly string[], parts: readonly Dispatch[]): readonly MessageSummary[] {
  const lines = new Map<string, MessageSummary>();
  for (const { table, handler } of parts) {
    for (let slot = 0; slot < table.size(); slot++) {
      const id = table.id(slot);
      const parsed = parseIdentifier(id);
      const tally = table.tally(slot);
      const key = parsed === undefined ? `${table.bus(slot)}/id/${id}` : `${table.bus(slot)}/${parsed.pgn}/${parsed.source}`;
      const before = lines.get(key);
      lines.set(key, {
        file,
        bus: busNames[table.bus(slot)] ?? String(table.bus(slot)),
        ...(parsed === undefined ? { id: plainId(id), name: id >= EXTENDED ? 'Not J1939 (extended data page)' : '11-bit identifier' }
          : { pgn: parsed.pgn, sourceAddress: parsed.source, name: messageName(parsed.pgn) }),
        count: tally.count + (before?.count ?? 0),
        first: earlier(tally.first, before?.first),
        last: -earlier(-tally.last, before === undefined ? undefined : -before.last),
        decoded: handler(slot)?.makesChannels === true || before?.decoded === true,
      });
    }
  }
  const number = (line: MessageSummary): number => line.pgn ?? line.id ?? 0;
  const sender = (line: MessageSummary): number => line.sourceAddress ?? GLOBAL_ADDRESS;
  return [...lines.values()].sort((a, b) => a.bus.localeCompare(b.bus) || number(a) - number(b) || sender(a) - sender(b));
}

const plainId = (id: number): number => id & 0x1fffffff;

function earlier(a: number, b: number | undefined): number {
  if (b === undefined || Number.isNaN(b)) return a;
  return Number.isNaN(a) ? b : Math.min(a, b);
}
