/** One quantity as read: `time[i]` belongs to `value[i]`, in the order pushed. */
export interface Column {
  readonly time: Float64Array;
  readonly value: Float64Array | Float32Array;
}

export interface ColumnBuilder {
  readonly push: (time: number, value: number) => void;
  /** Appends the first `count` of both. */
  readonly append: (times: Float64Array, values: Float64Array, count: number) => void;
  readonly length: () => number;
  /** The column as exact-size arrays; the builder is empty afterwards. */
  readonly finish: () => Column;
}

/** Growing numbers in pieces, so that nothing is copied until the end and never more than one piece is empty. */
export interface Float64Builder {
  readonly push: (value: number) => void;
  /** Appends the first `count` numbers of `values`. */
  readonly append: (values: Float64Array, count: number) => void;
  readonly length: () => number;
  readonly finish: () => Float64Array;
}

const FIRST_PIECE = 256;
const LARGEST_PIECE = 65_536;

/** `exactInFloat32`: the caller knows that every value survives `Math.fround`, e.g. 16-bit counts with a unit factor. */
export function createColumnBuilder(options: { readonly exactInFloat32?: boolean } = {}): ColumnBuilder {
  const pieces: { readonly time: Float64Array; readonly value: Float64Array | Float32Array }[] = [];
  const values = (size: number): Float64Array | Float32Array =>
    options.exactInFloat32 === true ? new Float32Array(size) : new Float64Array(size);
  let time = new Float64Array(FIRST_PIECE);
  let value = values(FIRST_PIECE);
  let used = 0;
  let before = 0;

  const nextPiece = (): void => {
    pieces.push({ time, value });
    before += used;
    const size = Math.min(used * 2, LARGEST_PIECE);
    time = new Float64Array(size);
    value = values(size);
    used = 0;
  };

  return {
    push: (t, v) => {
      if (used === time.length) nextPiece();
      time[used] = t;
      value[used] = v;
      used += 1;
    },
    append: (manyTimes, manyValues, count) => {
      for (let i = 0; i < count; i += 1) {
        if (used === time.length) nextPiece();
        time[used] = manyTimes[i] as number;
        value[used] = manyValues[i] as number;
        used += 1;
      }
    },
    length: () => before + used,
    finish: () => {
      const whole = { time: new Float64Array(before + used), value: values(before + used) };
      let at = 0;
      for (const piece of pieces) {
        whole.time.set(piece.time, at);
        whole.value.set(piece.value, at);
        at += piece.time.length;
      }
      whole.time.set(time.subarray(0, used), at);
      whole.value.set(value.subarray(0, used), at);
      pieces.length = 0;
      before = 0;
      used = 0;
      return whole;
    },
  };
}

export function createFloat64Builder(): Float64Builder {
  const pieces: Float64Array[] = [];
  let current = new Float64Array(FIRST_PIECE);
  let used = 0;
  let before = 0;

  const nextPiece = (): void => {
    pieces.push(current);
    before += used;
    current = new Float64Array(Math.min(used * 2, LARGEST_PIECE));
    used = 0;
  };

  return {
    push: (value) => {
      if (used === current.length) nextPiece();
      current[used] = value;
      used += 1;
    },
    append: (values, count) => {
      let at = 0;
      while (at < count) {
        if (used === current.length) nextPiece();
        const some = Math.min(count - at, current.length - used);
        current.set(values.subarray(at, at + some), used);
        used += some;
        at += some;
      }
    },
    length: () => before + used,
    finish: () => {
      const whole = new Float64Array(before + used);
      let at = 0;
      for (const piece of pieces) {
        whole.set(piece, at);
        at += piece.length;
      }
      whole.set(current.subarray(0, used), at);
      pieces.length = 0;
      before = 0;
      used = 0;
      return whole;
    },
  };
}
