import type { Blocks, Samples } from '../../shared/api.ts';

/** Points of a line, x ascending and unique; null, or NaN in columns of numbers, where the line breaks. */
export interface Points {
  readonly x: ArrayLike<number>;
  readonly y: ArrayLike<number | null>;
}

/** Blocks become first, min, max and last inside each column, so that no extreme is lost; empty columns break the line. */
export function pointsOf(data: Blocks | Samples, convert: (si: number) => number): Points {
  return data.kind === 'samples' ? pointsOfSamples(data, convert) : pointsOfBlocks(data, convert);
}

/** A pause of this many usual steps is a gap, not a slow line. */
const GAP_STEPS = 5;

function pointsOfSamples(data: Samples, convert: (si: number) => number): Points {
  const x: number[] = [];
  const y: (number | null)[] = [];
  const usual = usualStep(data.time);
  for (let i = 0; i < data.time.length; i++) {
    const time = data.time[i] as number;
    const value = data.value[i] as number;
    const before = x[x.length - 1];
    if (before !== undefined && time - before > Math.max(2, GAP_STEPS * usual)) {
      x.push(before + (time - before) / 2);
      y.push(null);
    }
    const shown = Number.isNaN(value) ? null : convert(value);
    if (before !== undefined && time <= before) y[y.length - 1] = shown;
    else {
      x.push(time);
      y.push(shown);
    }
  }
  return { x, y };
}

function usualStep(time: Float64Array): number {
  const steps: number[] = [];
  const stride = Math.max(1, Math.floor(time.length / 200));
  for (let i = 1; i < time.length; i += stride) steps.push((time[i] as number) - (time[i - 1] as number));
  return steps.sort((a, b) => a - b)[Math.floor(steps.length / 2)] ?? 1;
}

function pointsOfBlocks({ from, to, first, min, max, last }: Blocks, convert: (si: number) => number): Points {
  const quarter = (to - from) / (4 * Math.max(1, min.length));
  /* from one unit to another it is a straight line */
  const zero = convert(0);
  const perUnit = convert(1) - zero;
  const x = new Float64Array(4 * min.length);
  const y = new Float64Array(4 * min.length);
  for (let k = 0; k < x.length; k++) x[k] = from + k * quarter;
  for (let i = 0, k = 0; i < min.length; i++) {
    y[k++] = zero + perUnit * (first[i] as number);
    y[k++] = zero + perUnit * (min[i] as number);
    y[k++] = zero + perUnit * (max[i] as number);
    y[k++] = zero + perUnit * (last[i] as number);
  }
  return { x, y };
}
