import type { LogSink } from '../log-format.ts';
import type { LoggedValue, LogHeader } from './log-header.ts';

/**
 * Slices of bus messages among a log's values (DDI 57342): put back into messages, bits that were not logged being 'not available',
 * so that the message decoders read them. A slice is logged when it changes: at each record it holds until the next, or until it is stale.
 */
export interface MessageSlices {
  readonly note: (index: number, value: number, time: number) => void;
  /** Hands the messages of one record on. */
  readonly emit: (time: number) => void;
}

/** s; a speed may be steady for minutes, but a sender that is gone is not told from a steady one. */
const STALE = 900;
/** The log names no bus address: the address of a device without one (SAE J1939-81). */
const NO_ADDRESS = 254;
const BUS = 'task data';

interface Slice {
  readonly from: number;
  readonly length: number;
  raw: number;
  time: number;
}

export function createMessageSlices(sink: LogSink, header: LogHeader): MessageSlices | undefined {
  const sliced = header.values.flatMap((value, index) => (value.slice === undefined ? [] : [{ index, ...value.slice, element: value.element }]));
  if (sliced.length === 0) return undefined;
  const bus = sink.bus(BUS);
  const byIndex = new Map<number, Slice>();
  const messages = new Map<string, { readonly pgn: number; readonly slices: Slice[] }>();
  for (const { index, pgn, from, to, element } of sliced) {
    const slice: Slice = { from, length: to - from + 1, raw: 0, time: Number.NaN };
    byIndex.set(index, slice);
    const key = `${pgn}/${element}`;
    const message = messages.get(key);
    if (message === undefined) messages.set(key, { pgn, slices: [slice] });
    else message.slices.push(slice);
  }
  const data = new Uint8Array(8);

  return {
    note: (index, value, time) => {
      const slice = byIndex.get(index);
      if (slice === undefined) return;
      slice.raw = value;
      slice.time = time;
    },
    emit: (time) => {
      for (const { pgn, slices } of messages.values()) {
        const fresh = slices.filter((slice) => Math.abs(time - slice.time) <= STALE);
        if (fresh.length === 0) continue;
        data.fill(0xff);
        for (const slice of fresh) writeBits(data, slice);
        sink.message({ time, bus, priority: 0, pgn, source: NO_ADDRESS, destination: 255, data });
      }
    },
  };
}

function writeBits(data: Uint8Array, { from, length, raw }: Slice): void {
  for (let bit = 0; bit < length; bit += 1) {
    const at = (from + bit) >> 3;
    const mask = 1 << ((from + bit) & 7);
    data[at] = (raw >>> bit & 1) === 1 ? (data[at] as number) | mask : (data[at] as number) & ~mask;
  }
}

/** Whether this value is a slice, and so no process datum of a device. */
export const isSlice = (value: LoggedValue | undefined): boolean => value?.slice !== undefined;
