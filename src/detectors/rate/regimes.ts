import type { Span } from '../../../shared/span.ts';
import type { Timeline } from '../../episodes/timeline.ts';
import { massFit, massLine, type MassBlock, type MassLine } from '../scale/mass-line.ts';
import { usualPerTurn } from '../tank-flow/flow-stops.ts';
import { scalePerTurn } from './per-turn.ts';
import type { Charge, ProductDay } from './product-day.ts';

/** A part of the day with one kg per turn. */
export interface Regime extends Span {
  readonly charges: readonly Charge[];
  readonly line: MassLine;
  /** Turns fed, stops left out. */
  readonly turns: number;
}

/** kg per turn changed from one load to the next. */
export interface PerTurnStep {
  readonly before: Regime;
  readonly after: Regime;
  /** After ÷ before, by the scale, with 95 % interval. */
  readonly ratio: number;
  readonly low: number;
  readonly high: number;
  readonly uncertainty: number;
}

/** kg per turn that changes steadily: over the day, or within every load (and back at the next). */
export interface PerTurnDrift {
  readonly kind: 'day' | 'load';
  /** End ÷ start. */
  readonly ratio: number;
  readonly low: number;
  readonly high: number;
  readonly uncertainty: number;
}

export interface PerTurnStory {
  readonly regimes: readonly Regime[];
  readonly steps: readonly PerTurnStep[];
  readonly drift?: PerTurnDrift;
}

export interface RegimeOptions {
  /** Relative change from one load to the next worth naming, and the standard uncertainties it must exceed. */
  readonly leastStep: number;
  readonly stepSigmas: number;
  /** Relative change over the day, and within a load. */
  readonly leastDrift: number;
  readonly driftSigmas: number;
  /** By how much (natural logarithm of the likelihood) drift must explain the readings better than steps. */
  readonly driftAdvantage: number;
}

const storiesOf = new WeakMap<ProductDay, { readonly options: RegimeOptions; readonly story: PerTurnStory | undefined }>();

/** `undefined` when the scale and the turns do not give a single line. Worked out once, for the check of the rate and the day's summary. */
export function perTurnStory(day: ProductDay, timeline: Timeline, options: RegimeOptions): PerTurnStory | undefined {
  const known = storiesOf.get(day);
  if (known !== undefined && known.options === options) return known.story;
  const story = storyOf(day, timeline, options);
  storiesOf.set(day, { options, story });
  return story;
}

function storyOf(day: ProductDay, timeline: Timeline, options: RegimeOptions): PerTurnStory | undefined {
  const whole = regimeOf(day.charges);
  if (whole === undefined) return undefined;
  const split = splitAtLoads(day, timeline, options);
  const drift = driftOf(whole.line.blocks, day.charges, options);
  if (drift !== undefined && (split.length === 1 || drift.logLikelihood - stepLikelihood(whole.line.blocks, split) > options.driftAdvantage)) {
    return { regimes: [whole], steps: [], drift };
  }
  return { regimes: split, steps: split.slice(1).map((after, i) => stepBetween(day, split[i] as Regime, after, timeline)) };
}

function regimeOf(charges: readonly Charge[]): Regime | undefined {
  const blocks = charges.flatMap((charge, i) => charge.blocks.map((block) => ({ ...block, stretch: block.stretch + 1000 * i })));
  const line = massLine(blocks);
  const [first, last] = [charges[0], charges.at(-1)];
  if (line === undefined || first === undefined || last === undefined || !(line.perTurn > 0)) return undefined;
  return { charges, line, start: first.start, end: last.end, turns: charges.reduce((sum, { turns }) => sum + turns, 0) };
}

/** Goes on with a regime as long as the next load's kg per turn does not prove to be another. */
function splitAtLoads(day: ProductDay, timeline: Timeline, { leastStep, stepSigmas }: RegimeOptions): readonly Regime[] {
  const regimes: Regime[] = [];
  let current: Charge[] = [];
  for (const charge of day.charges) {
    const so = regimeOf(current);
    const next = regimeOf([charge]);
    if (so !== undefined && next !== undefined) {
      const step = stepBetween(day, so, next, timeline);
      const size = Math.abs(Math.log(step.ratio));
      if (size > Math.max(leastStep, stepSigmas * step.uncertainty) && Math.abs(Math.log(usualRatio(day, so, next))) > 0.6 * size) {
        regimes.push(so);
        current = [];
      }
    }
    current.push(charge);
  }
  const last = regimeOf(current);
  return last === undefined ? regimes : [...regimes, last];
}

/** By the median over ten minutes at a time: a section that hung for a while is no new kg per turn. */
function usualRatio({ track }: ProductDay, before: Regime, after: Regime): number {
  const usual = ({ charges }: Regime): number => usualPerTurn(track, charges.flatMap(({ stretches }) => stretches)) ?? Number.NaN;
  const ratio = usual(after) / usual(before);
  return Number.isFinite(ratio) ? ratio : 1;
}

function stepBetween(day: ProductDay, before: Regime, after: Regime, timeline: Timeline): PerTurnStep {
  const [earlier, later] = [before, after].map(({ line, charges }) => scalePerTurn(day, line, charges, timeline));
  const ratio = (later?.value ?? Number.NaN) / (earlier?.value ?? Number.NaN);
  const uncertainty = Math.hypot(...[earlier, later].map((one) => (one?.standardUncertainty ?? 0) / (one?.value ?? 1)));
  return { before, after, ratio, uncertainty, low: ratio * (1 - 1.96 * uncertainty), high: ratio * (1 + 1.96 * uncertainty) };
}

/** The better of two straight drifts, when it is large and certain enough. The slope's change per turn is the second unknown. */
function driftOf(blocks: readonly MassBlock[], charges: readonly Charge[], { leastDrift, driftSigmas }: RegimeOptions): (PerTurnDrift & { readonly logLikelihood: number }) | undefined {
  const fed = blocks.map((block) => block.fed);
  const [first, last] = [Math.min(...fed), Math.max(...fed)];
  const starts = charges.map(({ blocks: own }) => Math.min(...own.map((block) => block.fed)));
  const chargeStart = (value: number): number => Math.max(first, ...starts.filter((start) => start <= value));
  const models = [
    { kind: 'day' as const, from: () => first, length: last - first },
    ...(charges.length > 1 ? [{ kind: 'load' as const, from: chargeStart, length: (last - first) / charges.length }] : []),
  ];
  const found = models.flatMap(({ kind, from, length }) => {
    const fit = massFit(blocks, (block, origin) => {
      const zero = from(origin.fed + 1e-6);
      return [block.fed - origin.fed, ((block.fed - zero) ** 2 - (origin.fed - zero) ** 2) / 2];
    });
    if (fit === undefined) return [];
    /* Both unknowns multiply what the reading loses, so a sign is common to them. */
    const start = -(fit.fit.coefficient[0] as number);
    const change = (-(fit.fit.coefficient[1] as number) * length) / start;
    const uncertainty = Math.abs(((fit.fit.standardError[1] as number) * length) / start);
    if (!(start > 0) || Math.abs(change) < leastDrift || Math.abs(change) < driftSigmas * uncertainty) return [];
    return [{ kind, ratio: 1 + change, low: 1 + change - 1.96 * uncertainty, high: 1 + change + 1.96 * uncertainty, uncertainty, logLikelihood: fit.fit.logLikelihood }];
  });
  return found.toSorted((a, b) => b.logLikelihood - a.logLikelihood)[0];
}

/** How well one kg per turn for each regime explains the same readings. */
function stepLikelihood(blocks: readonly MassBlock[], regimes: readonly Regime[]): number {
  const fit = massFit(blocks, (block, origin) => regimes.map(({ start, end }) => (block.start >= start && block.start < end ? block.fed - origin.fed : 0)));
  return fit?.fit.logLikelihood ?? Number.NEGATIVE_INFINITY;
}
