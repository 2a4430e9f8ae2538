import { InputError } from '../../src/core/errors.ts';
import type { LogFormat, LogSink, ReadingContext } from '../../src/formats/log-format.ts';

/** Reads damaged bytes as the reader would and throws when a promise is broken: a byte unaccounted for, a number out of its range. */
export async function readAccounted(format: LogFormat, bytes: Uint8Array, beside: Readonly<Record<string, Uint8Array>> = {}, pieces = 65_536): Promise<void> {
  format.sniff(bytes.subarray(0, 65_536));
  let accounted = 0;
  let total = bytes.length;
  const buses: string[] = [];
  const count = (size: number): void => {
    if (!(Number.isInteger(size) && size >= 0)) throw new Error(`${size} bytes are accounted for`);
    accounted += size;
  };
  const sink: LogSink = {
    bus: (name) => (buses.includes(name) ? buses.indexOf(name) : buses.push(name) - 1),
    frames: (batch) => {
      for (let i = 0; i < batch.count; i += 1) {
        const time = batch.time[i] as number;
        if ((batch.length[i] as number) > 8 || Math.abs(time) === Number.POSITIVE_INFINITY) throw new Error(`frame of ${batch.length[i]} bytes at ${time} s`);
      }
    },
    message: ({ pgn, source, destination, priority, data }) => {
      if (pgn > 0x3ffff || source > 255 || destination > 255 || priority > 7 || data.length > 1785) throw new Error(`message ${pgn} from ${source} to ${destination}, ${data.length} bytes`);
    },
    column: () => ({ push: () => undefined }),
    table: () => ({ rows: () => undefined }),
    device: () => ({ push: () => undefined }),
    accepted: count,
    rejected: ({ offset }, size) => {
      if (!(offset >= 0 && offset <= total)) throw new Error(`a bad record at ${offset} of ${total}`);
      count(size);
    },
    ignored: count,
    note: () => undefined,
  };
  const context: ReadingContext = {
    fileName: 'TLG00001.XML',
    beside: async (name) => {
      const found = beside[name];
      total += found?.length ?? 0;
      return found === undefined ? undefined : inPieces(found, pieces);
    },
  };
  try {
    await format.read(inPieces(bytes, pieces), sink, context);
  } catch (error) {
    if (error instanceof InputError && error.whatToDo !== '') return;
    throw error;
  }
  if (accounted !== total) throw new Error(`${accounted} of ${total} bytes are accounted for`);
}

async function* inPieces(bytes: Uint8Array, size: number): AsyncGenerator<Uint8Array> {
  for (let at = 0; at < bytes.length; at += size) yield bytes.subarray(at, at + size);
}
