/** Bytes at hand: `buffer[from … to)`, whose first byte stands at `offset` of the file. Valid until the step returns. */
export interface Window {
  readonly buffer: Uint8Array;
  readonly view: DataView;
  readonly from: number;
  readonly to: number;
  readonly offset: number;
  /** Nothing follows `to`. */
  readonly isEnd: boolean;
}

const FIRST_CAPACITY = 1 << 16;

/**
 * Hands a binary stream to `step` as one contiguous stretch at a time, however it is cut. `step` returns how many bytes it is done with,
 * 0 = it needs more; it is asked once more at the end, and whatever it leaves then is given to it no further.
 */
export async function throughWindow(bytes: AsyncIterable<Uint8Array>, step: (window: Window) => number): Promise<void> {
  let buffer = new Uint8Array(FIRST_CAPACITY);
  let view = new DataView(buffer.buffer);
  let from = 0;
  let to = 0;
  let offset = 0;

  const makeRoom = (size: number): void => {
    if (to + size <= buffer.length) return;
    const held = to - from;
    if (held + size > buffer.length) {
      const larger = new Uint8Array(Math.max(buffer.length * 2, held + size));
      larger.set(buffer.subarray(from, to));
      buffer = larger;
      view = new DataView(buffer.buffer);
    } else buffer.copyWithin(0, from, to);
    from = 0;
    to = held;
  };
  const work = (isEnd: boolean): void => {
    while (from < to) {
      const done = step({ buffer, view, from, to, offset, isEnd });
      if (done === 0) return;
      from += done;
      offset += done;
    }
  };

  for await (const chunk of bytes) {
    makeRoom(chunk.length);
    buffer.set(chunk, to);
    to += chunk.length;
    work(false);
  }
  work(true);
}
