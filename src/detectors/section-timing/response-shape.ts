import { seedRate } from '../run-flow/dead-time.ts';
import type { Edge, SectionRuns } from './edges.ts';
import { responseForm, type ResponseForm, type ResponsePoint } from './response-form.ts';

/** How the flow follows a command, all edges laid over each other. */
export interface ResponseShape {
  /** s from the delay by area to half flow: 0 for a symmetric rise, negative for a tail that drags on. */
  readonly halfFlow: number;
  /** s, standard uncertainty of that beside what the edges tell: the form is an assumption. */
  readonly uncertain: number;
  /** s from the command, less each edge's own delay by area; and flow ÷ steady there. */
  readonly lag: readonly number[];
  readonly share: readonly number[];
  /** The form fitted to it; left out with too few samples. */
  readonly form?: ResponseForm;
  /** The form without an eighth of the edges, in turn. */
  readonly forms: readonly ResponseForm[];
}

const BIN = 0.1;
const FROM = -3;
const TO = 5;
const FEWEST_SAMPLES = 300;
/**
 * Per s between samples, standard uncertainty of half flow beside what the edges tell: another form than the fitted family (straight
 * rise, exponential tail) puts it within 0.0015 s at 1 Hz (own simulation); without a fit, half flow and area may be a tail apart.
 */
const LEAST_UNCERTAIN = 0.0015;
const WITHOUT_FORM = 0.035;
/** s smoothed over, symmetrically, so that half flow does not move. */
const REACH = 2;

/** Parts of the edges that are left out in turn to see how much the form depends on which there were. */
const PARTS = 8;

/**
 * A step is defined by its half (checks.md 8.3 D4: the same fraction for ON and OFF). Single edges are too coarse for that at
 * 1 Hz, but their phases differ: together they show the response in tenths of a second.
 */
export function responseShape(sections: readonly SectionRuns[], edges: readonly Edge[], on: boolean): ResponseShape {
  const interval = sections[0]?.towers[0]?.runs[0]?.interval ?? 1;
  const towersOf = new Map(sections.map(({ section, towers }) => [section, towers]));
  const parts = Array.from({ length: PARTS }, emptyPile);
  edges.filter((edge) => edge.on === on).forEach((edge, e) => {
    const pile = parts[e % PARTS] as Pile;
    for (const [t, tower] of (towersOf.get(edge.section) ?? []).entries()) {
      for (const run of tower.runs) pile.samples += addRun(run, edge.time + (edge.seen[t] as number), on, pile.seen, pile.due);
    }
  });
  const whole = sumOf(parts);
  const share = shareOf(whole);
  const lag = share.map((_, b) => FROM + (b + 0.5) * BIN);
  const formOf = (pile: Pile, near?: ResponseForm): ResponseForm | undefined => (pile.samples < FEWEST_SAMPLES ? undefined : responseForm(pointsOf(pile, lag, on), interval, on, near));
  const form = formOf(whole);
  if (form === undefined) return { halfFlow: 0, uncertain: WITHOUT_FORM * interval, lag, share, forms: [] };
  return { halfFlow: form.halfFlow, uncertain: LEAST_UNCERTAIN * interval, lag, share, form, forms: parts.flatMap((part) => formOf(sumOf(parts.filter((other) => other !== part)), form) ?? []) };
}

/** Counts seen, and due at full flow, by lag. */
interface Pile {
  readonly seen: Float64Array;
  readonly due: Float64Array;
  samples: number;
}

const BINS = Math.round((TO - FROM) / BIN);
const emptyPile = (): Pile => ({ seen: new Float64Array(BINS), due: new Float64Array(BINS), samples: 0 });

function sumOf(piles: readonly Pile[]): Pile {
  const sum = emptyPile();
  for (const { seen, due, samples } of piles) {
    for (let b = 0; b < BINS; b++) {
      sum.seen[b] = (sum.seen[b] as number) + (seen[b] as number);
      sum.due[b] = (sum.due[b] as number) + (due[b] as number);
    }
    sum.samples += samples;
  }
  return sum;
}

const shareOf = ({ seen, due }: Pile): readonly number[] => Array.from(seen, (_, b) => {
  let counts = 0;
  let full = 0;
  for (let i = Math.max(0, b - REACH); i <= Math.min(BINS - 1, b + REACH); i++) {
    counts += seen[i] as number;
    full += due[i] as number;
  }
  return full > 0 ? counts / full : Number.NaN;
});

/** Added to the share of flow that weighs a lag: counts vary in step with their number. */
const FLOOR = 0.1;

const pointsOf = (pile: Pile, lag: readonly number[], on: boolean): readonly ResponsePoint[] => {
  const smooth = shareOf(pile);
  return lag.flatMap((at, b) => {
    const due = pile.due[b] as number;
    const share = (pile.seen[b] as number) / due;
    return due > 0 ? [{ lag: at, gone: on ? share : 1 - share, weight: due / (FLOOR + (smooth[b] as number)) }] : [];
  });
};

/** Adds one run's samples round an edge; its steady level is that of the stretch on the flowing side. */
function addRun({ time, value, interval }: SectionRuns['towers'][number]['runs'][number], zero: number, on: boolean, seen: Float64Array, due: Float64Array): number {
  let k = lowerBound(time, zero - 14);
  let level = 0;
  let n = 0;
  const inside: number[] = [];
  for (; k < time.length && (time[k] as number) < zero + 14; k++) {
    const lag = (time[k] as number) - zero;
    const rate = seedRate(value[k] as number);
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
    seen[bin] = (seen[bin] as number) + seedRate(value[i] as number);
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
