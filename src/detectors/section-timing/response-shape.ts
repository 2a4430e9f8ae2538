import type { Edge, SectionRuns } from './edges.ts';

/** How the flow follows a command, all edges laid over each other. */
export interface ResponseShape {
  /** s from the delay by area to half flow: 0 for a symmetric rise, negative for a tail that drags on. */
  readonly halfFlow: number;
  /** s by which that may be wrong either way: the tail's form is an assumption. */
  readonly uncertain: number;
  /** s from the command, less each edge's own delay by area; and flow ÷ steady there. */
  readonly lag: readonly number[];
  readonly share: readonly number[];
}

const BIN = 0.1;
const FROM = -3;
const TO = 5;
const FEWEST_SAMPLES = 300;
/** Per s between samples; a tail shorter than a sample cannot be told from a step. */
const LEAST_UNCERTAIN = 0.02;
const TAIL_TIMES = 3;
/** s smoothed over, symmetrically, so that half flow does not move. */
const REACH = 2;

/**
 * A step is defined by its half (checks.md 8.3 D4: the same fraction for ON and OFF). Single edges are too coarse for that at
 * 1 Hz, but their phases differ: together they show the response in tenths of a second.
 */
export function responseShape(sections: readonly SectionRuns[], edges: readonly Edge[], on: boolean): ResponseShape {
  const interval = sections[0]?.towers[0]?.runs[0]?.interval ?? 1;
  const bins = Math.round((TO - FROM) / BIN);
  const seen = new Float64Array(bins);
  const due = new Float64Array(bins);
  let samples = 0;
  const towersOf = new Map(sections.map(({ section, towers }) => [section, towers]));
  for (const edge of edges) {
    if (edge.on !== on) continue;
    for (const [t, tower] of (towersOf.get(edge.section) ?? []).entries()) {
      const zero = edge.time + (edge.seen[t] as number);
      for (const run of tower.runs) samples += addRun(run, zero, on, seen, due);
    }
  }
  const share = Array.from(seen, (_, b) => {
    let counts = 0;
    let full = 0;
    for (let i = Math.max(0, b - REACH); i <= Math.min(bins - 1, b + REACH); i++) {
      counts += seen[i] as number;
      full += due[i] as number;
    }
    return full > 0 ? counts / full : Number.NaN;
  });
  const lag = share.map((_, b) => FROM + (b + 0.5) * BIN);
  const blurred = samples < FEWEST_SAMPLES ? 0 : halfAt(lag, share, on);
  const halfFlow = on ? blurred : withoutBlur(blurred, interval);
  return { halfFlow, uncertain: Math.max((on ? 1 : TAIL_TIMES) * LEAST_UNCERTAIN * interval, Math.abs(halfFlow - blurred)), lag, share };
}

/** Adds one run's samples round an edge; its steady level is that of the stretch on the flowing side. */
function addRun({ time, value, interval }: SectionRuns['towers'][number]['runs'][number], zero: number, on: boolean, seen: Float64Array, due: Float64Array): number {
  let k = lowerBound(time, zero - 14);
  let level = 0;
  let n = 0;
  const inside: number[] = [];
  for (; k < time.length && (time[k] as number) < zero + 14; k++) {
    const lag = (time[k] as number) - zero;
    const rate = value[k] as number;
    if (Number.isNaN(rate)) return 0;
    if (on ? lag > 3 : lag < -4) {
      level += rate;
      n++;
    }
    if (lag >= FROM && lag < TO) inside.push(k);
  }
  if (n * interval < 5 || level === 0) return 0;
  for (const i of inside) {
    const bin = Math.min(seen.length - 1, Math.floor(((time[i] as number) - zero - FROM) / BIN));
    seen[bin] = (seen[bin] as number) + (value[i] as number);
    due[bin] = (due[bin] as number) + level / n;
  }
  return inside.length;
}

function lowerBound(time: Float64Array, from: number): number {
  let low = 0;
  let high = time.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((time[middle] as number) < from) low = middle + 1;
    else high = middle;
  }
  return low;
}

/**
 * Sampling over T and smoothing over S blur a tail and move its half later. For an exponential tail the half lies τ(1 − ln 2) before
 * the area's delay and the blur moves it by (T² + S²) ÷ 24τ; solved for τ.
 */
function withoutBlur(half: number, interval: number): number {
  if (half >= 0) return half;
  const ahead = 1 - Math.LN2;
  const blur = (interval ** 2 + ((2 * REACH + 1) * BIN) ** 2) / 24;
  const tau = (-half + Math.sqrt(half * half + 4 * ahead * blur)) / (2 * ahead);
  return -ahead * tau;
}

/** The crossing of one half nearest to 0, linear between bins. */
function halfAt(lag: readonly number[], share: readonly number[], on: boolean): number {
  let best = Number.NaN;
  for (let b = 1; b < share.length; b++) {
    const [before, after] = [share[b - 1] as number, share[b] as number];
    const crosses = on ? before < 0.5 && after >= 0.5 : before >= 0.5 && after < 0.5;
    if (!crosses) continue;
    const at = (lag[b - 1] as number) + (BIN * (0.5 - before)) / (after - before);
    if (Number.isNaN(best) || Math.abs(at) < Math.abs(best)) best = at;
  }
  return Number.isNaN(best) || Math.abs(best) > 1.5 ? 0 : best;
}
