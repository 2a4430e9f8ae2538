import { lagOneAutocorrelation } from '../../series/autocorrelation.ts';
import { optimalPartition, robustSigmaOfDifferences } from '../../series/change-point.ts';
import { median } from '../../series/robust.ts';
import type { Level } from './levels.ts';
import type { SpeedOptions } from './options.ts';
import type { RatioWindow } from './windows.ts';

/** Least believable scatter of a block, ratio: below it rounding rules. */
const LEAST_SIGMA = 0.0005;

/**
 * The day cut into levels of the ratio: optimal partition of two-minute medians, each break costing 2·σ²·ln n, more
 * where neighbours resemble each other, since slip's memory makes breaks of its own.
 */
export function levelsOfDay(windows: readonly RatioWindow[], options: SpeedOptions): readonly Level[] {
  const blocks = blocksOf(windows, options.windowsPerBlock);
  if (blocks.length === 0) return [];
  const values = blocks.map(({ from, to }) => median(windows.slice(from, to).map(({ logRatio }) => logRatio)));
  const sigma = Math.max(LEAST_SIGMA, robustSigmaOfDifferences(values) || 0);
  const partition = (r: number): readonly number[] => optimalPartition(values, {
    penalty: 2 * sigma ** 2 * Math.log(Math.max(2, values.length)) * ((1 + r) / (1 - r)),
    minimumLength: options.shortestLevel,
  }).breaks;
  /* Breaks first with some autocorrelation assumed, then with the one found within the segments. */
  const within = lagOneAutocorrelation(values, partition(0.3));
  const breaks = partition(Math.min(0.9, Math.max(0, Number.isNaN(within) ? 0 : within)));
  const edges = [0, ...breaks, blocks.length];
  return edges.slice(1).map((end, i) => levelOf(windows, values, blocks, edges[i] as number, end));
}

interface Block { readonly from: number; readonly to: number }

function blocksOf(windows: readonly RatioWindow[], size: number): readonly Block[] {
  return Array.from({ length: Math.floor(windows.length / size) }, (_, i, count = Math.floor(windows.length / size)) =>
    ({ from: i * size, to: i + 1 === count ? windows.length : (i + 1) * size }));
}

function levelOf(windows: readonly RatioWindow[], values: readonly number[], blocks: readonly Block[], first: number, end: number): Level {
  const [from, to] = [(blocks[first] as Block).from, (blocks[end - 1] as Block).to];
  const own = values.slice(first, end);
  const level = median(own);
  const spread = Math.sqrt(own.reduce((sum, value) => sum + (value - level) ** 2, 0) / Math.max(1, own.length - 1));
  return {
    from, to, level,
    start: (windows[from] as RatioWindow).start,
    end: (windows[to - 1] as RatioWindow).end,
    uncertainty: Math.max(spread, LEAST_SIGMA) / Math.sqrt(own.length),
    seconds: windows.slice(from, to).reduce((sum, window) => sum + window.end - window.start, 0),
  };
}

/**
 * Where between two levels the ratio changes, by the window: the best split of the windows around the break.
 * The 95 % interval holds the splits that fit nearly as well (squared residuals within 4σ² of the best).
 */
export function changeBetween(windows: readonly RatioWindow[], before: Level, after: Level, options: SpeedOptions): { readonly time: number; readonly low: number; readonly high: number } {
  const reach = 2 * options.windowsPerBlock;
  const from = Math.max(before.from, before.to - reach);
  const to = Math.min(after.to, after.from + reach);
  const around = windows.slice(from, to);
  const cost = (split: number): number => around.reduce((sum, { logRatio }, i) => sum + (logRatio - (i < split ? before.level : after.level)) ** 2, 0);
  const costs = Array.from({ length: around.length + 1 }, (_, split) => cost(split));
  const best = costs.indexOf(Math.min(...costs));
  const sigma = Math.max(LEAST_SIGMA, robustSigmaOfDifferences(around.map(({ logRatio }) => logRatio)) || 0);
  const likely = costs.flatMap((value, split) => (value <= (costs[best] as number) + 4 * sigma ** 2 ? [split] : []));
  const edge = (split: number): number => (around[split] ?? around.at(-1) ?? after).start;
  return { time: edge(best), low: edge(Math.min(...likely) - 1 < 0 ? 0 : Math.min(...likely) - 1), high: (around[Math.max(...likely)] ?? after).end };
}
