import { createHash } from 'node:crypto';
import type { Day } from '../shared/day.ts';
import { InputError } from './core/errors.ts';
import type { ColumnsFile } from './formats/csv/columns-file.ts';
import type { LogFormat, ReadingContext } from './formats/log-format.ts';
import { formats, recognise } from './formats/registry.ts';
import { unrecognised } from './formats/unrecognised.ts';
import { createDecoder } from './messages/decoder.ts';
import type { SignalDefinition } from './messages/signal-definition.ts';
import type { OpenedLog, ReadOutcome } from './open-log.ts';
import { openLogs } from './open-logs.ts';
import { peek, type ByteStream } from './core/byte-stream.ts';
import { placeClock } from './reading/clock-placement.ts';
import { assembleDay, type LogReading } from './reading/day-assembly.ts';
import { createLogSink } from './reading/log-sink.ts';

export interface ReadOptions {
  /** IANA zone of clock times that name none; UTC when left out. */
  readonly zone?: string;
  readonly signals?: readonly SignalDefinition[];
  readonly columns?: ColumnsFile;
  /** `bytes` of `total` stored bytes of this file are read; `total` is 0 when not known beforehand. */
  readonly onProgress?: (state: { readonly file: string; readonly bytes: number; readonly total: number }) => void;
  readonly signal?: AbortSignal;
}

/** Bytes by which a format is recognised. */
const HEAD = 65_536;
/** ms; so long at most the reading holds up timers and a cancel. */
const LONGEST_WITHOUT_PAUSE = 100;

/**
 * Reads the logs of one day: several files become one day on one clock; folders and zip archives stand for the logs in them.
 * Throws InputError when a file cannot be used at all, and the signal's reason when cancelled.
 */
export async function readLogs(paths: readonly string[], options: ReadOptions = {}): Promise<Day> {
  const { logs, close } = await openLogs(paths.map((path) => ({ path })));
  try {
    return await readOpenedLogs(logs, options);
  } finally {
    await close();
  }
}

/** The same for logs already opened, e.g. uploads. */
export async function readOpenedLogs(logs: readonly OpenedLog[], options: ReadOptions = {}): Promise<Day> {
  const readings: LogReading[] = [];
  const leftOut: InputError[] = [];
  for (const log of logs) {
    try {
      readings.push(await readLog(log, options));
    } catch (error) {
      if (log.isFound !== true || !(error instanceof InputError) || !NOT_A_LOG.has(error.code)) throw error;
      leftOut.push(error);
    }
  }
  const [first] = readings;
  if (first === undefined) throw noneUsable(leftOut);
  return assembleDay([{ ...first, notes: [...first.notes, ...leftOutNotes(leftOut)] }, ...readings.slice(1)]);
}

/** Why a file that was found, not named, may be left out. */
const NOT_A_LOG = new Set(['unknown-format', 'wrong-kind', 'empty', 'only-zeros', 'nothing-usable', 'no-time-logs', 'no-task-data', 'not-can', 'damaged']);
const MOST_NAMED = 12;

function leftOutNotes(leftOut: readonly InputError[]): string[] {
  if (leftOut.length === 0) return [];
  const more = leftOut.length > MOST_NAMED ? ` And ${leftOut.length - MOST_NAMED} more.` : '';
  return [`Lay with the logs and was left out: ${leftOut.slice(0, MOST_NAMED).map(({ message }) => message).join(' ')}${more}`];
}

function noneUsable(leftOut: readonly InputError[]): InputError {
  const [only] = leftOut;
  if (only !== undefined && leftOut.length === 1) return only;
  return new InputError('no-log', `None of the ${leftOut.length} files found is a log: ${leftOut.slice(0, 3).map(({ message }) => message).join(' ')}${leftOut.length > 3 ? ' …' : ''}`, 'Give the folder or archive in which the logs lie.');
}

async function readLog(log: OpenedLog, options: ReadOptions): Promise<LogReading> {
  const { head, bytes } = await peek(watched(log, options), HEAD);
  const format = recognise(head);
  if (format === undefined) {
    await bytes[Symbol.asyncIterator]().return?.();
    const { damage } = log.outcome();
    if (damage?.offset === 0) throw new InputError('damaged', `${log.name}: the ${damage.reason}, and nothing could be unpacked.`, 'Look for another copy of this log.');
    throw unrecognised(log.name, head, formats);
  }

  const busNames = (): readonly string[] => collector.busNames();
  const decoder = createDecoder({ file: log.name, busNames, signals: options.signals ?? [] });
  const collector = createLogSink(log.name, decoder, options.columns);
  const companions = companionsOf(log, options);
  await readWhole(format, bytes, collector.sink, { fileName: log.name, beside: companions.beside, ...(options.zone === undefined ? {} : { zone: options.zone }), ...(options.columns?.timeColumn === undefined ? {} : { timeColumn: options.columns.timeColumn }) }, log.name);

  const { sha256, total, damage } = companions.outcome(log.outcome());
  if (damage !== undefined) collector.addBad({ offset: damage.offset, reason: damage.reason });
  const decoded = decoder.finish();
  const collected = collector.finish();
  const { accepted, rejected, ignored } = collected.bytes;
  if (accepted + rejected + ignored !== total) {
    throw new Error(`${log.name}: ${format.meta.id} accounts for ${accepted} + ${rejected} + ${ignored} bytes of ${total}`);
  }
  if (collected.records === 0) throw nothingUsable(log.name, format, collected.bad[0]?.reason);
  const placement = placeClock(collected.clock);
  return {
    summary: {
      file: log.name,
      format: format.meta.id,
      sha256,
      records: collected.records,
      badRecords: collected.badRecords,
      bytes: { total, accepted, rejected, ignored },
      bad: collected.bad,
      ...(collected.unknownColumns.length === 0 ? {} : { unknownColumns: collected.unknownColumns }),
    },
    notes: [...(log.notes ?? []), ...(damage === undefined ? [] : [`At byte ${damage.offset} the ${damage.reason}.`]), ...collected.notes, ...decoded.notes],
    placement,
    gaps: collected.clock.gaps,
    channels: [...decoded.channels, ...collected.channels],
    messages: decoded.messages,
  };
}

/** Files that a log refers to by name: read with it, counted with it. */
function companionsOf(log: OpenedLog, options: ReadOptions): { readonly beside: (name: string) => Promise<ByteStream | undefined>; readonly outcome: (main: ReadOutcome) => ReadOutcome } {
  const opened: OpenedLog[] = [];
  return {
    beside: async (name) => {
      const companion = await log.beside?.(name);
      if (companion === undefined) return undefined;
      opened.push(companion);
      return watched(companion, options);
    },
    outcome: (main) => {
      if (opened.length === 0) return main;
      const all = [main, ...opened.map((companion) => companion.outcome())];
      const damaged = opened.find((companion) => companion.outcome().damage !== undefined);
      const damage = main.damage ?? damaged?.outcome().damage;
      return {
        sha256: createHash('sha256').update(all.map(({ sha256 }) => sha256).join('\n')).digest('hex'),
        total: all.reduce((sum, { total }) => sum + total, 0),
        ...(damage === undefined ? {} : { damage: main.damage === undefined ? { ...damage, reason: `${damage.reason} (${damaged?.name ?? ''})` } : damage }),
      };
    },
  };
}

/** A format's own refusal does not know the file's name. */
async function readWhole(format: LogFormat, bytes: ByteStream, sink: Parameters<LogFormat['read']>[1], context: ReadingContext, name: string): Promise<void> {
  try {
    await format.read(bytes, sink, context);
  } catch (error) {
    if (error instanceof InputError && !error.message.startsWith(name)) throw new InputError(error.code, `${name}: ${error.message}`, error.whatToDo);
    throw error;
  }
}

function nothingUsable(name: string, format: LogFormat, reason: string | undefined): InputError {
  const because = reason === undefined ? '' : `; the first bad record: ${reason}`;
  return new InputError('nothing-usable', `${name}: read as ${format.meta.title}, but not one record is usable${because}.`, 'Check that the recorder wrote this file completely, or read a copy of it.');
}

/** Passes the log's bytes on, reports progress and gives way to other work, so that a cancel is noticed. */
async function* watched(log: OpenedLog, { onProgress, signal }: ReadOptions): AsyncGenerator<Uint8Array> {
  let paused = performance.now();
  for await (const chunk of log.bytes()) {
    if (performance.now() - paused > LONGEST_WITHOUT_PAUSE) {
      await new Promise((resolve) => setImmediate(resolve));
      paused = performance.now();
    }
    signal?.throwIfAborted();
    yield chunk;
    onProgress?.({ file: log.name, bytes: log.taken(), total: log.size });
  }
}
