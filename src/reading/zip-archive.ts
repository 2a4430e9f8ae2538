import { open as openFile } from 'node:fs/promises';
import type { Readable } from 'node:stream';
import yauzl, { type Entry, type ZipFile } from 'yauzl';
import { InputError } from '../core/errors.ts';
import { DamagedStorage, openStored } from '../open-log.ts';
import type { FoundFile, FoundFiles } from '../open-logs.ts';

const LOCAL_HEADER = 0x504b0304;
const STORED = 0;
const DEFLATED = 8;
const LINK = 0o12;
/** Bytes; a real log compresses 5 to 40 times, a decompression bomb a thousand times. */
const BOMB_CHECKED_FROM = 64 * 1024 * 1024;
const BOMB_RATIO = 200;

/** Whether a file begins as a zip archive does; false also when it cannot be read, which opening it as a log will tell. */
export async function isZip(file: string): Promise<boolean> {
  const handle = await openFile(file, 'r').catch(() => undefined);
  if (handle === undefined) return false;
  try {
    const { bytesRead, buffer } = await handle.read(Buffer.alloc(4), 0, 4, 0);
    return bytesRead === 4 && buffer.readUInt32BE(0) === LOCAL_HEADER;
  } catch {
    return false;
  } finally {
    await handle.close();
  }
}

/** The files in a zip archive, read one at a time and never unpacked to disk. Throws InputError for archives that no one should open. */
export async function openZip(file: string, name: string, mostFiles: number): Promise<FoundFiles & { readonly close: () => Promise<void> }> {
  const archive = await opened(file, name);
  try {
    if (archive.entryCount > mostFiles) throw new InputError('too-many-files', `${name} holds ${archive.entryCount} files, at most ${mostFiles} are read.`, 'Pack the logs of one day only.');
    const files: FoundFile[] = [];
    const notes: string[] = [];
    for (const entry of await entriesOf(archive, name)) {
      if (entry.fileName === '[Content_Types].xml') throw new InputError('wrong-kind', `${name} is a spreadsheet workbook or another office document.`, 'Save the sheet as CSV.');
      const reason = whyNot(entry);
      const parts = entry.fileName.split('/');
      const last = parts.pop() ?? '';
      if (last === '' || parts.includes('__MACOSX') || last.startsWith('.')) continue;
      if (reason !== undefined) notes.push(`${shown(last)} in the archive ${reason} and was left out.`);
      else files.push({ folder: parts.join('/'), name: shown(last), open: async () => openStored(shown(last), entry.compressedSize, () => contentOf(archive, entry, last)) });
    }
    return { files, notes, close: async () => archive.close() };
  } catch (error) {
    archive.close();
    throw error;
  }
}

function whyNot(entry: Entry): string | undefined {
  if (((entry.externalFileAttributes >>> 28) & 0xf) === LINK) return 'is a link';
  if ((entry.generalPurposeBitFlag & 1) === 1) return 'is encrypted';
  return entry.compressionMethod === STORED || entry.compressionMethod === DEFLATED ? undefined : `is packed by a method (${entry.compressionMethod}) that few programs know`;
}

/** As data to print: no control characters. */
function shown(name: string): string {
  return [...name].filter((character) => character >= ' ' && character !== '\u007f').join('').slice(0, 255);
}

function opened(file: string, name: string): Promise<ZipFile> {
  return new Promise((resolve, reject) => {
    yauzl.open(file, { lazyEntries: true, autoClose: false, strictFileNames: true }, (error, archive) => {
      if (error === null || error === undefined) resolve(archive);
      else reject(damaged(name, error));
    });
  });
}

/** All entries; names that lead out of the archive are refused by the library. */
function entriesOf(archive: ZipFile, name: string): Promise<readonly Entry[]> {
  return new Promise((resolve, reject) => {
    const entries: Entry[] = [];
    archive.on('entry', (entry: Entry) => {
      entries.push(entry);
      archive.readEntry();
    });
    archive.once('end', () => resolve(entries));
    archive.once('error', (error: Error) => reject(damaged(name, error)));
    archive.readEntry();
  });
}

function damaged(name: string, error: Error): InputError {
  if (/relative path|absolute path|invalid characters/.test(error.message)) {
    return new InputError('hostile-archive', `${name} holds a file whose name leads out of the archive.`, 'Do not use this archive; ask whoever made it.');
  }
  return new InputError('damaged-archive', `${name} is a damaged zip archive: ${error.message}.`, 'Copy or pack it again.');
}

async function* contentOf(archive: ZipFile, entry: Entry, name: string): AsyncGenerator<Uint8Array> {
  let given = 0;
  try {
    const stream = await new Promise<Readable>((resolve, reject) => {
      archive.openReadStream(entry, (error, readable) => (error === null || error === undefined ? resolve(readable) : reject(error)));
    });
    for await (const chunk of stream as AsyncIterable<Uint8Array>) {
      given += chunk.length;
      if (given > BOMB_CHECKED_FROM && given > BOMB_RATIO * entry.compressedSize) {
        throw new InputError('decompression-bomb', `${shown(name)}: ${entry.compressedSize} compressed bytes unpack to more than ${given}, over ${BOMB_RATIO} times as many, as no log does.`, 'Unpack it with another program if you trust it, and check what it holds.');
      }
      yield chunk;
    }
  } catch (error) {
    if (error instanceof InputError) throw error;
    throw new DamagedStorage(`archive is damaged here (${error instanceof Error ? error.message : String(error)})`);
  }
}
