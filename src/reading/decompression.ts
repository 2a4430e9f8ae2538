import type { Transform } from 'node:stream';
import zlib from 'node:zlib';
import { Decompress } from 'fzstd';
import { InputError } from '../core/errors.ts';
import { peek, type ByteStream } from '../core/byte-stream.ts';

/** Where and why a compressed stream stopped making sense; everything before `offset` was read. */
export interface Damage {
  /** In decompressed bytes. */
  readonly offset: number;
  readonly reason: string;
}

/** Bytes; a real log compresses 5 to 40 times, a decompression bomb a thousand times. */
const BOMB_CHECKED_FROM = 64 * 1024 * 1024;
const BOMB_RATIO = 200;
/** Bytes; zstd's own default limit for the memory that a frame may ask for. */
const LARGEST_WINDOW = 128 * 1024 * 1024;
/** Bytes written to zlib at a time: what one damaged place can cost is at most what these hold. */
const PIECE = 16_384;
const OUTPUT_PIECE = 65_536;
/** Bytes of a gzip member's checksum and length, held back so that a wrong checksum costs no data. */
const GZIP_TRAILER = 8;

type Step = (chunk: Uint8Array) => AsyncIterable<Uint8Array>;
interface Decompressor {
  readonly push: Step;
  readonly end: () => AsyncIterable<Uint8Array>;
}

/**
 * Undoes gzip (any number of members) or zstd, told by their magic bytes; anything else passes unchanged.
 * Damage ends the stream and is reported, not thrown. Throws InputError for a decompression bomb.
 */
export async function* decompressed(name: string, stored: ByteStream, onDamage: (damage: Damage) => void): AsyncGenerator<Uint8Array> {
  const { head, bytes } = await peek(stored, 18);
  const kind = compressionOf(head);
  if (kind === undefined) {
    yield* bytes;
    return;
  }
  if (kind === 'zstd') checkWindow(name, head);

  let taken = 0;
  let given = 0;
  const counted = (piece: Uint8Array): Uint8Array => {
    given += piece.length;
    if (given > BOMB_CHECKED_FROM && given > BOMB_RATIO * taken) {
      throw new InputError('decompression-bomb', `${name}: ${taken} compressed bytes unpack to more than ${given}, over ${BOMB_RATIO} times as many, as no log does.`, 'Unpack it with another program if you trust it, and check what it holds.');
    }
    return piece;
  };

  const decompressor = kind === 'gzip' ? createGunzip() : createUnzstd(counted);
  try {
    for await (const chunk of bytes) {
      taken += chunk.length;
      for await (const piece of decompressor.push(chunk)) yield kind === 'gzip' ? counted(piece) : piece;
    }
    for await (const piece of decompressor.end()) yield kind === 'gzip' ? counted(piece) : piece;
  } catch (error) {
    if (!(error instanceof DamagedStream)) throw error;
    onDamage({ offset: given, reason: error.message });
  }
}

function compressionOf(head: Uint8Array): 'gzip' | 'zstd' | undefined {
  const [a, b, c, d] = head;
  if (a === 0x1f && b === 0x8b && c === 8) return 'gzip';
  if (a === 0x28 && b === 0xb5 && c === 0x2f && d === 0xfd) return 'zstd';
  /* A skippable frame may come first. */
  return a !== undefined && a >= 0x50 && a <= 0x5f && b === 0x2a && c === 0x4d && d === 0x18 ? 'zstd' : undefined;
}

/** The stream is cut off or damaged, which is the file's fault and ends it; anything else thrown is ours. */
class DamagedStream extends Error {}
const CUT = 'compressed data is cut off: the file ends before its end mark';

function createGunzip(): Decompressor {
  const pump = createPump(zlib.createGunzip({ chunkSize: OUTPUT_PIECE }));
  let held: Uint8Array = new Uint8Array(0);
  return {
    push: async function* (chunk) {
      const all = Buffer.concat([held, chunk]);
      const ready = Math.max(0, all.length - GZIP_TRAILER);
      held = all.subarray(ready);
      yield* pump.push(all.subarray(0, ready));
    },
    end: async function* () {
      yield* pump.push(held);
      yield* pump.end();
    },
  };
}

/** Drives a zlib stream piece by piece and takes all it gives before the next piece, so that an error never hides data already made. */
function createPump(stream: Transform): Decompressor {
  let failure: Error | undefined;
  let ended = false;
  let stirred = false;
  let wake: (() => void) | undefined;
  const stir = (): void => {
    stirred = true;
    wake?.();
  };
  stream.on('readable', stir);
  stream.on('end', () => {
    ended = true;
    stir();
  });
  stream.on('error', (error) => {
    failure = error;
    stir();
  });

  async function* until(done: () => boolean): AsyncGenerator<Uint8Array> {
    for (;;) {
      stirred = false;
      for (let piece: unknown = stream.read(); piece !== null; piece = stream.read()) yield piece as Uint8Array;
      if (failure !== undefined) throw new DamagedStream(reasonOf(failure));
      if (done() || ended) return;
      await new Promise<void>((resolve) => {
        wake = resolve;
        if (stirred) resolve();
      });
      wake = undefined;
    }
  }

  return {
    push: async function* (chunk) {
      for (let at = 0; at < chunk.length; at += PIECE) {
        if (ended) return;
        let written = false;
        stream.write(chunk.subarray(at, at + PIECE), () => {
          written = true;
          stir();
        });
        yield* until(() => written);
      }
    },
    end: async function* () {
      stream.end();
      yield* until(() => false);
    },
  };
}

function reasonOf(error: Error): string {
  const code = 'code' in error ? String(error.code) : '';
  if (code === 'Z_BUF_ERROR') return CUT;
  return error.message === 'incorrect data check'
    ? 'compressed data does not fit its checksum: what was read from this file may be wrong'
    : `compressed data is damaged (${error.message})`;
}

function createUnzstd(counted: (piece: Uint8Array) => Uint8Array): Decompressor {
  /* In node:zlib from 22.15 on; fzstd does the same in JavaScript. */
  const native = zlib as unknown as { readonly createZstdDecompress?: () => Transform };
  if (native.createZstdDecompress !== undefined) {
    const pump = createPump(native.createZstdDecompress());
    const counting = (source: AsyncIterable<Uint8Array>): AsyncIterable<Uint8Array> => mapped(source, counted);
    return { push: (chunk) => counting(pump.push(chunk)), end: () => counting(pump.end()) };
  }
  const ready: Uint8Array[] = [];
  const stream = new Decompress((piece) => void ready.push(counted(piece)));
  const step = async function* (chunk: Uint8Array, last: boolean): AsyncGenerator<Uint8Array> {
    let failure: unknown;
    try {
      stream.push(chunk, last);
    } catch (error) {
      failure = error;
    }
    yield* ready.splice(0);
    if (failure instanceof InputError) throw failure;
    if (failure !== undefined) throw new DamagedStream(isEndOfData(failure) ? CUT : 'compressed data is damaged');
  };
  return { push: (chunk) => step(chunk.slice(), false), end: () => step(new Uint8Array(0), true) };
}

/** fzstd's error code 5 is an unexpected end. */
function isEndOfData(error: unknown): boolean {
  return error instanceof Error && 'code' in error && error.code === 5;
}

async function* mapped(source: AsyncIterable<Uint8Array>, change: (piece: Uint8Array) => Uint8Array): AsyncGenerator<Uint8Array> {
  for await (const piece of source) yield change(piece);
}

/** A zstd frame names the memory it needs (RFC 8878, 3.1.1.1.2); an absurd one is refused before it is allocated. */
function checkWindow(name: string, head: Uint8Array): void {
  const [, b, , , descriptor, window] = head;
  if (b !== 0xb5 || descriptor === undefined || window === undefined || (descriptor & 0x20) !== 0) return;
  const base = 2 ** (10 + (window >> 3));
  const size = base + (base / 8) * (window & 7);
  if (size > LARGEST_WINDOW) {
    throw new InputError('zstd-window', `${name}: its zstd frame asks for ${Math.round(size / 1e6)} MB of memory, more than ${LARGEST_WINDOW / 1024 / 1024} MiB.`, 'Unpack it first, for example with zstd -d --long=31.');
  }
}
