/**
 * The narrowest 95 % interval that any unbiased method can have for the noise put into the short days: half-widths from the
 * Cramér–Rao bound, which for these (locally) linear, Gaussian models is least squares by somebody who knows every noise figure
 * beforehand. What nobody can know from a log (zero of the scale, true loads beyond their tickets, flow of each edge, steepness
 * of the response) is unknown here too.
 */

const NORMAL = 1.96;

/** Mean of an Ornstein–Uhlenbeck slip (sd, memory τ in s) over passes of `seconds` each: sd²·(2τ/T)·(1 − τ/T·(1 − e^(−T/τ))) ÷ passes. */
export function bestWheelRatio({ slip, memory, passes, seconds }: { readonly slip: number; readonly memory: number; readonly passes: number; readonly seconds: number }): number {
  const x = memory / seconds;
  return NORMAL * slip * Math.sqrt((2 * x * (1 - x * (1 - Math.exp(-1 / x)))) / passes);
}

/** Noise of a tank's scale, kg and s: a slow wander, a bounce while moving, white while standing, steps of the display. */
export interface ScaleNoise {
  readonly wander: number;
  readonly wanderMemory: number;
  readonly bounce: number;
  readonly bounceMemory: number;
  readonly standing: number;
  readonly step: number;
}

/** What the tank does in each second: `feed` turns fed, `moving`, and which load is being filled in (−1 = none; those readings count for nothing). */
export interface ScaleSecond {
  readonly feed: number;
  readonly moving: boolean;
  readonly fill: number;
}

/**
 * Span and kg per turn from readings and tickets. A Kalman filter with known noise gives the covariance of the scale's loss per turn
 * and of its gain at each load; tickets (sd `ticket`) make kilograms of them. Relative half-widths.
 */
export function bestScale(seconds: readonly ScaleSecond[], loads: readonly number[], perTurn: number, ticket: number, noise: ScaleNoise): { readonly span: number; readonly perTurn: number } {
  /* State: zero, loss per turn, a gain per load, wander, bounce. */
  const size = loads.length + 4;
  const covariance = Array.from({ length: size }, (_, i) => Float64Array.from({ length: size }, (__, j) => (i === j ? (i < loads.length + 2 ? 1e8 : i === size - 2 ? noise.wander ** 2 : noise.bounce ** 2) : 0)));
  const keep = [Math.exp(-1 / noise.wanderMemory), Math.exp(-1 / noise.bounceMemory)] as const;
  const added = [noise.wander ** 2 * (1 - keep[0] ** 2), noise.bounce ** 2 * (1 - keep[1] ** 2)] as const;
  const seen = new Float64Array(size);
  seen[0] = 1;
  seen[size - 2] = 1;
  for (const { feed, moving, fill } of seconds) {
    for (const [k, factor] of keep.entries()) {
      const at = size - 2 + k;
      for (let i = 0; i < size; i++) {
        (covariance[at] as Float64Array)[i] = ((covariance[at] as Float64Array)[i] as number) * factor;
        (covariance[i] as Float64Array)[at] = ((covariance[i] as Float64Array)[at] as number) * factor;
      }
      (covariance[at] as Float64Array)[at] = ((covariance[at] as Float64Array)[at] as number) + (added[k] as number);
    }
    seen[1] = (seen[1] as number) - feed;
    if (fill >= 0) {
      seen[2 + fill] = 1;
      continue;
    }
    seen[size - 1] = moving ? 1 : 0;
    update(covariance, seen, (moving ? 0 : noise.standing ** 2) + noise.step ** 2 / 12);
  }
  /* Loss per turn = span × kg per turn, gain = span × load, ticket = load: information about span, kg per turn and loads, all at once. */
  const seenStates = Array.from({ length: loads.length + 1 }, (_, i) => 1 + i);
  const information = inverse(seenStates.map((i) => seenStates.map((j) => (covariance[i] as Float64Array)[j] as number)));
  const unknowns = loads.length + 2;
  const slopes = seenStates.map((_, i) => Array.from({ length: unknowns }, (__, u) => (u === 0 ? (i === 0 ? perTurn : (loads[i - 1] as number)) : u === i + 1 ? 1 : 0)));
  const total = Array.from({ length: unknowns }, (_, u) => Array.from({ length: unknowns }, (__, v) =>
    slopes.reduce((sum, a, i) => sum + slopes.reduce((inner, b, j) => inner + (a[u] as number) * ((information[i] as number[])[j] as number) * (b[v] as number), 0), u === v && u >= 2 ? 1 / ticket ** 2 : 0)));
  const best = inverse(total);
  return { span: NORMAL * Math.sqrt(best[0]?.[0] ?? Number.NaN), perTurn: (NORMAL * Math.sqrt(best[1]?.[1] ?? Number.NaN)) / perTurn };
}

/** Gauss–Jordan, symmetric positive definite. */
function inverse(matrix: readonly (readonly number[])[]): readonly (readonly number[])[] {
  const n = matrix.length;
  const rows = matrix.map((line, i) => [...line, ...line.map((_, j) => (i === j ? 1 : 0))]);
  for (let k = 0; k < n; k++) {
    const pivot = rows[k] as number[];
    const by = pivot[k] as number;
    pivot.forEach((value, j) => { pivot[j] = value / by; });
    rows.forEach((row, i) => {
      const factor = row[k] as number;
      if (i !== k) row.forEach((value, j) => { row[j] = value - factor * (pivot[j] as number); });
    });
  }
  return rows.map((row) => row.slice(n));
}

/** One reading, a sum of states `seen` of variance `noise`. */
function update(covariance: readonly Float64Array[], seen: Float64Array, noise: number): void {
  const n = seen.length;
  const gain = new Float64Array(n);
  let total = noise;
  for (let i = 0; i < n; i++) {
    let sum = 0;
    for (let j = 0; j < n; j++) sum += ((covariance[i] as Float64Array)[j] as number) * (seen[j] as number);
    gain[i] = sum;
  }
  for (let i = 0; i < n; i++) total += (gain[i] as number) * (seen[i] as number);
  for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) (covariance[i] as Float64Array)[j] = ((covariance[i] as Float64Array)[j] as number) - ((gain[i] as number) * (gain[j] as number)) / total;
}

/** How a tower's counts answer a command: seeds per second of all its runs, variance over mean, dead time of one sensor, runs, s between samples. */
export interface EdgeNoise {
  readonly seeds: number;
  readonly fano: number;
  readonly deadTime: number;
  readonly runs: number;
  readonly interval: number;
  /** s, standard deviation of the commands' stamps. */
  readonly stamp: number;
  /** s of steady flow that tell its level. */
  readonly steady: number;
}

/** Flow after a command: its share of the way is 1 − exp(−(t ÷ scale)^power). */
export interface Response {
  readonly on: boolean;
  /** s */
  readonly scale: number;
  readonly power: number;
  /** How well the power is known beforehand, standard uncertainty of its logarithm. */
  readonly belief: number;
}

/**
 * Mean over sections of the half-flow delay, from so many edges each. Unknown are each edge's delay and steady level, and, common to
 * all edges, the scale and (within the belief) the power of the response; the edges' phases in the sample are even.
 */
export function bestDelay(edges: readonly number[], noise: EdgeNoise, response: Response): number {
  const { seeds, fano, deadTime, runs, interval, stamp, steady } = noise;
  /* Parameters: s later, level, logarithms of scale and power. */
  const shown = (at: number, [later, level, stretch, bend]: readonly [number, number, number, number]): number => {
    const power = response.power * Math.exp(bend);
    const scale = response.scale * Math.exp(stretch);
    let flow = 0;
    for (let i = 0; i < 50; i++) {
      const t = at + ((i + 0.5) / 50 - 0.5) * interval - later + scale * Math.LN2 ** (1 / power);
      const left = t <= 0 ? 1 : Math.exp(-((t / scale) ** power));
      flow += (response.on ? 1 - left : left) / 50;
    }
    const perRun = (level * seeds * flow) / runs;
    return (runs * perRun * interval) / (1 + deadTime * perRun);
  };
  const start = [0, 1, 0, 0] as const;
  const sum = Array.from({ length: 3 }, () => [0, 0, 0]);
  const phases = 20;
  for (let p = 0; p < phases; p++) {
    const own = Array.from({ length: 4 }, () => [0, 0, 0, 0]);
    for (let k = -8; k <= 8; k++) {
      const at = (k + (p + 0.5) / phases) * interval;
      const mean = shown(at, start);
      if (mean < 1e-6) continue;
      const slopes = start.map((_, i) => {
        const moved = (by: number) => shown(at, start.map((value, j) => (i === j ? value + by : value)) as unknown as typeof start);
        return (moved(0.005) - moved(-0.005)) / 0.01;
      });
      add(own, slopes, 1 / (fano * mean));
    }
    const full = shown(response.on ? 100 : -100, start);
    /* d counts ÷ d level, with the dead time. */
    add(own, [0, full / (1 + (deadTime * seeds) / runs), 0, 0], steady / interval / (fano * full));
    const rest = without(own, 1);
    rest.forEach((line, i) => line.forEach((value, j) => { (sum[i] as number[])[j] = ((sum[i] as number[])[j] as number) + value / phases; }));
  }
  const total = edges.reduce((all, n) => all + n, 0);
  const [tt = 0, ts = 0, tp = 0] = sum[0] ?? [];
  /* What all edges tell of scale and power, each edge's delay unknown. */
  const shared = without(sum, 0).map((line) => line.map((value) => value * total));
  (shared[1] as number[])[1] = (shared[1]?.[1] ?? 0) + 1 / response.belief ** 2;
  const [[a = 0, b = 0] = [], [, d = 0] = []] = shared;
  const common = (ts * ts * d - 2 * ts * tp * b + tp * tp * a) / (a * d - b * b) / (tt * tt);
  /* Stamps blur each edge by themselves. */
  const single = 1 / tt + stamp ** 2;
  return NORMAL * Math.sqrt(edges.reduce((all, n) => all + single / n, 0) / edges.length ** 2 + common);
}

function add(matrix: readonly number[][], vector: readonly number[], weight: number): void {
  matrix.forEach((line, i) => vector.forEach((value, j) => { line[j] = (line[j] as number) + weight * (vector[i] as number) * value; }));
}

/** Information left when one parameter is unknown (Schur complement). */
function without(matrix: readonly (readonly number[])[], k: number): number[][] {
  const at = (i: number, j: number): number => (matrix[i] as readonly number[])[j] as number;
  const kept = matrix.map((_, i) => i).filter((i) => i !== k);
  return kept.map((i) => kept.map((j) => at(i, j) - (at(i, k) * at(k, j)) / at(k, k)));
}
