/** Limits of a chart of individual values: mean ± 3 standard deviations, these from the mean moving range over 1.128. */
export interface IndividualsLimits {
  readonly centre: number;
  readonly low: number;
  readonly high: number;
}

/** d₂ of two values: the mean range of two normal values in standard deviations, 2/√π. */
const D2 = 2 / Math.sqrt(Math.PI);

/**
 * NIST/SEMATECH e-Handbook 6.3.2.2. Steps and drifts are to be taken off first: `expected` is what each value would be
 * without noise (the mean of all where nothing moved). NaN limits below two values.
 */
export function individualsLimits(values: ArrayLike<number>, expected?: ArrayLike<number>): IndividualsLimits {
  const n = values.length;
  let sum = 0;
  let ranges = 0;
  for (let i = 0; i < n; i++) {
    sum += values[i] as number;
    if (i === 0) continue;
    const step = (values[i] as number) - (values[i - 1] as number);
    const planned = expected === undefined ? 0 : (expected[i] as number) - (expected[i - 1] as number);
    ranges += Math.abs(step - planned);
  }
  const sigma = n < 2 ? Number.NaN : ranges / (n - 1) / D2;
  const centre = expected === undefined ? sum / n : expected[n - 1] as number;
  return { centre, low: centre - 3 * sigma, high: centre + 3 * sigma };
}
