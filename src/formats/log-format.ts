import type { Channel } from '../../shared/channel.ts';
import type { MessageSummary } from '../../shared/day.ts';

/**
 * What every log format gives to the reader above it. A format turns bytes into frames, whole messages or samples,
 * and accounts for every byte: accepted, rejected (with place and reason) or ignored by rule.
 */
export interface LogFormat {
  readonly meta: { readonly id: string; readonly title: string };
  /** 0 = certainly not mine … 1 = certainly mine; `head` is the first 64 KiB (less when the file is shorter). */
  readonly sniff: (head: Uint8Array) => number;
  /** Reads to the end. Bad records go to the sink; throws InputError only when nothing at all can be read. */
  readonly read: (bytes: AsyncIterable<Uint8Array>, sink: LogSink, context?: ReadingContext) => Promise<void>;
}

/** What a format cannot know from the bytes. */
export interface ReadingContext {
  /** IANA zone of clock times written without one; UTC when left out. */
  readonly zone?: string;
  /** The file's own name, for formats of several files that belong together by name. */
  readonly fileName?: string;
  /** Opens the file of this name (in any case) that lies in the same folder or archive; undefined when there is none. */
  readonly beside?: (name: string) => Promise<AsyncIterable<Uint8Array> | undefined>;
  /** Heading of the time column and its unit, when a columns file names one. */
  readonly timeColumn?: { readonly heading: string; readonly unit?: string };
}

export interface LogSink {
  /** Index of a bus by its interface name, for `FrameBatch.bus`. */
  readonly bus: (name: string) => number;
  /** The batch and its arrays are reused after the call returns. */
  readonly frames: (batch: FrameBatch) => void;
  /** A message that the log already holds whole (longer than one frame). `data` may be reused. */
  readonly message: (message: WholeMessage) => void;
  /** Opens a sampled column with a clock of its own, for formats without frames. */
  readonly column: (heading: ColumnHeading) => ColumnWriter;
  /** Opens columns that share one clock, for formats whose records are rows. */
  readonly table: (headings: readonly ColumnHeading[]) => TableWriter;
  /** Opens the process data of one device, for formats that hold them by element and number (ISO 11783-10). */
  readonly device: (description: DeviceDescription) => ProcessWriter;
  readonly accepted: (bytes: number, records: number) => void;
  readonly rejected: (place: { readonly offset: number; readonly line?: number }, bytes: number, reason: string) => void;
  readonly ignored: (bytes: number, rule: string, records?: number) => void;
  readonly note: (sentence: string) => void;
}

/** CAN frames as columns; `count` of them are filled. Identifier flags as in SocketCAN. */
export interface FrameBatch {
  count: number;
  /** Seconds since 1970 UTC, as logged (NaN = no time in the log). */
  readonly time: Float64Array;
  /** Identifier; 29-bit ones carry bit 31 (EXTENDED_FRAME). Remote and error frames never get here. */
  readonly id: Uint32Array;
  readonly bus: Uint8Array;
  /** Data length 0–8. */
  readonly length: Uint8Array;
  /** 8 bytes per frame, padded with 0xFF. */
  readonly data: Uint8Array;
}

export const EXTENDED_FRAME = 0x80000000;
/** Small enough that a batch stays in a core's own cache while it is filled and emptied: 180 kB. */
export const BATCH_FRAMES = 8192;

export function createFrameBatch(capacity = BATCH_FRAMES): FrameBatch {
  return {
    count: 0,
    time: new Float64Array(capacity),
    id: new Uint32Array(capacity),
    bus: new Uint8Array(capacity),
    length: new Uint8Array(capacity),
    data: new Uint8Array(capacity * 8),
  };
}

export interface WholeMessage {
  readonly time: number;
  readonly bus: number;
  readonly priority: number;
  readonly pgn: number;
  readonly source: number;
  readonly destination: number;
  readonly data: Uint8Array;
}

/** A sampled column as headed in the log; what it means is settled above the format (columns.json, contract 3). */
export interface ColumnHeading {
  /** Heading text, e.g. `wheel.speed [km/h]`. */
  readonly text: string;
}

export interface ColumnWriter {
  /** `time` in seconds since 1970 UTC as logged (or from the log's start), `value` in the heading's unit. */
  readonly push: (time: number, value: number) => void;
}

export interface TableWriter {
  /**
   * Appends `count` rows: `times[row]` as for `ColumnWriter.push`, `values[column][row]` in the heading's unit, NaN = no sample.
   * The arrays are reused after the call returns.
   */
  readonly rows: (times: Float64Array, values: readonly Float64Array[], count: number) => void;
}

/** Values of one device; raw numbers of the data dictionary (ISO 11783-11). `time` as for `ColumnWriter.push`. */
export interface ProcessWriter {
  readonly push: (time: number, element: number, ddi: number, value: number) => void;
}

/** A device as it describes itself (ISO 11783-10 A.2–A.6): which element numbers are tanks, sections, rows, and what their process data are called. */
export interface DeviceDescription {
  readonly designator: string;
  readonly softwareVersion: string;
  /** NAME, 16 hex digits, most significant first. */
  readonly name: string;
  readonly elements: readonly DeviceElement[];
}

/** Kinds of element in the order of their numbers. */
export const ELEMENT_TYPES = ['other', 'device', 'function', 'bin', 'section', 'unit', 'connector', 'navigation'] as const;
export type ElementType = (typeof ELEMENT_TYPES)[number];

export interface DeviceElement {
  readonly objectId: number;
  readonly type: ElementType;
  readonly designator: string;
  /** What process data carry. */
  readonly number: number;
  /** Object id of the parent element or of the device. */
  readonly parent: number;
  /** Process data and fixed properties of the element. */
  readonly data: readonly ElementData[];
}

export interface ElementData {
  readonly ddi: number;
  readonly designator: string;
  /** Raw value of a fixed property; undefined for process data, which are measured. */
  readonly value: number | undefined;
}

/** What turns one log's frames and whole messages into channels; made by `createDecoder` of src/messages/decoder.ts. */
export interface FrameDecoder {
  readonly frames: (batch: FrameBatch) => void;
  readonly message: (message: WholeMessage) => void;
  readonly device: (description: DeviceDescription) => ProcessWriter;
  /** Called once, after the last frame. */
  readonly finish: () => DecodedLog;
}

export interface DecodedLog {
  /** `time` in seconds since 1970 UTC as logged, in file order: not yet shifted to the day's start. */
  readonly channels: readonly Channel[];
  readonly messages: readonly MessageSummary[];
  readonly notes: readonly string[];
}
