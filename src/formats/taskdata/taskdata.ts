import { InputError } from '../../core/errors.ts';
import { createZoneClock } from '../csv/zone-clock.ts';
import type { DeviceDescription, LogFormat, LogSink, ProcessWriter, ReadingContext } from '../log-format.ts';
import { readLogHeader, type LogHeader } from './log-header.ts';
import { readRecords, type LogRecord } from './log-records.ts';
import { createMessageSlices, isSlice } from './message-slices.ts';
import { createPositionTable, type PositionTable } from './position-table.ts';
import { FURTHER_ROOT, TASK_ROOT, readTaskFiles, type TaskFile, type TimeLogReference } from './task-file.ts';
import { readXml, type XmlElement } from './xml-elements.ts';

/** ISO 11783-10 task data: TASKDATA.XML with the time logs (TLG*.XML and TLG*.BIN) beside it, or one such time log by itself. */
export const taskdata: LogFormat = {
  meta: { id: 'taskdata', title: 'ISO 11783-10 task data' },

  sniff: (head) => {
    const text = Buffer.from(head.buffer, head.byteOffset, Math.min(head.length, 65_536)).toString('latin1');
    const first = /<([A-Za-z_][\w.-]*)[\s/>]/.exec(text.replace(/<!--.*?(?:-->|$)/gs, ''))?.[1];
    if (first === TASK_ROOT) return 1;
    return first === 'TIM' && text.includes('<DLV') ? 0.9 : 0;
  },

  read: async (bytes, sink, context = {}) => {
    const { root, bytes: size, problem } = await readXml(bytes);
    if (root === undefined || (root.name !== TASK_ROOT && root.name !== 'TIM')) {
      throw new InputError('no-task-data', `This is no ISO 11783-10 task data${problem === undefined ? '' : `: ${problem}`}.`, 'Give TASKDATA.XML, the folder it lies in, or a zip of that folder.');
    }
    sink.accepted(size, 0);
    if (problem !== undefined) sink.note(`The XML is not well-formed, what comes before the fault is used: ${problem}.`);
    const task = root.name === TASK_ROOT ? readTaskFiles([root, ...(await furtherRoots(root, sink, context))]) : lonelyLog(context.fileName ?? '');
    /* A header that is not whole numbers its values wrongly. */
    if (root.name === 'TIM' && problem !== undefined) throw new InputError('no-time-logs', `The header of this time log is damaged: ${problem}.`, 'Look for another copy of it.');
    await readLogs(task, root.name === 'TIM' ? root : undefined, sink, context);
  },
};

interface LoadedLog extends TimeLogReference {
  readonly header: LogHeader;
  readonly bytes: Uint8Array;
}

/** A header given without the task file: its values belong to devices of which nothing is known. */
function lonelyLog(fileName: string): TaskFile {
  return { devices: [], elements: new Map(), furtherFiles: [], logs: [{ name: fileName.replace(/\.xml(?:\.gz|\.zst)?$/i, ''), zoneOffset: undefined }] };
}

async function furtherRoots(root: XmlElement, sink: LogSink, context: ReadingContext): Promise<readonly XmlElement[]> {
  const roots: XmlElement[] = [];
  for (const name of readTaskFiles([root]).furtherFiles) {
    const file = await context.beside?.(`${name}.XML`);
    if (file === undefined) {
      sink.note(`${name}.XML, to which the task data refer, is missing.`);
      continue;
    }
    const { root: further, bytes } = await readXml(file);
    sink.accepted(bytes, 0);
    if (further?.name === FURTHER_ROOT) roots.push(further);
  }
  return roots;
}

async function readLogs(task: TaskFile, ownHeader: XmlElement | undefined, sink: LogSink, context: ReadingContext): Promise<void> {
  const loaded: LoadedLog[] = [];
  const missing: string[] = [];
  for (const reference of task.logs) {
    const log = await load(reference, ownHeader, sink, context);
    if (log === undefined) missing.push(reference.name);
    else loaded.push(log);
  }
  if (loaded.length === 0) {
    const which = missing.length === 0 ? 'it names none' : `${missing.slice(0, 5).join(', ')}${missing.length > 5 ? ', …' : ''} not found beside it`;
    throw new InputError('no-time-logs', `No time log with values was found: ${which}.`, 'The values are in the TLG*.XML and TLG*.BIN files: give the whole folder, or a zip of it.');
  }
  if (missing.length > 0) sink.note(`Time logs that are missing or have no header: ${missing.join(', ')}.`);

  const writers = createWriters(task, sink);
  const positions = createPositionTable(sink);
  const clock = createZoneClock(context.zone ?? 'UTC');
  const readers = loaded.map((log) => {
    const { zoneOffset } = log;
    return createLogReader(log, writers, positions, zoneOffset === undefined ? clock.toUtc : (wall) => wall - zoneOffset, sink);
  });
  inOrderOfTime(readers);
  if (loaded.some(({ zoneOffset }) => zoneOffset === undefined)) sink.note(`The time logs name no zone: read as ${context.zone ?? 'UTC'}.`);
  for (const note of clock.notes()) sink.note(note);
}

async function load(reference: TimeLogReference, ownHeader: XmlElement | undefined, sink: LogSink, { beside }: ReadingContext): Promise<LoadedLog | undefined> {
  let root = ownHeader;
  if (root === undefined) {
    const file = await beside?.(`${reference.name}.XML`);
    if (file === undefined) return undefined;
    const document = await readXml(file);
    sink.accepted(document.bytes, 0);
    root = document.problem === undefined ? document.root : undefined;
  }
  const header = root === undefined ? undefined : readLogHeader(root);
  const binary = header === undefined ? undefined : await beside?.(`${reference.name}.BIN`);
  if (header === undefined || binary === undefined) return undefined;
  const pieces: Uint8Array[] = [];
  for await (const piece of binary) pieces.push(piece.slice());
  return { ...reference, header, bytes: new Uint8Array(Buffer.concat(pieces)) };
}

/** One time log, read record by record. */
interface LogReader {
  /** The time of the record that `take` would hand on; undefined at the end. */
  readonly next: () => number | undefined;
  readonly take: () => void;
}

/** Tasks may run side by side: their records are handed on as the one machine wrote them. */
function inOrderOfTime(readers: readonly LogReader[]): void {
  for (;;) {
    let first: LogReader | undefined;
    let earliest = Number.POSITIVE_INFINITY;
    for (const reader of readers) {
      const time = reader.next();
      if (time !== undefined && time < earliest) {
        first = reader;
        earliest = time;
      }
    }
    if (first === undefined) return;
    first.take();
  }
}

function createLogReader({ name, header, bytes }: LoadedLog, writers: Writers, positions: PositionTable, toUtc: (wall: number) => number, sink: LogSink): LogReader {
  const slices = createMessageSlices(sink, header);
  const targets = header.values.map((value) => (isSlice(value) ? undefined : { ...writers.of(value.element), ddi: value.ddi }));
  const records = readRecords(bytes, header, (offset, size, reason) => sink.rejected({ offset }, size, `${name}.BIN: ${reason}`));
  let record: LogRecord | undefined;
  let time: number | undefined;
  const advance = (): void => {
    const { value, done } = records.next();
    record = done === true ? undefined : value;
    time = record === undefined ? undefined : toUtc(record.wall);
  };
  advance();

  return {
    next: () => time,
    take: () => {
      if (record === undefined || time === undefined) return;
      positions.push(time, record.position);
      for (let i = 0; i < record.count; i += 1) {
        const at = record.index[i] as number;
        const target = targets[at];
        if (target === undefined) slices?.note(at, record.value[i] as number, time);
        else target.writer.push(time, target.element, target.ddi, record.value[i] as number);
      }
      slices?.emit(time);
      sink.accepted(record.size, 1);
      advance();
    },
  };
}

interface Writers {
  /** Where the values of a `DET-…` go; those of elements that no device describes go to a device without a name. */
  readonly of: (element: string) => { readonly writer: ProcessWriter; readonly element: number };
}

const UNKNOWN: DeviceDescription = { designator: '', softwareVersion: '', name: '', elements: [] };
const LARGEST_ELEMENT = 4095;

function createWriters(task: TaskFile, sink: LogSink): Writers {
  const writers = task.devices.map(sink.device);
  let unknown: ProcessWriter | undefined;
  return {
    of: (element) => {
      const place = task.elements.get(element);
      const writer = place === undefined ? undefined : writers[place.device];
      if (place !== undefined && writer !== undefined) return { writer, element: place.number };
      unknown ??= sink.device(UNKNOWN);
      return { writer: unknown, element: Number(/\d+$/.exec(element)?.[0] ?? 0) & LARGEST_ELEMENT };
    },
  };
}
