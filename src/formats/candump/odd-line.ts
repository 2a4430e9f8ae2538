/** What a line that is no plain classic data frame is, and therefore what becomes of it. */
export type OddLine =
  | { readonly kind: 'ignored'; readonly rule: string; readonly lost?: { readonly bus: string; readonly total: number } }
  | { readonly kind: 'rejected'; readonly reason: string };

const ERROR_FLAG = 0x20000000;
const REMOTE_FLAG = 0x40000000;

const ignored = (rule: string): OddLine => ({ kind: 'ignored', rule });
const rejected = (reason: string): OddLine => ({ kind: 'rejected', reason });

/**
 * Classes a line (without its line end) by the grammar of can-utils' candump.c and lib.c: log lines start with `(`,
 * anything else is a comment unless it looks like what is left of a record.
 */
export function classifyOddLine(line: string): OddLine {
  const text = line.trim();
  if (text === '') return ignored('empty line');
  if (text.startsWith('\0')) return rejected('zero bytes where a record should be');
  const dropped = /^DROPCOUNT: dropped \d{1,10} CAN frames? on '([^']{1,32})' socket \(total drops (\d{1,12})\)/.exec(text);
  if (dropped !== null) return { kind: 'ignored', rule: 'DROPCOUNT line', lost: { bus: dropped[1] ?? '', total: Number(dropped[2]) } };
  if (text.startsWith('#')) return ignored('comment line');
  if (!line.startsWith('(')) return looksLikePiece(text) ? rejected('piece of a record without its time stamp') : ignored('comment line');

  const record = /^\(([^) ]{0,40})\) +(\S{1,32}) +([^# ]{0,40})#(.*)$/.exec(text);
  if (record === null) return rejected(/^\([^)]*\) +\S+ +[0-9A-Fa-f]+ *$/.test(text) ? "no '#' between identifier and data" : 'not of the form (seconds.fraction) interface ID#DATA');
  const [, stamp = '', , identifier = '', rest = ''] = record;
  if (!/^\d{1,12}\.\d{1,9}$/.test(stamp)) return rejected(`time stamp '${stamp}' is not seconds.fraction`);
  const data = rest.replace(/ [RT]$/, '');
  if (/^[0-9A-Fa-f]{5}$/.test(identifier) && /^[0-9A-Fa-f]{2}:[0-9A-Fa-f]{2}:[0-9A-Fa-f]{8}#/.test(data)) return ignored('CAN XL frame');
  return classifyFrame(identifier, data);
}

function classifyFrame(identifier: string, data: string): OddLine {
  if (!/^[0-9A-Fa-f]*$/.test(identifier)) return rejected(`identifier '${identifier}' is not hexadecimal`);
  if (identifier.length !== 3 && identifier.length !== 8) return rejected(`identifier '${identifier}' has ${identifier.length} digits, not 3 or 8`);
  const id = Number.parseInt(identifier, 16);
  if (identifier.length === 3 && id > 0x7ff) return rejected(`identifier '${identifier}' is more than 11 bits`);

  if (data.startsWith('#')) {
    if (!/^#[0-9A-Fa-f]/.test(data)) return rejected('CAN FD frame without its flags digit');
    return faultOfData(data.slice(2), 64) ?? ignored('CAN FD frame');
  }
  if (data.startsWith('R')) {
    return /^R[0-8]?(?:_[9A-Fa-f])?$/.test(data) ? ignored('remote frame') : rejected(`remote frame with length '${data.slice(1, 9)}'`);
  }
  const fault = faultOfData(data.replace(/_[9A-Fa-f]$/, ''), 8);
  if (fault !== undefined) return fault;
  if (identifier.length === 8 && (id & ERROR_FLAG) !== 0) return ignored('error frame');
  if (identifier.length === 8 && (id & REMOTE_FLAG) !== 0) return ignored('remote frame');
  if (data.includes('_')) return rejected('raw length code on a frame of fewer than 8 bytes');
  return rejected('more than 64 blanks or marks where none belong');
}

function faultOfData(data: string, most: number): OddLine | undefined {
  const digits = data.replaceAll('.', '');
  const wrong = /[^0-9A-Fa-f]/.exec(digits);
  if (wrong !== null) return rejected(wrong[0] === '(' ? 'two records joined in one line' : `data has '${printable(wrong[0])}' where a hexadecimal digit belongs`);
  if (digits.length % 2 === 1) return rejected('data has an odd number of hexadecimal digits');
  if (digits.length > most * 2) return rejected(`data has ${digits.length / 2} bytes, at most ${most} fit`);
  if (/^\.|\.\.|\.$/.test(data) || (data.includes('.') && !/^[^.]{2}(?:\.?[^.]{2})*$/.test(data))) return rejected("'.' inside a data byte");
  return undefined;
}

/** The back part of a cut record, or damage: not something a person or a recorder wrote as a remark. */
function looksLikePiece(text: string): boolean {
  return /[0-9A-Fa-f]{3}#/.test(text) || /^[0-9A-Fa-f._)]+(?: [RT])?$/.test(text) || /[^\t\x20-\x7e\x80-\xff]/.test(text);
}

function printable(character: string): string {
  const code = character.charCodeAt(0);
  return code >= 0x20 && code < 0x7f ? character : `\\x${code.toString(16).padStart(2, '0')}`;
}
