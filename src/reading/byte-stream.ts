/** Chunks of bytes: each is valid only until the next one is asked for. */
export type ByteStream = AsyncIterable<Uint8Array>;

/** The first `size` bytes (fewer when the stream is shorter) and the whole stream, still to be read, once. */
export async function peek(stream: ByteStream, size: number): Promise<{ readonly head: Uint8Array; readonly bytes: ByteStream }> {
  const iterator = stream[Symbol.asyncIterator]();
  const held: Uint8Array[] = [];
  let length = 0;
  let ended = false;
  while (length < size && !ended) {
    const next = await iterator.next();
    if (next.done === true) ended = true;
    else {
      held.push(next.value.slice());
      length += next.value.length;
    }
  }
  const first = joined(held, length);
  return { head: first.subarray(0, size), bytes: resumed(first, ended, iterator) };
}

async function* resumed(first: Uint8Array, ended: boolean, iterator: AsyncIterator<Uint8Array>): AsyncGenerator<Uint8Array> {
  try {
    if (first.length > 0) yield first;
    if (!ended) yield* { [Symbol.asyncIterator]: () => iterator };
  } finally {
    await iterator.return?.();
  }
}

function joined(pieces: readonly Uint8Array[], length: number): Uint8Array {
  const whole = new Uint8Array(length);
  let at = 0;
  for (const piece of pieces) {
    whole.set(piece, at);
    at += piece.length;
  }
  return whole;
}

/** Bytes in memory as a stream, in pieces that leave room for a cancel between them. */
export async function* bytesInPieces(bytes: Uint8Array, size = 1 << 18): AsyncGenerator<Uint8Array> {
  for (let at = 0; at < bytes.length; at += size) yield bytes.subarray(at, at + size);
}
