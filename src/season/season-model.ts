import { lagOneAutocorrelation } from '../series/autocorrelation.ts';
import type { Interval } from '../../shared/span.ts';
import { coefficientOf, fitDays, fittedAt, residualSquares, type DayFit } from './day-fit.ts';
import { QUESTIONS, candidateColumn, candidatesFor, columnsOf, fitOf, gainsOf, type Candidate, type ModelledDays, type Term } from './season-terms.ts';

export type { ModelledDays } from './season-terms.ts';

/** What a series of days did: a level that stayed, steps, a drift, odd days. */
export interface SeasonModel {
  /** Level at the first and at the last day as the model has it. */
  readonly first: Interval;
  readonly last: Interval;
  /** The model at every day. */
  readonly expected: Float64Array;
  /** Per unit of `at`. */
  readonly drift?: Interval;
  readonly steps: readonly ModelStep[];
  readonly oddDays: readonly { readonly index: number; readonly difference: Interval }[];
  /** One change alone explains the series as well as another kind: step and drift cannot be told apart. */
  readonly isAmbiguous: boolean;
  /** Standard deviation from day to day beyond the days' own intervals. */
  readonly betweenDays: number;
  /** Smallest p of any question asked of a series that only scatters, all questions allowed for. */
  readonly p: number;
}

export interface ModelStep {
  /** First day at the new level. */
  readonly index: number;
  /** 95 % interval of that index. */
  readonly low: number;
  readonly high: number;
  readonly size: Interval;
}

/** Fewer days show nothing. */
export const FEWEST_DAYS = 6;
const MOST_TERMS = 5;
/** Places of each kind that are looked at closely. */
const MOST_TRIED = 3;
/** 5 % point of the likelihood ratio of a break's place (Hansen 2000, −2 ln(1 − √0.95); from memory). */
const PLACE_95 = -2 * Math.log(1 - Math.sqrt(0.95));

/**
 * Builds the model bit by bit: of all drifts, steps, odd days and levels that came and went the least likely by chance is taken while it stays below
 * `alpha` with every place where it could have been allowed for (Bonferroni: at most so many false alarms); then terms that
 * have become superfluous go. Steps and odd days below `least`, in the unit of the values, are not asked for: they do not grow
 * with time as a drift does. Undefined below `FEWEST_DAYS` days.
 */
export function seasonModel(days: ModelledDays, alpha: number, least = 0): SeasonModel | undefined {
  const n = days.value.length;
  if (n < FEWEST_DAYS) return undefined;
  let terms: readonly Term[] = [];
  let p = 1;
  for (;;) {
    const best = bestAddition(days, terms, least);
    if (terms.length === 0) p = best?.p ?? 1;
    if (best === undefined || best.p >= alpha || terms.length >= MOST_TERMS) break;
    const fuller = withoutSuperfluous(days, [...terms, ...best.candidate.adds], alpha);
    if (fuller.length <= terms.length && !best.candidate.adds.some((term) => fuller.includes(term))) break;
    terms = fuller;
  }
  return described(days, settled(days, terms), p);
}

function bestAddition(days: ModelledDays, terms: readonly Term[], least: number): { readonly candidate: Candidate; readonly p: number } | undefined {
  const now = fitOf(days, terms);
  if (now === undefined) return undefined;
  const candidates = candidatesFor(days, terms);
  const gains = gainsOf(days, terms, now, candidates);
  const ranked = candidates.map((candidate, i) => ({ candidate, gain: gains[i] as number })).sort((a, b) => b.gain - a.gain);
  let best: { readonly candidate: Candidate; readonly p: number } | undefined;
  for (const question of ['drift', 'step', 'odd', 'episode'] as const) {
    const asked = ranked.filter(({ candidate }) => candidate.question === question);
    /* Those that explain most with the weights as they are: only these are worth a fit of their own. */
    for (const { candidate } of asked.slice(0, MOST_TRIED)) {
      const fit = fitDays(days, [...columnsOf(days, terms), candidateColumn(days, candidate)]);
      if (fit === undefined || (question !== 'drift' && Math.abs(fit.coefficients[terms.length + 1] as number) < least)) continue;
      const p = Math.min(1, QUESTIONS * asked.length * coefficientOf(fit, terms.length + 1, inflationOf(fit)).p);
      if (best === undefined || p < best.p) best = { candidate, p };
    }
  }
  return best;
}

/** Steps put where they explain most beside all other terms: each was placed while the later ones were not yet known. */
function settled(days: ModelledDays, terms: readonly Term[]): readonly Term[] {
  const betweenDays = fitOf(days, terms)?.betweenDays ?? 0;
  const squares = (set: readonly Term[]): number => residualSquares(days, columnsOf(days, set), betweenDays);
  return terms.reduce((now, term) => {
    if (term.kind !== 'step') return now;
    const others = now.filter((other) => other !== term);
    let best = now;
    for (const { question, adds } of candidatesFor(days, others)) {
      const moved = [...others, ...adds];
      if (question === 'step' && squares(moved) < squares(best)) best = moved;
    }
    return best;
  }, terms);
}

/** A line is at first taken for steps, or steps for a line: what has become superfluous goes. */
function withoutSuperfluous(days: ModelledDays, terms: readonly Term[], alpha: number): readonly Term[] {
  let kept = terms;
  while (kept.length > 0) {
    const fit = fitOf(days, kept);
    if (fit === undefined) return [];
    const inflation = inflationOf(fit);
    const weakest = kept
      .map((term, index) => ({ term, p: coefficientOf(fit, index + 1, inflation).p * placesOf(days, kept, term) }))
      .reduce((a, b) => (b.p > a.p ? b : a));
    if (weakest.p < alpha) break;
    kept = kept.filter((term) => term !== weakest.term);
  }
  return kept;
}

/** In how many places such a term could have been. */
function placesOf(days: ModelledDays, terms: readonly Term[], { kind }: Term): number {
  const open = candidatesFor(days, terms.filter((term) => term.kind !== kind));
  return QUESTIONS * Math.max(1, open.filter(({ question }) => question === kind).length);
}

/** How much variance grows because days resemble their neighbours (one field after another): (1 + r)/(1 − r), r never below 0. */
function inflationOf(fit: DayFit): number {
  const n = fit.residuals.length;
  if (n < 12) return 1;
  const raw = lagOneAutocorrelation(fit.residuals);
  const fitted = fit.coefficients.length;
  /* Every fitted term pulls the residuals' autocorrelation down by about 1/n. */
  const r = Number.isNaN(raw) ? 0 : Math.min(0.9, Math.max(0, (raw + fitted / n) / Math.max(0.2, 1 - (2 * fitted + 1) / n)));
  return (1 + r) / (1 - r);
}

function described(days: ModelledDays, terms: readonly Term[], p: number): SeasonModel | undefined {
  const fit = fitOf(days, terms);
  if (fit === undefined) return undefined;
  const n = days.value.length;
  const columns = columnsOf(days, terms);
  const inflation = inflationOf(fit);
  const rowAt = (i: number): number[] => columns.map((column, k) => (k > 0 && terms[k - 1]?.kind === 'odd' ? 0 : column[i] as number));
  const length = (days.at[n - 1] as number) - (days.at[0] as number);
  const sizeOf = (index: number): Interval => {
    const { value, low, high } = coefficientOf(fit, index + 1, inflation);
    return { value, low, high };
  };
  const driftAt = terms.findIndex(({ kind }) => kind === 'drift');
  const whole = driftAt < 0 ? undefined : sizeOf(driftAt);
  return {
    first: fittedAt(fit, rowAt(0), inflation),
    last: fittedAt(fit, rowAt(n - 1), inflation),
    expected: Float64Array.from({ length: n }, (_, i) => fittedAt(fit, rowAt(i)).value),
    ...(whole === undefined ? {} : { drift: { value: whole.value / length, low: whole.low / length, high: whole.high / length } }),
    steps: terms.flatMap((term, index) => (term.kind === 'step' ? [{ index: term.index, ...placeOf(days, terms, term, inflation), size: sizeOf(index) }] : [])).sort((a, b) => a.index - b.index),
    oddDays: terms.flatMap((term, index) => (term.kind === 'odd' ? [{ index: term.index, difference: sizeOf(index) }] : [])).sort((a, b) => a.index - b.index),
    isAmbiguous: isAmbiguous(days, terms, inflation),
    betweenDays: Math.sqrt(fit.betweenDays),
    p,
  };
}

/** Weighted residual squares of other terms, in units of this model's residual variance. */
function excess(days: ModelledDays, terms: readonly Term[], other: readonly Term[], inflation: number): number {
  const own = fitOf(days, terms);
  if (own === undefined) return Number.NaN;
  /* One set of weights for both, or the variance between days would swallow what the other does not explain. */
  return (residualSquares(days, columnsOf(days, other), own.betweenDays) - own.squares) / own.scale / inflation;
}

/** All places of a step that the series does not rule out. */
function placeOf(days: ModelledDays, terms: readonly Term[], step: Extract<Term, { index: number }>, inflation: number): { readonly low: number; readonly high: number } {
  const others = terms.filter((term) => term !== step);
  const possible = candidatesFor(days, others).flatMap(({ question, adds, from }) => (question === 'step' && excess(days, terms, [...others, ...adds], inflation) <= PLACE_95 ? [from] : []));
  return { low: Math.min(step.index, ...possible), high: Math.max(step.index, ...possible) };
}

/** Whether a single drift might as well be a step somewhere, or a single step a drift: less than 5 % likely is told apart. */
function isAmbiguous(days: ModelledDays, terms: readonly Term[], inflation: number): boolean {
  const only = terms.find(({ kind }) => kind !== 'odd');
  const rest = terms.filter(({ kind }) => kind === 'odd');
  if (only === undefined || terms.length - rest.length > 1) return false;
  const wanted = only.kind === 'drift' ? 'step' : 'drift';
  return candidatesFor(days, rest).some(({ question, adds }) => question === wanted && excess(days, terms, [...rest, ...adds], inflation) < PLACE_95);
}
