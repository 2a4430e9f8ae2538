import { peek, type ByteStream } from '../../core/byte-stream.ts';
import { InputError } from '../../core/errors.ts';
import type { LogFormat, LogSink, ReadingContext } from '../log-format.ts';
import { lineBlocks, LONGEST_LINE, type LineBlock } from '../line-blocks.ts';
import { mapHeading } from './headings.ts';
import { detectDialect, type Dialect } from './dialect.ts';
import { createOddRowReader } from './odd-row.ts';
import { LONGEST_QUOTED_RECORD, recordEnd } from './record.ts';
import { createRowBlock } from './row-block.ts';
import { createRowLane, readPlainRow } from './row-lane.ts';
import { createTimeReader, DAY_FIRST, MONTH_FIRST, timeHeading, timeKind, type TimeReader } from './time-cell.ts';
import { createZoneClock } from './zone-clock.ts';

const HEAD = 65_536;

/** Rows of cells under a heading row (contract 3). */
export const csv: LogFormat = createCsvFormat({ lane: true });

/** `lane: false` has PapaParse read every row, for comparison. */
export function createCsvFormat({ lane }: { readonly lane: boolean }): LogFormat {
  return {
    meta: { id: 'csv', title: 'CSV with a heading row' },
    sniff: (head) => {
      const dialect = detectDialect(head.subarray(0, HEAD));
      if (dialect === undefined) return 0;
      return dialect.headings.some((heading) => 'channel' in mapHeading(heading)) ? dialect.confidence : dialect.confidence * 0.95;
    },
    read: (bytes, sink, context = {}) => readCsv(bytes, sink, context, lane),
  };
}

async function readCsv(stream: ByteStream, sink: LogSink, context: ReadingContext, useLane: boolean): Promise<void> {
  const { head, bytes } = await peek(stream, HEAD);
  const dialect = detectDialect(head, context.timeColumn?.heading);
  if (dialect === undefined) throw new InputError('no-heading-row', 'no heading row with columns of numbers below it was found.', 'The first row must name the columns, one of them time.');
  const timeColumn = timeColumnOf(dialect, context);
  const zone = createZoneClock(context.zone ?? 'UTC');
  const time = timeReaderOf(dialect, timeColumn, context, zone);
  if (dialect.preamble > 0) sink.ignored(dialect.preamble, 'line before the heading row', dialect.preambleLines);
  sink.ignored(dialect.dataStart - dialect.preamble, 'heading row', 1);
  if (dialect.repeated.length > 0) sink.note(`Headings that come more than once are kept apart by a number behind them: ${dialect.repeated.join(', ')}.`);
  if (time.kind.kind === 'serial') sink.note('Times are day counts of a spreadsheet (1900 system), read to the millisecond.');

  const block = createRowBlock(dialect, timeColumn, sink);
  const lane = createRowLane(dialect, timeColumn, time, block);
  const oddRow = createOddRowReader(dialect, timeColumn, time, block);
  const { separatorByte, lineEnd, dataStart } = dialect;
  let line = lineEndsIn(head.subarray(0, dataStart), lineEnd);
  let lastCellLength = 0;

  /** Reads the rows of `buffer[from … to)`; gives the place of a record whose quote is still open there, or `to`. */
  const readRows = (buffer: Uint8Array, from: number, to: number, offset: number, unterminated: boolean, isEnd: boolean): number => {
    let position = from;
    let rows = 0;
    let accepted = 0;
    while (position < to) {
      const start = position;
      if (useLane && !unterminated) {
        const end = readPlainRow(lane, buffer, start);
        if (end >= 0) {
          position = end;
          line += 1;
          rows += 1;
          accepted += end - start;
          lastCellLength = lane.lastCellLength;
          continue;
        }
      }
      const whole = recordEnd(buffer, start, to, separatorByte, lineEnd);
      const isOpen = whole < 0 || whole - start > LONGEST_QUOTED_RECORD && buffer.indexOf(lineEnd, start) + 1 < whole;
      if (whole < 0 && !isEnd && to - start <= LONGEST_QUOTED_RECORD) break;
      /* A quote that is never closed ends with its line, so that it costs one row and not the rest of the file. */
      const stop = isOpen ? buffer.indexOf(lineEnd, start) + 1 : whole;
      const isCut = unterminated && stop === to;
      const size = stop - start - (isCut ? 1 : 0);
      const place = { offset: offset + start - from, line: line + 1 };
      line += isOpen ? 1 : lineEndsIn(buffer.subarray(start, stop), lineEnd);
      position = stop;
      if (size > LONGEST_LINE) {
        sink.rejected(place, size, `line of ${size} bytes, longest allowed is ${LONGEST_LINE}`);
        continue;
      }
      if (isOpen) {
        sink.rejected(place, size, isCut ? 'cut off at the end of the file' : 'a quote is opened and never closed');
        continue;
      }
      const record = buffer.subarray(start, stop - 1);
      const outcome = oddRow(record, isCut, lastCellLength);
      if (outcome.kind === 'ignored') sink.ignored(size, outcome.rule, 1);
      else if (outcome.kind === 'rejected') sink.rejected(place, size, outcome.reason);
      else {
        rows += 1;
        accepted += size;
        lastCellLength = lengthOfLastCell(record, separatorByte) || lastCellLength;
      }
    }
    if (rows > 0) sink.accepted(accepted, rows);
    return position;
  };

  let held: Uint8Array = new Uint8Array(0);
  const readBlock = (block: LineBlock): void => {
    const at = block.offset - held.length;
    const buffer = held.length === 0 ? block.buffer : Buffer.concat([held, block.buffer.subarray(block.from, block.to)]);
    const from = held.length === 0 ? block.from : 0;
    const to = held.length === 0 ? block.to : buffer.length;
    const reached = readRows(buffer, from, to, at, block.unterminated, block.unterminated || block.overlong > 0);
    held = reached < to ? buffer.slice(reached, to) : new Uint8Array(0);
    if (block.overlong > 0) {
      line += 1;
      sink.rejected({ offset: block.offset, line }, block.overlong, `line of ${block.overlong} bytes, longest allowed is ${LONGEST_LINE}`);
    }
  };

  let end = dataStart;
  for await (const lines of lineBlocks(skipped(bytes, dataStart), lineEnd)) {
    const shifted = { ...lines, offset: lines.offset + dataStart };
    end = shifted.offset + (lines.overlong > 0 ? lines.overlong : lines.to - lines.from);
    readBlock(shifted);
  }
  if (held.length > 0) readRows(held, 0, held.length, end - held.length, false, true);
  block.flush();
  for (const note of [...block.notes(), ...zone.notes()]) sink.note(note);
}

function timeColumnOf(dialect: Dialect, { timeColumn }: ReadingContext): number {
  const named = timeColumn === undefined ? -1 : dialect.headings.findIndex((heading) => heading === timeColumn.heading || heading.startsWith(`${timeColumn.heading} [`));
  if (named >= 0) return named;
  const headings = dialect.headings.map(timeHeading);
  const plain = headings.findIndex((heading) => heading?.isPlain === true);
  const found = plain >= 0 ? plain : headings.findIndex((heading) => heading !== undefined);
  if (found >= 0) return found;
  const listed = dialect.headings.slice(0, 12).join(', ');
  throw new InputError('no-time-column', `no column is headed time; the headings are ${listed}${dialect.headings.length > 12 ? ', …' : ''}.`, 'Head one column "time", "time [s]" or "time [ms]", or name it in a columns file: {"columns":{"HEADING":{"channel":"time"}}}.');
}

function timeReaderOf(dialect: Dialect, column: number, { timeColumn }: ReadingContext, zone: ReturnType<typeof createZoneClock>): TimeReader {
  const heading = dialect.headings[column] ?? '';
  const unit = timeColumn !== undefined && heading.startsWith(timeColumn.heading) ? timeColumn.unit : timeHeading(heading)?.unit;
  const kind = timeKind(unit, dialect.firstRows.map((cells) => cells[column] ?? ''), dialect.decimalComma);
  if (kind?.kind === 'clock' && kind.order === 'unclear') {
    const example = dialect.firstRows.map((cells) => cells[column] ?? '').find((cell) => cell.trim() !== '') ?? '';
    throw new InputError('unclear-dates', `the dates in column "${heading}", for example ${example}, may have the day or the month first.`, `Head the column "time [${DAY_FIRST}]" or "time [${MONTH_FIRST}]", or give that as its unit in a columns file.`);
  }
  if (kind !== undefined) return createTimeReader(kind, zone, dialect.decimalComma);
  throw new InputError('bad-time-unit', `the time column "${heading}" is in "${unit}", which is no known unit of time.`, 'Use [s] or [ms], or no unit for ISO 8601 times.');
}

async function* skipped(bytes: ByteStream, count: number): AsyncGenerator<Uint8Array> {
  let left = count;
  for await (const chunk of bytes) {
    const some = Math.min(left, chunk.length);
    left -= some;
    if (some < chunk.length) yield chunk.subarray(some);
  }
}

function lineEndsIn(bytes: Uint8Array, lineEnd: number): number {
  let count = 0;
  for (const byte of bytes) if (byte === lineEnd) count += 1;
  return count;
}

function lengthOfLastCell(record: Uint8Array, separator: number): number {
  const end = record[record.length - 1] === 13 ? record.length - 1 : record.length;
  return end - record.lastIndexOf(separator, end - 1) - 1;
}
