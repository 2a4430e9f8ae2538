import { fitDays, type DailyValues, type DayFit } from './day-fit.ts';

/** A series of days to be looked through. `at` is what wear goes by (hectares done, or days), never decreasing. */
export interface ModelledDays extends DailyValues {
  readonly at: ArrayLike<number>;
}

/** A part of a season's model: a line, a level from a day on, one day out of line. */
export type Term = { readonly kind: 'drift' } | { readonly kind: 'step' | 'odd'; readonly index: number };

/** Something that may have happened: the terms it would add, and its own column of the model. */
export interface Candidate {
  readonly question: 'drift' | 'step' | 'odd' | 'episode';
  readonly adds: readonly Term[];
  /** The days of [from, to) against the others; the whole length for a drift. */
  readonly from: number;
  readonly to: number;
}

/** Drift, step, odd day, and a level that came and went again. */
export const QUESTIONS = 4;
/** Days a level must last to be one. */
const SHORTEST = 3;

/** Every single thing that could be added: levels last some days, and an odd day stands alone. */
export function candidatesFor(days: ModelledDays, terms: readonly Term[]): readonly Candidate[] {
  const n = days.value.length;
  const breaks = [0, ...terms.flatMap((term) => (term.kind === 'step' ? [term.index] : [])), n];
  const odd = new Set(terms.flatMap((term) => (term.kind === 'odd' ? [term.index] : [])));
  const list: Candidate[] = [];
  const isDriftPossible = (days.at[n - 1] as number) > (days.at[0] as number);
  if (isDriftPossible && !terms.some(({ kind }) => kind === 'drift')) list.push({ question: 'drift', adds: [{ kind: 'drift' }], from: 0, to: n });
  const places: number[] = [];
  for (let index = 0; index < n; index++) {
    if (breaks.every((other) => Math.abs(index - other) >= SHORTEST)) places.push(index);
    if (!odd.has(index)) list.push({ question: 'odd', adds: [{ kind: 'odd', index }], from: index, to: index + 1 });
  }
  for (const from of places) {
    list.push({ question: 'step', adds: [{ kind: 'step', index: from }], from, to: n });
    for (const to of places) {
      if (to - from >= SHORTEST) list.push({ question: 'episode', adds: [{ kind: 'step', index: from }, { kind: 'step', index: to }], from, to });
    }
  }
  return list;
}

const column = (n: number, make: (i: number) => number): Float64Array => Float64Array.from({ length: n }, (_, i) => make(i));

export function candidateColumn(days: ModelledDays, { question, from, to }: Candidate): Float64Array {
  return question === 'drift' ? driftColumn(days) : column(days.value.length, (i) => Number(i >= from && i < to));
}

/** 0 at the first day, 1 at the last. */
function driftColumn({ at }: ModelledDays): Float64Array {
  const [first, last] = [at[0] as number, at[at.length - 1] as number];
  return column(at.length, (i) => ((at[i] as number) - first) / (last - first));
}

/** A column of ones, then one per term. */
export function columnsOf(days: ModelledDays, terms: readonly Term[]): readonly Float64Array[] {
  const n = days.value.length;
  return [column(n, () => 1), ...terms.map((term) => {
    if (term.kind === 'drift') return driftColumn(days);
    return term.kind === 'step' ? column(n, (i) => Number(i >= term.index)) : column(n, (i) => Number(i === term.index));
  })];
}

export const fitOf = (days: ModelledDays, terms: readonly Term[]): DayFit | undefined => fitDays(days, columnsOf(days, terms));

/** By how much each stretch of days would lower the weighted residual squares, weights as they are; from running sums, so that hundreds cost little. */
export function gainsOf(days: ModelledDays, terms: readonly Term[], fit: DayFit, candidates: readonly Candidate[]): Float64Array {
  const n = days.value.length;
  const columns = columnsOf(days, terms);
  const p = columns.length;
  const weight = column(n, (i) => 1 / ((days.uncertainty[i] as number) ** 2 + fit.betweenDays));
  const running = (make: (i: number) => number): Float64Array => {
    const sums = new Float64Array(n + 1);
    for (let i = 0; i < n; i++) sums[i + 1] = (sums[i] as number) + make(i);
    return sums;
  };
  const weights = running((i) => weight[i] as number);
  const residuals = running((i) => Math.sqrt(weight[i] as number) * (fit.residuals[i] as number));
  const products = columns.map((values) => running((i) => (weight[i] as number) * (values[i] as number)));
  return Float64Array.from(candidates, ({ question, from, to }) => {
    if (question === 'drift') return Number.POSITIVE_INFINITY;
    const over = (sums: Float64Array): number => (sums[to] as number) - (sums[from] as number);
    let known = 0;
    for (let a = 0; a < p; a++) for (let b = 0; b < p; b++) known += over(products[a] as Float64Array) * over(products[b] as Float64Array) * (fit.covariance[a * p + b] as number);
    const left = over(weights) - known / fit.scale;
    return left > 1e-9 * over(weights) ? over(residuals) ** 2 / left : 0;
  });
}
