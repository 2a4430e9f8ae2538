/** What one line of candump's screen output is. */
export type ScreenLine =
  | { readonly kind: 'frame'; readonly time: number; readonly bus: string; readonly id: number; readonly isExtended: boolean; readonly data: Uint8Array }
  | { readonly kind: 'left-out'; readonly rule: string }
  | { readonly kind: 'remark'; readonly rule: string }
  | { readonly kind: 'damage'; readonly reason: string };

/* can-utils candump.c and lib.c (messages.md 10.1): blanks, time, interface, direction and flags, identifier, length, data, remarks behind it. */
const RECORD = /^ {0,64}(?:\(([^)]{1,40})\) {1,8})?(\S{1,32}) {1,16}(?:(?:TX|RX) [B-] [E-] {1,4})?((?:[0-9A-Fa-f]{8}|[0-9A-Fa-f]{3})) {1,8}(\[\d{1,2}\]|\{[0-9A-Fa-f]\}) {0,4}(.*)$/;
/** The old embedded form: no interface and no time. */
const BRACKETED = /^<0x([0-9A-Fa-f]{1,8})> \[(\d{1,2})\] {0,4}(.*)$/;
const CLOCK = /^(\d{4})-(\d\d)-(\d\d) (\d\d):(\d\d):(\d\d)\.(\d{1,9})$/;
const SECONDS = /^\d{1,12}\.\d{1,9}$/;

const ERROR_FLAG = 0x20000000;
const LARGEST_29 = 0x1fffffff;
const LARGEST_11 = 0x7ff;
const UNNAMED_BUS = 'can0';

const damage = (reason: string): ScreenLine => ({ kind: 'damage', reason });
const leftOut = (rule: string): ScreenLine => ({ kind: 'left-out', rule });
const remark = (rule: string): ScreenLine => ({ kind: 'remark', rule });

export function readScreenLine(line: string): ScreenLine {
  const record = RECORD.exec(line);
  if (record !== null) {
    const [, stamp, bus = '', identifier = '', length = '', rest = ''] = record;
    const time = stamp === undefined ? Number.NaN : timeOf(stamp);
    if (time === undefined) return damage(`time stamp '${stamp}' is neither seconds nor a date`);
    return frameOf(time, bus, identifier, length, rest);
  }
  const bracketed = BRACKETED.exec(line);
  if (bracketed !== null) {
    const [, identifier = '', length = '', rest = ''] = bracketed;
    /* Without padding, the identifier's size is told by its value. */
    return frameOf(Number.NaN, UNNAMED_BUS, identifier.padStart(identifier.length > 3 ? 8 : 3, '0'), `[${length}]`, rest);
  }
  return notARecord(line);
}

function frameOf(time: number, bus: string, identifier: string, length: string, rest: string): ScreenLine {
  const isExtended = identifier.length === 8;
  const id = Number.parseInt(identifier, 16);
  /* In braces stands the raw length code (-8): 9 … 15 on a frame of eight bytes. */
  const size = length.startsWith('{') ? Math.min(8, Number.parseInt(length.charAt(1), 16)) : Number(length.slice(1, -1));
  if (isExtended && (id & ERROR_FLAG) !== 0) return leftOut('error frame');
  if (id > (isExtended ? LARGEST_29 : LARGEST_11)) return damage(`identifier '${identifier}' is more than ${isExtended ? 29 : 11} bits`);
  if (/^remote request\s*$/.test(rest)) return leftOut('remote frame');
  /* FD frames are the only ones with a length of two digits. */
  if (length.length === 4) return size <= 64 ? leftOut('CAN FD frame') : damage(`length ${size}, at most 64 fit`);
  if (size > 8) return damage(`length ${size}, at most 8 fit`);
  const data = dataOf(rest, size);
  if (data === undefined) return damage(`the data are not ${size} bytes`);
  if (/ERRORFRAME/.test(rest)) return leftOut('error frame');
  return { kind: 'frame', time, bus, id, isExtended, data };
}

/** Bytes in hexadecimal or binary (`-i`), the last first with marks between them when swapped (`-S`); what stands behind them is a remark. */
function dataOf(rest: string, size: number): Uint8Array | undefined {
  const data = new Uint8Array(size);
  if (size === 0) return /^(?:\s.*|'.*|)$/.test(rest) ? data : undefined;
  for (const digits of [2, 8]) {
    const end = size * (digits + 1) - 1;
    const behind = rest.slice(end);
    if (!/^(?:\s|$)/.test(behind) || hasMoreBytes(behind)) continue;
    const isSwapped = rest.charAt(digits) === '`';
    const words = rest.slice(0, end).split(isSwapped ? '`' : ' ');
    const word = digits === 2 ? /^[0-9A-Fa-f]{2}$/ : /^[01]{8}$/;
    if (words.length !== size || !words.every((text) => word.test(text))) continue;
    words.forEach((text, i) => {
      data[isSwapped ? size - 1 - i : i] = Number.parseInt(text, digits === 2 ? 16 : 2);
    });
    return data;
  }
  return undefined;
}

/** More bytes than announced: the length or the data are damaged. */
function hasMoreBytes(behind: string): boolean {
  return /^ [0-9A-Fa-f]{1,2}(?: |$)/.test(behind);
}

/** Seconds; undefined when it is no time. A date is taken as UTC: the screen form names no zone. */
function timeOf(stamp: string): number | undefined {
  if (SECONDS.test(stamp)) {
    const [seconds = '', fraction = ''] = stamp.split('.');
    return fraction.length <= 6 ? Number(stamp) : Number(seconds) + Number(fraction) / 10 ** fraction.length;
  }
  const clock = CLOCK.exec(stamp);
  if (clock === null) return undefined;
  const [, year, month, day, hour, minute, second, fraction = ''] = clock;
  const whole = Date.UTC(Number(year), Number(month) - 1, Number(day), Number(hour), Number(minute), Number(second)) / 1000;
  if (Number(month) > 12 || Number(day) > 31 || Number(hour) > 23 || Number(minute) > 59 || Number(second) > 60) return undefined;
  return whole + Number(fraction) / 10 ** fraction.length;
}

function notARecord(line: string): ScreenLine {
  const text = line.trim();
  if (text === '') return remark('empty line');
  if (text.startsWith('\0')) return damage('zero bytes where a record should be');
  if (text.startsWith('#')) return remark('comment line');
  /* `candump -e` explains an error frame on a line of its own. */
  if (line.startsWith('\t')) return remark('description of an error frame');
  if (/^interface = \S+, family = \d+, type = \d+, proto = \d+$/.test(text)) return remark('recorder banner');
  if (text.startsWith('DROPCOUNT: ')) return remark('DROPCOUNT line');
  if (/\[\d*\]?|<0x|^\(|[0-9A-Fa-f]{2} [0-9A-Fa-f]{2}|[^\t\x20-\x7e]/.test(text)) return damage('not of the form interface, identifier, [length], data');
  return damage('neither a record nor a comment');
}
