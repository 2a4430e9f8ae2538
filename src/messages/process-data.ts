import { createColumnBuilder, type ColumnBuilder } from '../core/column-builder.ts';
import type { ProcessWriter } from '../formats/log-format.ts';
import { parseDeviceDescription, type DeviceDescription } from './device-description.ts';
import type { MessageHandler } from './message-handler.ts';
import { TASK_CONTROLLER_FUNCTION, parseName, type Sender } from './names.ts';

/** ISO 11783-10 process data: values that device and task controller send each other (messages.md 5). */
export const PROCESS_DATA = 51968;

export const NO_BUS = -1;

/** One value of one element, as sent in one direction. Raw numbers; what they mean is settled when the log has been read. */
export interface ProcessStream {
  /** `NO_BUS` when it was not logged from a bus. */
  readonly bus: number;
  readonly from: Sender;
  /** Undefined when sent to all. */
  readonly to: Sender | undefined;
  readonly element: number;
  readonly ddi: number;
  readonly column: ColumnBuilder;
}

export interface ProcessData {
  /** A device of a log that holds values by device, not messages; it gets a number, from 1, in place of an address. */
  readonly logged: (description: DeviceDescription) => ProcessWriter;
  /** Prepares for the messages of one sender to one receiver. `data` is padded to 8 bytes, or whole when longer. */
  readonly handler: (from: Sender, to: Sender | undefined) => MessageHandler;
  readonly streams: () => readonly ProcessStream[];
  /** The device a stream is about, and whether its numbers are set points rather than measurements. */
  readonly roles: (stream: ProcessStream) => { readonly device: Sender; readonly isSetPoint: boolean };
  /** Descriptions uploaded in this log, by the key of their sender. */
  readonly descriptions: () => ReadonlyMap<number, DeviceDescription>;
  /** Uploads that could not be read. */
  readonly unreadable: () => number;
}

/* Only these two commands carry a value; 4–8 carry triggers and thresholds in the same four bytes. */
const VALUE = 3;
const SET_VALUE = 10;
const DESCRIPTION = 1;
const CONTROLLER_STATUS = 14;
const CLIENT_STATUS = 15;
/** Upper nibble of command 1. */
const POOL_TRANSFER = 6;
const POOL_ACTIVATE = 8;
const POOL_DELETE = 10;
const LARGEST_POOL = 4 * 1024 * 1024;
/** Elements × data of one sender; more is noise. */
const MOST_STREAMS = 20_000;

export function createProcessData(): ProcessData {
  const streams = new Map<string, ProcessStream>();
  const controllers = new Set<Sender>();
  const clients = new Set<Sender>();
  const uploads = new Map<Sender, Uint8Array[]>();
  const descriptions = new Map<number, DeviceDescription>();
  let unreadable = 0;
  let devices = 0;

  const stream = (from: Sender, to: Sender | undefined, element: number, ddi: number): ProcessStream | undefined => {
    const key = `${from.key}/${to?.key ?? '*'}/${element}/${ddi}`;
    const known = streams.get(key);
    if (known !== undefined || streams.size >= MOST_STREAMS) return known;
    const made = { bus: from.bus, from, to, element, ddi, column: createColumnBuilder() };
    streams.set(key, made);
    return made;
  };

  const readUpload = (sender: Sender): void => {
    const parts = uploads.get(sender) ?? [];
    uploads.delete(sender);
    if (parts.length === 0) return;
    const description = parseDeviceDescription(joined(parts));
    if (description === undefined) unreadable += 1;
    else descriptions.set(sender.key, description);
  };

  const description = (from: Sender, data: Uint8Array, at: number, length: number): void => {
    const step = (data[at] as number) >> 4;
    if (step === POOL_TRANSFER) {
      clients.add(from);
      const parts = uploads.get(from) ?? [];
      const before = parts.reduce((sum, part) => sum + part.length, 0);
      if (before + length <= LARGEST_POOL) uploads.set(from, [...parts, data.slice(at + 1, at + length)]);
    } else if (step === POOL_ACTIVATE) readUpload(from);
    else if (step === POOL_DELETE) uploads.delete(from);
  };

  return {
    logged: (about) => {
      devices += 1;
      const sender: Sender = { bus: NO_BUS, key: -devices, address: devices, name: nameOf(about.name) };
      descriptions.set(sender.key, about);
      const known = new Map<number, ProcessStream>();
      return {
        push: (time, element, ddi, value) => {
          const key = element * 65_536 + ddi;
          const target = known.get(key) ?? stream(sender, undefined, element, ddi);
          if (target === undefined) return;
          known.set(key, target);
          target.column.push(time, value);
        },
      };
    },
    handler: (from, to) => {
      const known = new Map<number, ProcessStream>();
      return (times, i, data, at, length) => {
        const first = data[at] as number;
        const command = first & 15;
        if (command === VALUE || command === SET_VALUE) {
          if (length < 8) return;
          const element = first >> 4 | (data[at + 1] as number) << 4;
          const ddi = (data[at + 2] as number) | (data[at + 3] as number) << 8;
          const key = element * 65_536 + ddi;
          let target = known.get(key);
          if (target === undefined) {
            target = stream(from, to, element, ddi);
            if (target === undefined) return;
            known.set(key, target);
          }
          target.column.push(times[i] as number, (data[at + 4] as number) | (data[at + 5] as number) << 8 | (data[at + 6] as number) << 16 | (data[at + 7] as number) << 24);
        } else if (command === DESCRIPTION) description(from, data, at, length);
        else if (command === CONTROLLER_STATUS) controllers.add(from);
        else if (command === CLIENT_STATUS) clients.add(from);
      };
    },
    streams: () => [...streams.values()],
    roles: ({ from, to }) => {
      const isController = (sender: Sender | undefined): boolean =>
        sender !== undefined && (controllers.has(sender) || sender.name?.function === TASK_CONTROLLER_FUNCTION && sender.name.industryGroup === 2);
      const isSetPoint = to !== undefined && !clients.has(from) && (isController(from) || (clients.has(to) && !isController(to)));
      return isSetPoint ? { device: to, isSetPoint } : { device: from, isSetPoint: false };
    },
    descriptions: () => {
      uploads.forEach((_parts, sender) => readUpload(sender));
      return descriptions;
    },
    unreadable: () => unreadable,
  };
}

/** NAME as 16 hex digits, most significant first; undefined when it is none. */
function nameOf(hex: string): Sender['name'] {
  if (!/^[0-9a-f]{16}$/i.test(hex)) return undefined;
  return parseName(Uint8Array.from({ length: 8 }, (_, i) => Number.parseInt(hex.slice(14 - i * 2, 16 - i * 2), 16)), 0);
}

function joined(parts: readonly Uint8Array[]): Uint8Array {
  const whole = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}
