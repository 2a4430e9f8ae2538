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

/** Closes what it was read from also when it is ended before its first chunk, which a generator would not. */
function resumed(first: Uint8Array, ended: boolean, iterator: AsyncIterator<Uint8Array>): ByteStream {
  let head = first.length > 0 ? first : undefined;
  let over = ended;
  const rest: AsyncIterator<Uint8Array> = {
    next: async () => {
      if (head !== undefined) {
        const value = head;
        head = undefined;
        return { done: false, value };
      }
      if (over) return { done: true, value: undefined };
      const next = await iterator.next();
      over = next.done === true;
      return next;
    },
    return: async () => {
      over = true;
      await iterator.return?.();
      return { done: true, value: undefined };
    },
  };
  return { [Symbol.asyncIterator]: () => rest };
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
