import type { ColumnBuilder } from '../core/column-builder.ts';
import { making, type MessageHandler } from './message-handler.ts';
import { FRAME_BYTES, bytesNeeded, compileField, type FieldReader, type Selector } from './signal.ts';
import type { CompiledSignal } from './signal-definition.ts';

/** One signal with the column it fills. */
export interface Step {
  readonly signal: CompiledSignal;
  readonly column: ColumnBuilder;
}

/**
 * Reads the signals of messages: one whose bytes are not all there is not available, one whose selector does not fit is not in it.
 * Messages of up to eight bytes are gathered and read a column at a time; what goes into one column keeps its order.
 */
export interface StepReaders {
  /** The handler of these steps. `key` names what the columns share (bus, sender and message): they are in no other key's steps. */
  readonly handler: (key: string, steps: readonly Step[]) => MessageHandler;
  /** Reads what is still gathered. */
  readonly finish: () => void;
}

/** Messages gathered before they are read. */
const MOST_GATHERED = 128;

export function createStepReaders(): StepReaders {
  const known = new Map<string, { readonly steps: readonly Step[]; readonly reader: Reader }[]>();
  return {
    handler: (key, steps) => {
      const ofKey = known.get(key) ?? [];
      const same = ofKey.find((other) => other.steps.length === steps.length && other.steps.every((step, i) => step.signal === steps[i]?.signal && step.column === steps[i]?.column));
      if (same !== undefined) return same.reader.handler;
      const reader = steps.every((step) => step.signal.needs <= FRAME_BYTES) ? gatheringReader(steps) : messageReader(steps);
      ofKey.push({ steps, reader });
      known.set(key, ofKey);
      /* Two that fill the same columns must take turns message by message. */
      if (ofKey.length > 1) for (const each of ofKey) each.reader.readAtOnce();
      return reader.handler;
    },
    finish: () => known.forEach((ofKey) => ofKey.forEach(({ reader }) => reader.flush())),
  };
}

interface Reader {
  readonly handler: MessageHandler;
  readonly flush: () => void;
  /** From now on every message is read when it comes. */
  readonly readAtOnce: () => void;
}

/** For messages longer than a frame. */
function messageReader(steps: readonly Step[]): Reader {
  const takers = bySelector(steps, (chosen): MessageHandler => (times, i, data, at, length) => {
    for (const { signal, column } of chosen) column.push(times[i] as number, length >= signal.needs ? signal.read(data, at) : Number.NaN);
  });
  return { handler: selecting(takers), flush: () => {}, readAtOnce: () => {} };
}

function gatheringReader(steps: readonly Step[]): Reader {
  const gatherings: Reader[] = [];
  const takers = bySelector(steps, (chosen) => {
    const gathering = gather(chosen);
    gatherings.push(gathering);
    return gathering.handler;
  });
  const readAtOnce = (): void => gatherings.forEach((gathering) => gathering.readAtOnce());
  /* One column filled under several selectors. */
  if (new Set(steps.map((step) => step.column)).size < steps.length) readAtOnce();
  return { handler: selecting(takers), flush: () => gatherings.forEach((gathering) => gathering.flush()), readAtOnce };
}

/** All of these steps are in every message that comes here. */
function gather(steps: readonly Step[]): Reader {
  const time = new Float64Array(MOST_GATHERED);
  const bytes = new Uint8Array(MOST_GATHERED * FRAME_BYTES);
  const view = new DataView(bytes.buffer);
  const lengths = new Uint8Array(MOST_GATHERED);
  const values = new Float64Array(MOST_GATHERED);
  let used = 0;
  let most = MOST_GATHERED;
  let shortest = FRAME_BYTES;

  const flush = (): void => {
    for (const { signal, column } of steps) {
      signal.readMany(view, used, values);
      if (shortest < signal.needs) for (let i = 0; i < used; i += 1) if ((lengths[i] as number) < signal.needs) values[i] = Number.NaN;
      column.append(time, values, used);
    }
    used = 0;
    shortest = FRAME_BYTES;
  };

  return {
    handler: making((times, i, data, at, length) => {
      time[used] = times[i] as number;
      const to = used * FRAME_BYTES;
      for (let byte = 0; byte < FRAME_BYTES; byte += 1) bytes[to + byte] = data[at + byte] as number;
      lengths[used] = Math.min(length, FRAME_BYTES);
      if (length < shortest) shortest = length;
      used += 1;
      if (used >= most) flush();
    }),
    flush,
    readAtOnce: () => {
      flush();
      most = 1;
    },
  };
}

/** What takes every message, and what takes those whose selector has one value: one read finds them all. */
interface Takers {
  readonly always: MessageHandler | undefined;
  readonly choices: readonly { readonly read: FieldReader; readonly needs: number; readonly byValue: ReadonlyMap<number, MessageHandler> }[];
}

function selecting({ always, choices }: Takers): MessageHandler {
  if (always !== undefined && choices.length === 0) return always;
  return making((times, i, data, at, length) => {
    always?.(times, i, data, at, length);
    for (const choice of choices) {
      if (length >= choice.needs) choice.byValue.get(choice.read(data, at))?.(times, i, data, at, length);
    }
  });
}

function bySelector(steps: readonly Step[], take: (steps: readonly Step[]) => MessageHandler): Takers {
  const always: Step[] = [];
  const fields = new Map<string, { readonly selector: Selector; readonly byValue: Map<number, Step[]> }>();
  for (const step of steps) {
    const { selector } = step.signal.definition;
    if (selector === undefined) {
      always.push(step);
      continue;
    }
    const key = JSON.stringify([selector.startBit, selector.length, selector.byteOrder ?? 'little']);
    const field = fields.get(key) ?? { selector, byValue: new Map<number, Step[]>() };
    fields.set(key, field);
    field.byValue.set(selector.equals, [...field.byValue.get(selector.equals) ?? [], step]);
  }
  return {
    always: always.length === 0 ? undefined : making(take(always)),
    choices: [...fields.values()].map(({ selector, byValue }) => ({
      read: compileField(selector), needs: bytesNeeded(selector), byValue: new Map([...byValue].map(([value, chosen]) => [value, take(chosen)])),
    })),
  };
}
