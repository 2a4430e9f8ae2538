import { createFrameBatch, EXTENDED_FRAME, type FrameBatch, type LogSink } from './log-format.ts';

/** Fills batches frame by frame, for formats that are not read in one tight loop. */
export interface FrameWriter {
  /** `id` without flags; `data[at … at + length)` with `length` ≤ 8; `time` in seconds. */
  readonly push: (time: number, bus: number, id: number, isExtended: boolean, data: Uint8Array, at: number, length: number) => void;
  readonly flush: () => void;
}

/** Frames handed on at once. */
const FRAMES = 4096;

/** `beforeFlush` may still change the times of a batch. */
export function createFrameWriter(sink: LogSink, beforeFlush: (times: Float64Array, count: number) => void = () => undefined): FrameWriter {
  /* Made when the first frame comes: many small files hold none. */
  let batch: FrameBatch | undefined;
  const flush = (): void => {
    if (batch === undefined || batch.count === 0) return;
    beforeFlush(batch.time, batch.count);
    sink.frames(batch);
    batch.count = 0;
  };
  return {
    push: (time, bus, id, isExtended, data, at, length) => {
      batch ??= createFrameBatch(FRAMES);
      const { count } = batch;
      batch.time[count] = time;
      batch.bus[count] = bus;
      batch.id[count] = isExtended ? (id | EXTENDED_FRAME) >>> 0 : id;
      batch.length[count] = length;
      const cell = count * 8;
      for (let i = 0; i < 8; i += 1) batch.data[cell + i] = i < length ? data[at + i] as number : 0xff;
      batch.count = count + 1;
      if (batch.count === FRAMES) flush();
    },
    flush,
  };
}
