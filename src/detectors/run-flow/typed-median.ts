/** Median of the first `n` values, which are put in order in place; NaN for none. Values are finite. No list is made: this runs in the hot loops. */
export function medianInPlace(values: Float64Array, n: number = values.length): number {
  if (n === 0) return Number.NaN;
  if (n <= SHORT) {
    for (let i = 1; i < n; i++) {
      const value = values[i] as number;
      let j = i - 1;
      for (; j >= 0 && (values[j] as number) > value; j--) values[j + 1] = values[j] as number;
      values[j + 1] = value;
    }
    return n % 2 === 1 ? values[n >> 1] as number : ((values[n / 2 - 1] as number) + (values[n / 2] as number)) / 2;
  }
  const some = values.subarray(0, n).sort();
  return n % 2 === 1 ? some[n >> 1] as number : ((some[n / 2 - 1] as number) + (some[n / 2] as number)) / 2;
}

/** Median of the values that are not NaN. */
export function medianOfKnown(values: Float64Array): number {
  const known = new Float64Array(values.length);
  let n = 0;
  for (let k = 0; k < values.length; k++) if (!Number.isNaN(values[k] as number)) known[n++] = values[k] as number;
  return medianInPlace(known, n);
}

/** Median of the positive values, from at most about `most` of them, evenly taken. */
export function medianOfPositive(values: Float32Array | Float64Array, most = 2048): number {
  const some = new Float64Array(Math.min(values.length, 2 * most));
  const stride = Math.max(1, Math.floor(values.length / most));
  let n = 0;
  for (let k = 0; k < values.length && n < some.length; k += stride) if ((values[k] as number) > 0) some[n++] = values[k] as number;
  if (n === 0 && stride > 1) for (let k = 0; k < values.length && n < some.length; k++) if ((values[k] as number) > 0) some[n++] = values[k] as number;
  return medianInPlace(some, n);
}

/** Up to here putting in order by insertion beats the built-in sort. */
const SHORT = 16;
