/**
 * Lag-one autocorrelation Σe_t·e_{t+1}/Σe_t² about the mean (the definition NIST certifies in StRD).
 * `breaks` (ascending indices of the first value of each later segment) takes the mean of every segment off instead,
 * and leaves out the products across a break: a level shift otherwise looks like autocorrelation.
 * NaN values are left out with the products they would enter. A constant series gives NaN.
 */
export function lagOneAutocorrelation(values: ArrayLike<number>, breaks: readonly number[] = []): number {
  const residual = new Float64Array(values);
  const edges = [0, ...breaks, values.length];
  let squares = 0;
  let products = 0;
  for (let s = 0; s + 1 < edges.length; s++) {
    const segment = residual.subarray(edges[s] as number, edges[s + 1] as number);
    takeMeanOff(segment);
    let before = Number.NaN;
    for (const e of segment) {
      if (!Number.isNaN(e)) {
        squares += e * e;
        if (!Number.isNaN(before)) products += e * before;
      }
      before = e;
    }
  }
  return squares > 0 ? products / squares : Number.NaN;
}

function takeMeanOff(segment: Float64Array): void {
  // Twice: the second time removes what rounding left of a large offset.
  for (let pass = 0; pass < 2; pass++) {
    let sum = 0;
    let count = 0;
    for (const value of segment) {
      if (Number.isNaN(value)) continue;
      sum += value;
      count++;
    }
    const mean = sum / count;
    for (let i = 0; i < segment.length; i++) segment[i] = (segment[i] as number) - mean;
  }
}

/**
 * How many independent values n values with lag-one autocorrelation r are worth for their mean: n(1 - r)/(1 + r), the
 * large-n form for a first-order autoregression, at least 1. A negative r gives more than n: clip it if unsure of r.
 */
export function effectiveSampleSize(n: number, r: number): number {
  return Math.max(1, (n * (1 - r)) / (1 + r));
}

/** The same for finite n, n/(1 + 2Σ(1 - k/n)r^k): matters when r·n is small, as with few passes. */
export function exactEffectiveSampleSize(n: number, r: number): number {
  let sum = 0;
  let power = 1;
  for (let k = 1; k < n; k++) {
    power *= r;
    sum += (1 - k / n) * power;
    if (Math.abs(power) < 1e-17) break;
  }
  return n / (1 + 2 * sum);
}
