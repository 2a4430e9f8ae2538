/**
 * Likelihood-ratio charts on counts against what was expected of them, second by second.
 * Counts have variance F × mean (the negative binomial with a constant index of dispersion), so the log-likelihood ratio
 * of 'flow is ρ times the expected' against 'flow is as expected' is taken as (x ln ρ + μ (1 − ρ)) / F: exact for Poisson
 * counts, whose reference value is the k of checks.md S-38, and the quasi-likelihood otherwise.
 * NaN, counted or expected, says nothing.
 */
export function likelihoodGain(count: number, expected: number, ratio: number, dispersion: number): number {
  return (count * Math.log(ratio) + expected * (1 - ratio)) / dispersion;
}

/** Index at which the one-sided CUSUM of the likelihood gains first reaches `threshold`, or −1. Sums start at 0 at `from`. */
export function firstAlarm(counts: Float32Array, expected: Float32Array, ratio: number, dispersion: number, threshold: number, from = 0): number {
  const perCount = Math.log(ratio) / dispersion;
  const perExpected = (1 - ratio) / dispersion;
  let sum = 0;
  for (let k = from; k < counts.length; k++) {
    const gain = (counts[k] as number) * perCount + (expected[k] as number) * perExpected;
    /* NaN compares false and leaves the sum */
    if (sum + gain > 0) sum += gain;
    else if (sum + gain <= 0) sum = 0;
    if (sum >= threshold) return k;
  }
  return -1;
}

/** Whether any of the `CHART_RATIOS` charts alarms: the same sums as `firstAlarm`, side by side, since this runs over every count of the day. */
export function anyAlarm(counts: Float32Array, expected: Float32Array, dispersion: number, threshold: number): boolean {
  const [a, b, c, d] = CHART_RATIOS.map((ratio) => ({ perCount: Math.log(ratio) / dispersion, perExpected: (1 - ratio) / dispersion })) as [Gain, Gain, Gain, Gain];
  let [sumA, sumB, sumC, sumD] = [0, 0, 0, 0];
  for (let k = 0; k < counts.length; k++) {
    const count = counts[k] as number;
    const mean = expected[k] as number;
    if (Number.isNaN(count + mean)) continue;
    sumA += count * a.perCount + mean * a.perExpected;
    sumB += count * b.perCount + mean * b.perExpected;
    sumC += count * c.perCount + mean * c.perExpected;
    sumD += count * d.perCount + mean * d.perExpected;
    if (sumA < 0) sumA = 0;
    if (sumB < 0) sumB = 0;
    if (sumC < 0) sumC = 0;
    if (sumD < 0) sumD = 0;
    if (sumA >= threshold || sumB >= threshold || sumC >= threshold || sumD >= threshold) return true;
  }
  return false;
}

interface Gain {
  readonly perCount: number;
  readonly perExpected: number;
}

/**
 * Designs that together see a total loss, a loss of half and one of 15–30 % each about as early as counting noise allows
 * (trade.md e.4: a chart tuned for half takes minutes for 20 %, so all run side by side), and a gain of a third.
 */
export const CHART_RATIOS = [0.05, 0.5, 0.8, 1.35] as const;

/** Flow levels of `levelPath`; the first is 'as expected'. */
export const FLOW_LEVELS = [1, 0.02, 0.2, 0.35, 0.5, 0.65, 0.8, 1.35, 1.8] as const;

/** What it costs, in log-likelihood, to leave the expected level, to move between others, and to return. */
export interface PathCosts {
  readonly leave: number;
  readonly move: number;
  readonly back: number;
}

/**
 * The most likely level in every cell (index into `FLOW_LEVELS`) when every change of level has its price: the same
 * likelihood gains as the charts, maximised over the whole day at once, so that onset and end are the best change points.
 */
export function levelPath(counts: Float32Array, expected: Float32Array, dispersion: number, costs: PathCosts): Uint8Array {
  const n = counts.length;
  const levels = FLOW_LEVELS.length;
  const perCount = FLOW_LEVELS.map((ratio) => Math.log(ratio) / dispersion);
  const perExpected = FLOW_LEVELS.map((ratio) => (1 - ratio) / dispersion);
  const cameFrom = new Uint8Array(n * levels);
  let score = new Float64Array(levels).fill(Number.NEGATIVE_INFINITY);
  let next = new Float64Array(levels);
  score[0] = 0;
  for (let k = 0; k < n; k++) {
    let best = 1;
    for (let s = 2; s < levels; s++) if ((score[s] as number) > (score[best] as number)) best = s;
    const count = counts[k] as number;
    const mean = expected[k] as number;
    const known = !Number.isNaN(count + mean);
    const returned = (score[best] as number) - costs.back;
    const normal = score[0] as number;
    next[0] = Math.max(normal, returned);
    cameFrom[k * levels] = returned > normal ? best : 0;
    const left = normal - costs.leave;
    const moved = (score[best] as number) - costs.move;
    const entry = Math.max(left, moved);
    const entryFrom = left > moved ? 0 : best;
    for (let s = 1; s < levels; s++) {
      const stayed = score[s] as number;
      const gain = known ? count * (perCount[s] as number) + mean * (perExpected[s] as number) : 0;
      const stays = stayed >= entry;
      next[s] = (stays ? stayed : entry) + gain;
      cameFrom[k * levels + s] = stays ? s : entryFrom;
    }
    [score, next] = [next, score];
  }
  const path = new Uint8Array(n);
  let state = 0;
  for (let s = 1; s < levels; s++) if ((score[s] as number) > (score[state] as number)) state = s;
  for (let k = n - 1; k >= 0; k--) {
    path[k] = state;
    state = cameFrom[k * levels + state] as number;
  }
  return path;
}
