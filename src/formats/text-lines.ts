import { lineBlocks, LONGEST_LINE } from './line-blocks.ts';
import type { LogSink } from './log-format.ts';

/** What became of one line. */
export type LineOutcome =
  | { readonly kind: 'accepted' }
  | { readonly kind: 'ignored'; readonly rule: string }
  | { readonly kind: 'rejected'; readonly reason: string };

export const ACCEPTED: LineOutcome = { kind: 'accepted' };
export const ignored = (rule: string): LineOutcome => ({ kind: 'ignored', rule });
export const rejected = (reason: string): LineOutcome => ({ kind: 'rejected', reason });

const LINE_FEED = 10;

/**
 * Reads a text log line by line and accounts for each by its length, line end included. `read` gets the line as Latin-1 without its line end;
 * `isCut` = the file ends without a line end, so that its last record may have lost its end.
 */
export async function readTextLines(bytes: AsyncIterable<Uint8Array>, sink: LogSink, read: (line: string, isCut: boolean) => LineOutcome): Promise<void> {
  let line = 0;
  const tooLong = (size: number, offset: number): void => sink.rejected({ offset, line }, size, `line of ${size} bytes, longest allowed is ${LONGEST_LINE}`);

  for await (const block of lineBlocks(bytes)) {
    if (block.overlong > 0) {
      line += 1;
      tooLong(block.overlong, block.offset);
      continue;
    }
    let accepted = 0;
    let acceptedBytes = 0;
    for (let start = block.from; start < block.to;) {
      const end = block.buffer.indexOf(LINE_FEED, start);
      const offset = block.offset + start - block.from;
      const size = end + 1 - start - (block.unterminated ? 1 : 0);
      line += 1;
      if (size > LONGEST_LINE) tooLong(size, offset);
      else {
        const text = Buffer.from(block.buffer.buffer, block.buffer.byteOffset + start, end - start).toString('latin1');
        const outcome = read(text.endsWith('\r') ? text.slice(0, -1) : text, block.unterminated);
        if (outcome.kind === 'accepted') {
          accepted += 1;
          acceptedBytes += size;
        } else if (outcome.kind === 'ignored') sink.ignored(size, outcome.rule, 1);
        else sink.rejected({ offset, line }, size, block.unterminated ? 'cut off at the end of the file' : outcome.reason);
      }
      start = end + 1;
    }
    if (accepted > 0) sink.accepted(acceptedBytes, accepted);
  }
}

/** Lines of a head for recognising a format; the last one may be cut and is left out unless it is the only one. */
export function headLines(head: Uint8Array): readonly string[] {
  const lines = Buffer.from(head.buffer, head.byteOffset, head.length).toString('latin1').split(/\r?\n/);
  return lines.length > 1 ? lines.slice(0, -1) : lines;
}

/** How strongly lines of which `records` are this format's, and `others` are neither that nor blank nor comment, are claimed. */
export function claimOf(records: number, others: number): number {
  if (records === 0) return 0;
  return records >= others ? 0.95 : 0.9 * (records / (records + others));
}

/** Hexadecimal digit → value; 255 for anything else. Index by character code below 256. */
export const HEX_VALUE = new Uint8Array(256).fill(0xff);
for (let digit = 0; digit < 16; digit += 1) {
  HEX_VALUE[digit.toString(16).charCodeAt(0)] = digit;
  HEX_VALUE[digit.toString(16).toUpperCase().charCodeAt(0)] = digit;
}

/** Reads pairs of hexadecimal digits, separated by at most one of `separators` each, into `target`; the number of bytes, −1 when it is anything else. */
export function readHexPairs(text: string, from: number, to: number, separators: string, target: Uint8Array): number {
  let count = 0;
  for (let at = from; at < to;) {
    if (count > 0 && separators.includes(text.charAt(at))) at += 1;
    const high = HEX_VALUE[text.charCodeAt(at) & 0xff] as number;
    const low = at + 1 < to ? HEX_VALUE[text.charCodeAt(at + 1) & 0xff] as number : 0xff;
    if (high === 0xff || low === 0xff || count >= target.length) return -1;
    target[count] = high << 4 | low;
    count += 1;
    at += 2;
  }
  return count;
}
