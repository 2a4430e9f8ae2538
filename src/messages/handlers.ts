import { channelKind } from '../../shared/channel-names.ts';
import type { ColumnBuilder } from '../core/column-builder.ts';
import type { ChannelBook } from './channel-book.ts';
import { timeMessages, type TimeDefinition } from './decoders/time-date.ts';
import { createFastPacketAssembler } from './fast-packet.ts';
import { GLOBAL_ADDRESS, parseIdentifier, type Identifier } from './identifier.ts';
import { knownSignals } from './known-messages.ts';
import { both, making, type MessageHandler } from './message-handler.ts';
import { createNames, parseName, type Sender } from './names.ts';
import { isFastPacket } from './nmea2000-field.ts';
import { PROCESS_DATA, createProcessData, type ProcessData } from './process-data.ts';
import { compileSignal, type CompiledSignal, type SignalDefinition } from './signal-definition.ts';
import { createStepReaders, type Step } from './steps.ts';
import { ETP_CONTROL, ETP_DATA, TP_CONTROL, TP_DATA, createTransport, type Delivery } from './transport.ts';

export interface Handlers {
  /** The handler of an identifier on a bus; undefined when nothing is to be done but count. */
  readonly prepare: (id: number, bus: number, isWhole: boolean) => MessageHandler | undefined;
  readonly processData: ProcessData;
  /** After the last message: what was gathered goes into its columns. */
  readonly finish: () => void;
  readonly notes: () => readonly string[];
}

export interface HandlerEvents {
  readonly deliver: Delivery;
  /** The senders behind these addresses changed: their handlers must be prepared anew. */
  readonly changed: (bus: number, addresses: readonly number[]) => void;
}

const ADDRESS_CLAIM = 60928;
const TRANSFER_GROUPS = new Set([TP_CONTROL, TP_DATA, ETP_CONTROL, ETP_DATA]);
const timeOf = new Map<number, TimeDefinition>(timeMessages.map((message) => [message.pgn, message]));

export function createHandlers(userSignals: readonly SignalDefinition[], book: ChannelBook, events: HandlerEvents): Handlers {
  const names = createNames();
  const processData = createProcessData();
  const byGroup = new Map<number, CompiledSignal[]>();
  const byId = new Map<number, CompiledSignal[]>();
  for (const definition of userSignals) {
    const compiled = compileSignal(definition);
    if (definition.id !== undefined) append(byId, definition.id, compiled);
    if (definition.pgn !== undefined) append(byGroup, definition.pgn, compiled);
  }
  const signalsOf = (pgn: number): readonly CompiledSignal[] => [...(byGroup.get(pgn) ?? []), ...(knownSignals.get(pgn) ?? [])];
  const isWanted = (pgn: number): boolean => pgn === PROCESS_DATA || timeOf.has(pgn) || byGroup.has(pgn) || knownSignals.has(pgn);
  const transport = createTransport(isWanted, events.deliver);
  const readers = createStepReaders();
  let lostPackets = 0;

  const columnOf = (signal: CompiledSignal, bus: number, sender: Sender | undefined, origin: string): ColumnBuilder => {
    const { channel, spn, pgn, trust } = signal.definition;
    /* The rank keeps a user's own reading of a message apart from the standard one. */
    return book.entry(`${origin}/${trust}/${channel}`, () => ({
      id: channel, unit: channelKind(channel)?.unit ?? '1', trust, bus, sender,
      origin: { ...(pgn === undefined ? {} : { pgn }), ...(spn === undefined ? {} : { spn }) },
    })).column;
  };

  const fitsSource = (signal: CompiledSignal, sender: Sender | undefined, address: number | undefined): boolean => {
    const { source } = signal.definition;
    if (source === undefined) return true;
    return typeof source === 'number' ? source === address : source === sender?.name?.hex;
  };

  /** Reads those of the signals that this sender may give; `group`: the parameter group or identifier they are found by. */
  const signalHandler = (signals: readonly CompiledSignal[], bus: number, sender: Sender | undefined, address: number | undefined, group: number): { readonly handler: MessageHandler; readonly needs: number } | undefined => {
    if (signals.length === 0) return undefined;
    const origin = `${bus}/${sender?.key ?? '-'}/${group}`;
    const steps = signals.filter((signal) => fitsSource(signal, sender, address)).map((signal): Step => ({ signal, column: columnOf(signal, bus, sender, origin) }));
    return steps.length === 0 ? undefined : { handler: readers.handler(origin, steps), needs: Math.max(...steps.map((step) => step.signal.needs)) };
  };

  const claimHandler = (bus: number, address: number): MessageHandler => (_times, _i, data, at, length) => {
    if (length < 8) return;
    const addresses = names.claim(bus, address, parseName(data, at));
    if (addresses.length > 0) events.changed(bus, addresses);
  };

  const timeHandler = (message: TimeDefinition, bus: number, sender: Sender): MessageHandler => {
    const { column } = book.entry(`${bus}/${sender.key}/${message.pgn}/clock`, () => ({
      id: 'clock.offset', unit: 's', trust: message.trust, bus, sender, origin: { pgn: message.pgn },
    }));
    return making((times, i, data, at, length) => {
      const time = times[i] as number;
      if (length >= message.needs) column.push(time, message.utc(data, at) - time);
    });
  };

  const prepareGroup = (parts: Identifier, bus: number, signals: readonly CompiledSignal[], isWhole: boolean): MessageHandler | undefined => {
    const sender = names.sender(bus, parts.source);
    const read = signalHandler(signals, bus, sender, parts.source, parts.pgn);
    const time = timeOf.get(parts.pgn);
    const content = both(read?.handler, time === undefined ? undefined : timeHandler(time, bus, sender));
    if (content === undefined || isWhole || !isFastPacket(parts.pgn, read?.needs ?? 0)) return content;
    const assembler = createFastPacketAssembler(() => {
      lostPackets += 1;
    });
    return making((times, i, data, at) => {
      if (assembler.push(times[i] as number, data, at)) content(times, i, assembler.data, 0, assembler.length());
    });
  };

  /** What address claims, transfers and process data need, whatever signals are read from them besides. */
  const protocolHandler = ({ pgn, source, destination }: Identifier, bus: number): MessageHandler | undefined => {
    if (pgn === ADDRESS_CLAIM) return claimHandler(bus, source);
    if (TRANSFER_GROUPS.has(pgn)) {
      const address = { bus, source, destination };
      return (times, i, data, at) => transport.push(pgn, address, times[i] as number, data, at);
    }
    if (pgn !== PROCESS_DATA) return undefined;
    return making(processData.handler(names.sender(bus, source), destination === GLOBAL_ADDRESS ? undefined : names.sender(bus, destination)));
  };

  return {
    processData,
    finish: readers.finish,
    prepare: (id, bus, isWhole) => {
      const parts = parseIdentifier(id);
      const exact = isWhole ? [] : byId.get(id) ?? [];
      const sender = parts === undefined ? undefined : names.sender(bus, parts.source);
      const ownHandler = signalHandler(exact, bus, sender, parts?.source, id)?.handler;
      if (parts === undefined) return ownHandler;
      return both(both(ownHandler, protocolHandler(parts, bus)), prepareGroup(parts, bus, signalsOf(parts.pgn), isWhole));
    },
    notes: () => [
      ...(lostPackets === 0 ? [] : [`Fast packets that could not be put together because frames are missing from the log: ${lostPackets}.`]),
      ...(transport.lost() === 0 ? [] : [`Long transfers that were aborted, or whose frames are missing from the log: ${transport.lost()}.`]),
    ],
  };
}

function append<K, V>(map: Map<K, V[]>, key: K, value: V): void {
  const list = map.get(key);
  if (list === undefined) map.set(key, [value]);
  else list.push(value);
}
