import type { Channel } from '../../shared/channel.ts';
import type { BadRecord, ByteAccount } from '../../shared/day.ts';
import { createColumnBuilder, createFloat64Builder, type Column } from '../core/column-builder.ts';
import type { ColumnsFile } from '../formats/csv/columns-file.ts';
import { mapHeading, type ChannelHeading } from '../formats/csv/headings.ts';
import type { ColumnHeading, FrameDecoder, LogSink, TableWriter } from '../formats/log-format.ts';
import { createRecordClock, type ClockHistory } from './record-clock.ts';

/** The sink of one log, and what it holds once the format has read to the end. */
export interface CollectingSink {
  readonly sink: LogSink;
  readonly busNames: () => readonly string[];
  /** Adds damage found outside the format. */
  readonly addBad: (bad: BadRecord) => void;
  readonly finish: () => CollectedLog;
}

export interface CollectedLog {
  /** From columns and tables; times as logged. */
  readonly channels: readonly Channel[];
  readonly clock: ClockHistory;
  readonly records: number;
  readonly badRecords: number;
  readonly bad: readonly BadRecord[];
  readonly bytes: Omit<ByteAccount, 'total'>;
  readonly notes: readonly string[];
  readonly unknownColumns: readonly { readonly heading: string; readonly suggestions: readonly string[] }[];
}

const MOST_BAD_KEPT = 1000;
const MOST_NOTES = 200;
const MOST_HEADINGS_NAMED = 12;
/** Rules under which lines are left out so usually that a note would be noise. */
const UNREMARKABLE = new Set(['empty line', 'comment line', 'heading row']);

export function createLogSink(file: string, decoder: FrameDecoder, columnsFile: ColumnsFile | undefined): CollectingSink {
  const buses: string[] = [];
  const clock = createRecordClock();
  const bad: BadRecord[] = [];
  const notes: string[] = [];
  const unknown = new Map<string, readonly string[]>();
  const ignoredRecords = new Map<string, number>();
  const bytes = { accepted: 0, rejected: 0, ignored: 0 };
  const finishers: (() => readonly Channel[])[] = [];
  let records = 0;
  let badRecords = 0;

  const addBad = (record: BadRecord): void => {
    badRecords += 1;
    if (bad.length < MOST_BAD_KEPT) bad.push(record);
  };

  const meaningOf = (heading: ColumnHeading): ChannelHeading | undefined => {
    const meaning = columnsFile?.columns.get(heading.text) ?? mapHeading(heading.text);
    if ('channel' in meaning) return meaning;
    if (heading.text.trim() !== '') unknown.set(heading.text, meaning.suggestions);
    if (meaning.problem !== undefined) notes.push(`Column "${heading.text}" ${meaning.problem}; it is left out.`);
    return undefined;
  };

  const channelOf = (heading: ColumnHeading, meaning: ChannelHeading, column: Column): Channel => {
    if (meaning.factor !== 1 || meaning.offset !== 0) convert(column.value, meaning);
    return { id: meaning.channel, unit: meaning.unit, source: { file, column: heading.text }, ...column };
  };

  const openTable = (headings: readonly ColumnHeading[]): TableWriter => {
    const meanings = headings.map(meaningOf);
    const time = createFloat64Builder();
    const values = meanings.map((meaning) => (meaning === undefined ? undefined : createFloat64Builder()));
    finishers.push(() => {
      const times = time.finish();
      return headings.flatMap((heading, i) => {
        const meaning = meanings[i];
        const column = values[i]?.finish();
        if (meaning === undefined || column === undefined) return [];
        const samples = withoutMissing(times, column);
        return samples.time.length === 0 ? [] : [channelOf(heading, meaning, samples)];
      });
    });
    return {
      rows: (times, columns, count) => {
        clock.observeAll(times, count);
        time.append(times, count);
        for (let i = 0; i < values.length; i += 1) {
          const column = columns[i];
          if (column !== undefined) values[i]?.append(column, count);
        }
      },
    };
  };

  const sink: LogSink = {
    bus: (name) => {
      const known = buses.indexOf(name);
      return known >= 0 ? known : buses.push(name) - 1;
    },
    frames: (batch) => {
      clock.observeAll(batch.time, batch.count);
      decoder.frames(batch);
    },
    message: (message) => {
      clock.observe(message.time);
      decoder.message(message);
    },
    column: (heading) => {
      const meaning = meaningOf(heading);
      if (meaning === undefined) return { push: (time) => clock.observe(time) };
      const builder = createColumnBuilder();
      finishers.push(() => (builder.length() === 0 ? [] : [channelOf(heading, meaning, builder.finish())]));
      return {
        push: (time, value) => {
          clock.observe(time);
          builder.push(time, value);
        },
      };
    },
    table: openTable,
    device: decoder.device,
    accepted: (size, count) => {
      bytes.accepted += size;
      records += count;
    },
    rejected: (place, size, reason) => {
      bytes.rejected += size;
      addBad({ ...place, reason });
    },
    ignored: (size, rule, count = 0) => {
      bytes.ignored += size;
      if (count > 0) ignoredRecords.set(rule, (ignoredRecords.get(rule) ?? 0) + count);
    },
    note: (sentence) => {
      if (notes.length < MOST_NOTES) notes.push(sentence);
    },
  };

  return {
    sink,
    busNames: () => buses,
    addBad,
    finish: () => ({
      channels: finishers.flatMap((finish) => finish()),
      clock: clock.history(),
      records,
      badRecords,
      bad,
      bytes,
      notes: [...notes, ...unknownNotes(unknown), ...ignoredNotes(ignoredRecords)],
      unknownColumns: [...unknown].map(([heading, suggestions]) => ({ heading, suggestions })),
    }),
  };
}

function unknownNotes(unknown: ReadonlyMap<string, readonly string[]>): string[] {
  if (unknown.size === 0) return [];
  const named = [...unknown].slice(0, MOST_HEADINGS_NAMED).map(([heading, [likely]]) => `"${heading}"${likely === undefined ? '' : ` (perhaps ${likely})`}`);
  const more = unknown.size > named.length ? ` and ${unknown.size - named.length} more` : '';
  return [`Left out, because the heading names no channel (a columns file can give its meaning): ${named.join(', ')}${more}.`];
}

function ignoredNotes(ignored: ReadonlyMap<string, number>): string[] {
  const told = [...ignored].filter(([rule]) => !UNREMARKABLE.has(rule)).map(([rule, count]) => `${count} × ${rule}`);
  return told.length === 0 ? [] : [`Left out by rule: ${told.join(', ')}.`];
}

function convert(values: Float64Array | Float32Array, { factor, offset }: ChannelHeading): void {
  for (let i = 0; i < values.length; i += 1) values[i] = (values[i] as number) * factor + offset;
}

/** NaN = no sample. A column without any shares the table's times. */
function withoutMissing(times: Float64Array, values: Float64Array): Column {
  let count = 0;
  for (let i = 0; i < values.length; i += 1) if (!Number.isNaN(values[i])) count += 1;
  if (count === values.length) return { time: times, value: values };
  const time = new Float64Array(count);
  const value = new Float64Array(count);
  let at = 0;
  for (let i = 0; i < values.length; i += 1) {
    if (Number.isNaN(values[i])) continue;
    time[at] = times[i] as number;
    value[at] = values[i] as number;
    at += 1;
  }
  return { time, value };
}
