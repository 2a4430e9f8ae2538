import { base64Bytes, checksumProblem, hexBytes } from './payload.ts';
import { clockTime, counterTime, dateTime, type LineTime } from './line-time.ts';

/** One message or frame as written. */
export interface MessageLine {
  readonly time: LineTime;
  readonly priority: number;
  readonly pgn: number;
  readonly source: number;
  readonly destination: number;
  readonly data: Uint8Array;
  /** The gateway has put frames together already; otherwise up to eight bytes are one frame. */
  readonly isWhole: boolean;
  /** The line says how long it is, so that it cannot have lost its end unnoticed. */
  readonly isSurelyWhole: boolean;
}

const GLOBAL = 255;
const LONGEST_MESSAGE = 1785;
const NO_SUCH_TIME = 'there is no such time of day or date';
const NO_TIME: LineTime = { kind: 'none' };

/* `2016-02-28T19:57:02.364Z,2,127250,7,255,8,ff,10,…`, the same with `-` or `Z` between date and time (messages.md 10.4). */
const PLAIN = /^(\d{4}-\d\d-\d\d)[TZ-](\d\d:\d\d:\d\d(?:[.,]\d{1,9})?)(Z?),([0-7]),(\d{1,8}),(\d{1,3}),(\d{1,3}),(\d{1,4}),([0-9A-Fa-f]{2}(?:,[0-9A-Fa-f]{2})*)$/;
/* `A173321.107 23FF7 1F513 012F…`: source, destination, priority. */
const N2K_ASCII = /^A(\d\d)(\d\d)(\d\d)\.(\d{1,9}) ([0-9A-Fa-f]{2})([0-9A-Fa-f]{2})([0-7]) ([0-9A-Fa-f]{4,6}) ([0-9A-Fa-f]{2,3570})$/;
/* `16:29:27.082 R 09F8017F 50 C3 …`; without time where it is what was sent to the gateway. */
const RAW = /^(?:(\d\d:\d\d:\d\d\.\d{1,9}) [RT] )?([0-9A-Fa-f]{8})((?: [0-9A-Fa-f]{2}){1,8}) ?$/;
/* NMEA 0183 sentences, perhaps behind a tag block. */
const PCDIN = /^(?:\\[^\\]*\\)?\$PCDIN,([0-9A-Fa-f]{1,6}),([0-9A-Va-v]{8}),([0-9A-Fa-f]{2}),([0-9A-Fa-f]{2,3570})(?:\*([0-9A-Fa-f]{2}))?$/;
const MXPGN = /^(?:\\[^\\]*\\)?\$MXPGN,([0-9A-Fa-f]{1,6}),([0-9A-Fa-f]{2})([0-9A-Fa-f]{2}),([0-9A-Fa-f]{2,446})(?:\*([0-9A-Fa-f]{2}))?$/;
const PDGY = /^!PDGY,(\d{1,8}),([0-7]),(\d{1,3}),(\d{1,3}),(\d{1,10}(?:\.\d{1,9})?),([A-Za-z0-9+/]{2,2380}={0,2})$/;
const BEGINNINGS: readonly (readonly [RegExp, string])[] = [
  [/^\d{4}-\d\d-\d\d[TZ-]/, 'not of the form time,priority,PGN,source,destination,length,data'],
  [/^A\d{6}\./, 'not of the form Ahhmmss.mmm source-destination-priority PGN data'],
  [/^\d\d:\d\d:\d\d/, 'not of the form hh:mm:ss.mmm R identifier data'],
  [/\$PCDIN,/, 'not of the form $PCDIN,PGN,time,source,data*checksum'],
  [/\$MXPGN,/, 'not of the form $MXPGN,PGN,attributes,data*checksum'],
  [/^!PDGY,/, 'not of the form !PDGY,PGN,priority,source,destination,time,data'],
  [/^\0/, 'zero bytes where a record should be'],
];

/** Lines that hold no message and are no damage: the rule under which they are left out. */
export function isRemark(line: string): string | undefined {
  if (line.trim() === '') return 'empty line';
  if (line.startsWith('#')) return 'comment line';
  /* The gateway about itself: bus load, counts, settings. */
  if (line.startsWith('$PDGY,')) return "gateway's own report";
  return /^(?:\\[^\\]*\\)?[$!](?!PCDIN,|MXPGN,|PDGY,)[A-Z]{2,6}[A-Z0-9]*,[\x20-\x7e]*$/.test(line) ? 'other NMEA 0183 sentence' : undefined;
}

/** The message of a line, or why there is none. */
export function readMessageLine(line: string): MessageLine | string {
  if (line.length > 12_000) return `line of ${line.length} characters, no message is so long`;
  const first = line.charCodeAt(0);
  if (first === 0x41) return n2kAscii(line) ?? reasonFor(line);
  if (first === 0x24 || first === 0x5c) return pcdin(line) ?? mxpgn(line) ?? reasonFor(line);
  if (first === 0x21) return pdgy(line) ?? reasonFor(line);
  return plain(line) ?? raw(line) ?? reasonFor(line);
}

function plain(line: string): MessageLine | string | undefined {
  const match = PLAIN.exec(line);
  if (match === null) return undefined;
  const [, date = '', clock = '', zulu = '', priority = '', pgn = '', source = '', destination = '', length = '', bytes = ''] = match;
  const written = hexBytes(bytes.replaceAll(',', ''));
  /* Some writers pad a message to whole frames; anything else beyond its length is damage. */
  const data = written.subarray(0, Number(length));
  if (data.length !== Number(length) || written.subarray(data.length).some((byte) => byte !== 0xff)) return `length ${length}, but ${written.length} bytes follow`;
  const time = dateTime(date, clock, zulu !== '');
  return message({ time, priority, pgn, source, destination, data, isWhole: data.length > 8, isSurelyWhole: true });
}

function n2kAscii(line: string): MessageLine | string | undefined {
  const match = N2K_ASCII.exec(line);
  if (match === null) return undefined;
  const [, hour = '', minute = '', second = '', fraction = '', source = '', destination = '', priority = '', pgn = '', bytes = ''] = match;
  if (bytes.length % 2 === 1) return 'data has an odd number of hexadecimal digits';
  const time = clockTime(`${hour}:${minute}:${second}.${fraction}`);
  return message({ time, priority, pgn: `0x${pgn}`, source: `0x${source}`, destination: `0x${destination}`, data: hexBytes(bytes), isWhole: true, isSurelyWhole: false });
}

function raw(line: string): MessageLine | string | undefined {
  const match = RAW.exec(line);
  if (match === null) return undefined;
  const [, clock, identifier = '', bytes = ''] = match;
  const id = Number.parseInt(identifier, 16);
  if (id > 0x1fffffff) return `identifier '${identifier}' is more than 29 bits`;
  const format = (id >>> 16) & 0xff;
  const specific = (id >>> 8) & 0xff;
  const pages = (id >>> 8) & 0x30000;
  const data = hexBytes(bytes.replaceAll(' ', ''));
  const time = clock === undefined ? NO_TIME : clockTime(clock);
  if (time === undefined) return NO_SUCH_TIME;
  return {
    time, priority: id >>> 26, source: id & 0xff, data, isWhole: false, isSurelyWhole: data.length === 8,
    ...(format < 240 ? { pgn: pages | format << 8, destination: specific } : { pgn: pages | format << 8 | specific, destination: GLOBAL }),
  };
}

function pcdin(line: string): MessageLine | string | undefined {
  const match = PCDIN.exec(line);
  if (match === null) return undefined;
  const [, pgn = '', stamp = '', source = '', bytes = '', checksum] = match;
  if (bytes.length % 2 === 1) return 'data has an odd number of hexadecimal digits';
  const problem = checksumProblem(line, checksum);
  if (problem !== undefined) return problem;
  return message({ time: counterTime(stamp), priority: '0', pgn: `0x${pgn}`, source: `0x${source}`, destination: String(GLOBAL), data: hexBytes(bytes), isWhole: true, isSurelyWhole: checksum !== undefined });
}

/** The attribute byte holds: sent by the gateway, priority, length; then the address of the other side. Data have their last byte first. */
function mxpgn(line: string): MessageLine | string | undefined {
  const match = MXPGN.exec(line);
  if (match === null) return undefined;
  const [, pgn = '', attributes = '', address = '', bytes = '', checksum] = match;
  if (bytes.length % 2 === 1) return 'data has an odd number of hexadecimal digits';
  const problem = checksumProblem(line, checksum);
  if (problem !== undefined) return problem;
  const bits = Number.parseInt(attributes, 16);
  const isSent = bits >> 7 === 1;
  return message({
    time: NO_TIME, priority: String((bits >> 4) & 7), pgn: `0x${pgn}`, source: isSent ? '0' : `0x${address}`, destination: isSent ? `0x${address}` : String(GLOBAL),
    data: hexBytes(bytes).reverse(), isWhole: true, isSurelyWhole: checksum !== undefined,
  });
}

function pdgy(line: string): MessageLine | string | undefined {
  const match = PDGY.exec(line);
  if (match === null) return undefined;
  const [, pgn = '', priority = '', source = '', destination = '', stamp = '', text = ''] = match;
  const data = base64Bytes(text);
  if (data === undefined) return 'data are no whole Base64';
  return message({ time: { kind: 'seconds', seconds: millisecondStamp(stamp) }, priority, pgn, source, destination, data, isWhole: true, isSurelyWhole: text.endsWith('=') });
}

/** `481.36` is 481 s and 36 ms: the part behind the point is a whole number of milliseconds without leading zeros. */
function millisecondStamp(stamp: string): number {
  const [seconds = '', fraction = '0'] = stamp.split('.');
  return fraction.length <= 3 ? Number(seconds) + Number(fraction) / 1000 : Number(stamp);
}

interface Parts extends Omit<MessageLine, 'priority' | 'pgn' | 'source' | 'destination' | 'time'> {
  readonly time: LineTime | undefined;
  readonly priority: string;
  readonly pgn: string;
  readonly source: string;
  readonly destination: string;
}

function message({ time, priority, pgn, source, destination, ...rest }: Parts): MessageLine | string {
  if (time === undefined) return NO_SUCH_TIME;
  const from = Number(source);
  const to = Number(destination);
  if (from > 255 || to > 255) return `address ${Math.max(from, to)}, largest is 255`;
  if (rest.data.length > LONGEST_MESSAGE) return `message of ${rest.data.length} bytes, at most ${LONGEST_MESSAGE} fit`;
  return { time, priority: Number(priority), pgn: Number(pgn), source: from, destination: to, ...rest };
}

function reasonFor(line: string): string {
  if (/[!$]PDGY,/.test(line.slice(1))) return 'two lines joined in one';
  return BEGINNINGS.find(([beginning]) => beginning.test(line))?.[1] ?? 'neither a message nor a comment';
}
