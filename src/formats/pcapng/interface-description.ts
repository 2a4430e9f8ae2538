/** One interface of a section: a bus, when it is CAN. */
export interface CapturedInterface {
  readonly linkType: number;
  readonly name: string | undefined;
  /** Units of a time stamp per second. */
  readonly perSecond: number;
  /** Seconds to add to time stamps. */
  readonly offset: number;
}

const END_OF_OPTIONS = 0;
const IF_NAME = 2;
const IF_TSRESOL = 9;
const IF_TSOFFSET = 14;
const LONGEST_NAME = 32;

/** The body of an interface description block (draft-ietf-opsawg-pcapng 4.2, from memory; messages.md 10.2). */
export function readInterface(view: DataView, from: number, to: number, isLittle: boolean): CapturedInterface {
  let name: string | undefined;
  let perSecond = 1e6;
  let offset = 0;
  for (let at = from + 8; at + 4 <= to;) {
    const code = view.getUint16(at, isLittle);
    const length = view.getUint16(at + 2, isLittle);
    const value = at + 4;
    if (code === END_OF_OPTIONS || value + length > to) break;
    if (code === IF_NAME) name = nameIn(new Uint8Array(view.buffer, view.byteOffset + value, Math.min(length, LONGEST_NAME)));
    if (code === IF_TSRESOL && length >= 1) perSecond = resolution(view.getUint8(value));
    if (code === IF_TSOFFSET && length >= 8) offset = Number(view.getBigInt64(value, isLittle));
    at = value + Math.ceil(length / 4) * 4;
  }
  return { linkType: view.getUint16(from, isLittle), name, perSecond, offset };
}

/** High bit clear: a negative power of ten; set: of two. */
function resolution(code: number): number {
  return (code & 0x80) === 0 ? 10 ** code : 2 ** (code & 0x7f);
}

function nameIn(bytes: Uint8Array): string | undefined {
  const text = Buffer.from(bytes).toString('latin1').replace(/\0.*$/s, '');
  return /^[\x21-\x7e]+$/.test(text) ? text : undefined;
}
