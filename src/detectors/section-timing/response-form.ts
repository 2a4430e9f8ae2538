/**
 * Form of the flow after a command: it goes the share 1 − exp(−(t ÷ s)^k) of its way (Weibull). k = 1 is the exponential tail of
 * product that drags on, k ≈ 3.4 a symmetric rise, large k a step; the same form serves ON and OFF.
 */
export interface ResponseForm {
  /** s from the delay by area to half of the way; 0 for a symmetric response. */
  readonly halfFlow: number;
  readonly scale: number;
  readonly power: number;
  /** ∫₀ᵘ exp(−x^power) dx in steps of `STEP`. */
  readonly table: Float64Array;
  /** Weighted mean square of the points about the best fit. */
  readonly noise: number;
}

/** What was seen at a lag (s from the delay by area): share of the way gone, mean over one sample, and how much it weighs. */
export interface ResponsePoint {
  readonly lag: number;
  readonly gone: number;
  readonly weight: number;
}

const POWERS: readonly number[] = [0.7, 0.85, 1, 1.15, 1.3, 1.5, 1.75, 2, 2.4, 2.8, 3.4, 4.5];
const SCALES: readonly number[] = Array.from({ length: 36 }, (_, i) => 0.05 * 1.12 ** i);
const STEP = 0.01;
const LONGEST = 14;
/** So little is left to go that it no longer shows in a float64 sum. */
const NOTHING = 1e-17;

/**
 * Forms known beforehand: a flow rises about evenly (0.5 to 1.5 s) and stops with a tail (trade.md d.2; common practice, no source). Believed
 * to within a seventh; the counts overrule it when they speak clearly.
 */
const USUAL = { on: 3.4, off: 1 } as const;
const BELIEF = 0.15;

/**
 * The form that, averaged over samples of `interval` s, lies nearest to the points (weighted least squares). Sampling blurs a tail
 * and moves its half; fitting what a sample would show undoes that. `near` = the fit of nearly the same points. `undefined` with fewer points than unknowns.
 */
export function responseForm(points: readonly ResponsePoint[], interval: number, on: boolean, near?: ResponseForm): ResponseForm | undefined {
  if (points.length < 8) return undefined;
  const usual: number = on ? USUAL.on : USUAL.off;
  let noise = near?.noise ?? Number.POSITIVE_INFINITY;
  const search = (belief: number): { readonly power: number; readonly scale: number } => {
    let best = { power: near?.power ?? usual, scale: near?.scale ?? 1, cost: Number.POSITIVE_INFINITY };
    const grid = (powers: readonly number[], scales: readonly number[]): void => {
      for (const power of powers) {
        const table = remainingUpTo(power);
        for (const scale of scales) {
          const misfit = misfitOf(points, interval, scale, table);
          const cost = belief === 0 ? misfit : misfit / noise + (Math.log(power / usual) / belief) ** 2;
          if (cost < best.cost) best = { power, scale, cost };
        }
      }
    };
    if (near === undefined) grid(POWERS, SCALES);
    for (const width of [0.06, 0.025, 0.01, 0.004]) {
      const around = [-2, -1, 0, 1, 2].map((k) => 1 + k * width);
      const { power, scale } = best;
      grid(around.map((factor) => power * factor), around.map((factor) => scale * factor));
    }
    if (belief === 0) noise = Math.max(best.cost / (points.length - 2), Number.MIN_VALUE);
    return best;
  };
  if (near === undefined) search(0);
  const { power, scale } = search(BELIEF);
  const table = remainingUpTo(power);
  return { halfFlow: scale * (Math.LN2 ** (1 / power) - mean(table)), power, scale, table, noise };
}

/** Share of the way gone, mean between two lags from the delay by area, s. */
export function goneBetween({ scale, table }: ResponseForm, from: number, to: number): number {
  const start = -scale * mean(table);
  return 1 - (remaining(to, start, scale, table) - remaining(from, start, scale, table)) / (to - from);
}

/** Of the powers that every search begins with; each is needed for two searches a section and day. */
const begun = new Map<number, Float64Array>();

function remainingUpTo(power: number): Float64Array {
  const known = begun.get(power);
  if (known !== undefined) return known;
  const table = integrated(power);
  if (POWERS.includes(power)) begun.set(power, table);
  return table;
}

/** ∫₀ᵘ exp(−x^k) dx in steps of u. */
function integrated(power: number): Float64Array {
  const table = new Float64Array(Math.round(LONGEST / STEP) + 1);
  let sum = 0;
  for (let i = 1; i < table.length; i++) {
    const left = Math.exp(-(((i - 0.5) * STEP) ** power));
    if (left < NOTHING) return table.fill(sum, i);
    sum += STEP * left;
    table[i] = sum;
  }
  return table;
}

const mean = (table: Float64Array): number => table[table.length - 1] as number;

function misfitOf(points: readonly ResponsePoint[], interval: number, scale: number, table: Float64Array): number {
  const start = -scale * mean(table);
  let sum = 0;
  for (const { lag, gone, weight } of points) {
    const left = (remaining(lag + interval / 2, start, scale, table) - remaining(lag - interval / 2, start, scale, table)) / interval;
    sum += weight * (gone - (1 - left)) ** 2;
  }
  return sum;
}

/** ∫ of what is still to go, from the start of the response on; before it all is still to go. */
function remaining(lag: number, start: number, scale: number, table: Float64Array): number {
  const u = (lag - start) / scale;
  if (u <= 0) return lag - start;
  const at = Math.min(table.length - 1.001, u / STEP);
  const i = Math.floor(at);
  return scale * ((table[i] as number) + (at - i) * ((table[i + 1] as number) - (table[i] as number)));
}
