/** One file of a zip archive; `body` is undefined when it cannot be had, with the reason in `problem`. */
export interface ZipEntry {
  readonly name: string;
  readonly body?: Blob;
  /** Bytes once unpacked. */
  readonly size: number;
  readonly problem?: string;
}

/*
 * Layout: PKWARE APPNOTE.TXT 6.3, sections 4.3.7, 4.3.12, 4.3.14–4.3.16 and 4.5.3 (from memory).
 * A packed entry is raw DEFLATE, which is also what a gzip file holds: with ten bytes before it and the checksum and
 * length after it (RFC 1952) it becomes one, without being unpacked here. The server undoes gzip anyway.
 */
const END_RECORD = 0x06054b50;
const END_LOCATOR_64 = 0x07064b50;
const ENTRY = 0x02014b50;
const LONGEST_TAIL = 65_557;
const MOST_ENTRIES = 2000;
const GZIP_HEADER = new Uint8Array([0x1f, 0x8b, 8, 0, 0, 0, 0, 0, 0, 0xff]);

/** The files in a zip archive, folders and the litter of operating systems left out. Rejects when the archive is damaged. */
export async function zipEntries(archive: Blob): Promise<readonly ZipEntry[]> {
  const directory = await findDirectory(archive);
  const bytes = await wordsOf(archive.slice(directory.offset, directory.offset + directory.size));
  const entries: ZipEntry[] = [];
  let at = 0;
  while (at + 46 <= bytes.byteLength && bytes.getUint32(at, true) === ENTRY) {
    const [flags, method] = [bytes.getUint16(at + 8, true), bytes.getUint16(at + 10, true)];
    const [nameLength, extraLength, commentLength] = [bytes.getUint16(at + 28, true), bytes.getUint16(at + 30, true), bytes.getUint16(at + 32, true)];
    const name = new TextDecoder().decode(new Uint8Array(bytes.buffer, bytes.byteOffset + at + 46, nameLength));
    const large = sizes(bytes, at, at + 46 + nameLength, extraLength);
    at += 46 + nameLength + extraLength + commentLength;
    if (name.endsWith('/') || /(?:^|\/)(?:__MACOSX\/|\.DS_Store$|Thumbs\.db$)/.test(name)) continue;
    if (entries.length >= MOST_ENTRIES) throw new Error(`more than ${MOST_ENTRIES} files are in it`);
    const known = { name, size: large.size };
    if ((flags & 1) !== 0) entries.push({ ...known, problem: 'It is locked with a password. Unpack it and add the files inside.' });
    else if (method !== 0 && method !== 8) entries.push({ ...known, problem: `It is packed by method ${method}, which is not known here. Unpack it and add the files inside.` });
    else entries.push({ ...known, body: await bodyOf(archive, method, large) });
  }
  return entries;
}

interface Sizes {
  readonly crc: number;
  readonly packed: number;
  readonly size: number;
  readonly header: number;
}

/** Sizes and place of an entry, from its 64-bit extra field where the plain ones are full. */
function sizes(bytes: DataView, at: number, extra: number, extraLength: number): Sizes {
  const plain = { crc: bytes.getUint32(at + 16, true), packed: bytes.getUint32(at + 20, true), size: bytes.getUint32(at + 24, true), header: bytes.getUint32(at + 42, true) };
  let place = extra;
  while (place + 4 <= extra + extraLength && bytes.getUint16(place, true) !== 1) place += 4 + bytes.getUint16(place + 2, true);
  if (place + 4 > extra + extraLength) return plain;
  place += 4;
  const wide = (value: number): number => {
    if (value !== 0xffffffff) return value;
    place += 8;
    return Number(bytes.getBigUint64(place - 8, true));
  };
  const size = wide(plain.size);
  const packed = wide(plain.packed);
  return { crc: plain.crc, size, packed, header: wide(plain.header) };
}

async function bodyOf(archive: Blob, method: number, { crc, packed, size, header }: Sizes): Promise<Blob> {
  const local = await wordsOf(archive.slice(header, header + 30));
  if (local.byteLength < 30 || local.getUint32(0, true) !== 0x04034b50) throw new Error('an entry points to nothing');
  const start = header + 30 + local.getUint16(26, true) + local.getUint16(28, true);
  const data = archive.slice(start, start + packed);
  if (data.size !== packed) throw new Error('it is cut off');
  if (method === 0) return data;
  const trailer = new DataView(new ArrayBuffer(8));
  trailer.setUint32(0, crc, true);
  trailer.setUint32(4, size % 2 ** 32, true);
  return new Blob([GZIP_HEADER, data, trailer.buffer]);
}

async function findDirectory(archive: Blob): Promise<{ readonly offset: number; readonly size: number }> {
  const start = Math.max(0, archive.size - LONGEST_TAIL);
  const tail = await wordsOf(archive.slice(start));
  for (let at = tail.byteLength - 22; at >= 0; at--) {
    if (tail.getUint32(at, true) !== END_RECORD) continue;
    const plain = { size: tail.getUint32(at + 12, true), offset: tail.getUint32(at + 16, true) };
    if (plain.offset !== 0xffffffff || at < 20 || tail.getUint32(at - 20, true) !== END_LOCATOR_64) return plain;
    const record = Number(tail.getBigUint64(at - 12, true));
    const wide = await wordsOf(archive.slice(record, record + 56));
    return { size: Number(wide.getBigUint64(40, true)), offset: Number(wide.getBigUint64(48, true)) };
  }
  throw new Error('it has no list of its files: it is cut off or no zip archive');
}

async function wordsOf(part: Blob): Promise<DataView> {
  return new DataView(await part.arrayBuffer());
}
