import type { Span } from '../../../shared/span.ts';
import { massLine, type MassBlock, type MassLine } from './mass-line.ts';

/** The moment from which the scale shows a smaller part of what the meter takes. */
export interface ShareChange {
  /** s, between the last block before and the first after. */
  readonly time: number;
  /** s; any moment in here tells the same: nothing was fed meanwhile. */
  readonly within: Span;
  /** kg per turn after ÷ before, with its 95 % interval. */
  readonly ratio: number;
  readonly low: number;
  readonly high: number;
  readonly before: MassLine;
  readonly after: MassLine;
}

export interface ShareOptions {
  /** Ratios that a cell lost of 3 to 6 leaves: (n − 1)/n, widened by unequal corner shares. trade.md F13, common practice. */
  readonly least: number;
  readonly most: number;
  /** How many standard uncertainties the ratio must lie under 1. */
  readonly sigmas: number;
  /** kg that must have been metered on either side. */
  readonly leastMass: number;
}

/**
 * Looks for one lasting change. For every place between blocks kg per turn before and after come from what the reading lost
 * inside the stretches on either side; the step between the two blocks itself does not count. A stop of the flow can mimic a
 * lower share on average, so each third of the time after must show it.
 */
export function shareChange(blocks: readonly MassBlock[], options: ShareOptions): ShareChange | undefined {
  const raw = blocks.slice(1).map((block, i) => pairOf(blocks[i] as MassBlock, block));
  const { noise, perTurn: usual } = scatterOf(raw);
  const pairs = raw.map((pair) => (Math.abs(pair.mass - usual * pair.turns) > Math.max(10 * noise, LEAST_JUMP) ? { ...pair, mass: 0, turns: 0 } : pair));
  let best = -1;
  let strongest = options.sigmas;
  for (let c = 1; c < pairs.length; c++) {
    const before = lossOf(pairs, 0, c);
    const after = lossOf(pairs, c + 1, pairs.length);
    if (before.turns === 0 || after.turns === 0) continue;
    const perTurn = before.mass / before.turns;
    const ratio = after.mass / after.turns / perTurn;
    if (perTurn * before.turns < options.leastMass || perTurn * after.turns < options.leastMass || ratio < options.least || ratio > options.most) continue;
    const uncertainty = noise * Math.hypot(Math.sqrt(2 * before.stretches) / before.mass, Math.sqrt(2 * after.stretches) / after.mass) * ratio;
    const strength = (1 - ratio) / uncertainty;
    if (strength > strongest && isLasting(pairs, c + 1, perTurn * ratio, noise)) {
      strongest = strength;
      best = c;
    }
  }
  const change = best < 0 ? undefined : measured(blocks, best, withoutFeed(blocks, raw, best));
  const isLost = change !== undefined && change.ratio > options.least && change.ratio < options.most && change.high < 1;
  return isLost ? change : undefined;
}

interface Pair {
  /** kg lost and turns fed from one block to the next; both 0 across two stretches. */
  readonly mass: number;
  readonly turns: number;
  readonly stretch: number;
}

function pairOf(from: MassBlock, to: MassBlock): Pair {
  if (from.stretch !== to.stretch) return { mass: 0, turns: 0, stretch: -1 };
  return { mass: from.mass - to.mass, turns: to.fed - from.fed, stretch: to.stretch };
}

function lossOf(pairs: readonly Pair[], from: number, to: number): { readonly mass: number; readonly turns: number; readonly stretches: number } {
  let mass = 0;
  let turns = 0;
  const stretches = new Set<number>();
  for (let i = from; i < to; i++) {
    const pair = pairs[i] as Pair;
    mass += pair.mass;
    turns += pair.turns;
    if (pair.turns > 0) stretches.add(pair.stretch);
  }
  return { mass, turns, stretches: stretches.size };
}

/** kg; more than a block loses or gains by flow: a jump, left out. */
const LEAST_JUMP = 100;

/** Standard deviation of one block mean, kg, from how the losses scatter about the day's median loss per turn. */
function scatterOf(pairs: readonly Pair[]): { readonly noise: number; readonly perTurn: number } {
  const fed = pairs.filter(({ turns }) => turns > 0);
  const rates = fed.map(({ mass, turns }) => mass / turns).toSorted((a, b) => a - b);
  const rate = rates[Math.floor(rates.length / 2)] ?? 0;
  const misses = fed.map(({ mass, turns }) => Math.abs(mass - rate * turns)).toSorted((a, b) => a - b);
  return { perTurn: rate, noise: Math.max(2, (1.4826 * (misses[Math.floor(misses.length / 2)] ?? 0)) / Math.SQRT2) };
}

function isLasting(pairs: readonly Pair[], from: number, perTurn: number, noise: number): boolean {
  const length = pairs.length - from;
  return [0, 1, 2].every((third) => {
    const part = lossOf(pairs, from + Math.round((third * length) / 3), from + Math.round(((third + 1) * length) / 3));
    const expected = perTurn * part.turns;
    return Math.abs(part.mass - expected) < 4 * noise * Math.SQRT2 + 0.12 * expected;
  });
}

/** From the last block that was fed up to the place `at` to the first that is fed after it. */
function withoutFeed(blocks: readonly MassBlock[], pairs: readonly Pair[], at: number): Span {
  const isFed = ({ turns }: Pair): boolean => turns > 0;
  const before = pairs.slice(0, at).findLastIndex(isFed);
  const after = pairs.findIndex((pair, c) => c > at && isFed(pair));
  return { start: (blocks[before + 1] ?? blocks[0])?.start ?? 0, end: (blocks[after] ?? blocks.at(-1))?.end ?? 0 };
}

function measured(blocks: readonly MassBlock[], last: number, within: Span): ShareChange | undefined {
  const before = massLine(blocks.slice(0, last + 1));
  const after = massLine(blocks.slice(last + 1));
  const from = blocks[last];
  const to = blocks[last + 1];
  if (before === undefined || after === undefined || from === undefined || to === undefined) return undefined;
  const ratio = after.perTurn / before.perTurn;
  const half = 1.96 * ratio * Math.hypot(before.uncertainty / before.perTurn, after.uncertainty / after.perTurn);
  return { within, time: (from.start + from.end + to.start + to.end) / 4, ratio, low: ratio - half, high: ratio + half, before, after };
}
