import { median } from '../../series/robust.ts';
import { dispersionOf, expectedCounts, towerReference } from './expected-counts.ts';
import { anyAlarm, levelPath } from './flow-chart.ts';
import type { JudgedTower } from './judged-cells.ts';
import { healthySpread, ownPast, type OwnPast } from './own-past.ts';
import { runLevels, type RunLevels } from './run-levels.ts';
import { stuckStretches, type StuckStretch } from './stuck.ts';
import { presenceOf, type RunPresence } from './vanished.ts';

/** One run of a tower, held against its mates and its own past over the judged entries. */
export interface JudgedRun {
  readonly counts: Float32Array;
  readonly presence: RunPresence;
  readonly stuck: readonly StuckStretch[];
  /** 1 where the run is sound enough to stand for its tower. */
  readonly usable: Uint8Array;
  /** undefined = too little to know how it usually stands to its mates. */
  readonly past?: OwnPast;
  /** exp of the own past's level: its part in the tower's flow. */
  readonly gain: number;
  /** What it should have counted; NaN where the tower collapsed or nothing is known. */
  readonly expected: Float32Array;
  /** Variance ÷ mean used in its charts. */
  readonly dispersion: number;
  /** Index into FLOW_LEVELS per entry; all 0 when no chart alarmed. */
  readonly path: Uint8Array;
  readonly alarmed: boolean;
}

export interface TowerRuns {
  readonly judged: JudgedTower;
  readonly levels: RunLevels;
  /** Same order as the tower's runs. */
  readonly runs: readonly JudgedRun[];
}

export interface DrillRuns {
  readonly towers: readonly TowerRuns[];
  /** Row-to-row spread of healthy levels, ln scale. */
  readonly spread: number;
  /** Variance ÷ mean of the whole drill's runs, cell by cell: the index of dispersion of the log. */
  readonly dispersion: number;
}

/** Runs of a tower that must be sound for it to judge the others. */
export const FEWEST_MATES = 3;
const LEAST_DISPERSION = 0.6;
const MOST_DISPERSION = 12;
/** Prices of the level path: leaving and coming back together a little over the charts' alarm limit. */
const pathCosts = (alarm: number) => ({ leave: alarm - 4, move: 10, back: 6 });

export function judgeRuns(towers: readonly JudgedTower[], step: number, alarm: number): DrillRuns {
  const sound = towers.map((judged): TowerStart => {
    const presence = judged.counts.map((counts) => presenceOf(counts, judged.drill, step));
    return { judged, presence, usable: judged.counts.map((counts, i) => soundEntries(counts, judged.calm, presence[i])) };
  });
  const dispersion = pooledDispersion(sound);
  const starts = sound.map((start): TowerStart & { readonly stuck: readonly (readonly StuckStretch[])[] } => {
    const stuck = start.judged.counts.map((counts) => stuckStretches(counts, dispersion, step));
    return { ...start, stuck, usable: start.usable.map((mask, i) => without(mask, stuck[i] ?? [])) };
  });
  const levels = starts.map(({ judged, usable }) => runLevels(judged.counts, usable, step));
  const spread = healthySpread(levels);
  const fits = starts.map(({ judged, usable }, t) => fitTower(judged, levels[t] as RunLevels, usable, spread, step));
  const slow = median(fits.flat().flatMap((fit) => (fit.slow > 0 ? [fit.slow] : [])));
  const charts = { alarm, least: Math.max(LEAST_DISPERSION, slow || 0) };
  return {
    spread, dispersion,
    towers: starts.map((start, t) => {
      const first = chartTower(start, levels[t] as RunLevels, fits[t] ?? [], charts);
      if (!first.runs.some((run) => run.alarmed)) return first;
      /* Once more without what is at fault: a blocked run moves its mates' mean by a tenth. */
      const usable = first.runs.map((run) => run.usable.map((mark, j) => (mark === 1 && run.path[j] === 0 ? 1 : 0)));
      const again = runLevels(start.judged.counts, usable, step);
      return chartTower({ ...start, usable }, again, fitTower(start.judged, again, usable, spread, step), charts);
    }),
  };
}

interface TowerStart {
  readonly judged: JudgedTower;
  readonly presence: readonly RunPresence[];
  readonly usable: readonly Uint8Array[];
}

function chartTower(
  { judged, presence, usable, stuck }: TowerStart & { readonly stuck: readonly (readonly StuckStretch[])[] },
  levels: RunLevels, fits: readonly RunFit[], { alarm, least }: { readonly alarm: number; readonly least: number },
): TowerRuns {
  const flat = new Uint8Array(judged.cells.length);
  const runs = fits.map((fit, i): JudgedRun => {
    const counts = judged.counts[i] as Float32Array;
    const { expected } = fit;
    const dispersion = Math.min(MOST_DISPERSION, Math.max(least, fit.quick || 0)) * fit.inflation;
    const alarmed = anyAlarm(counts, expected, dispersion, alarm);
    return {
      counts, expected, dispersion, alarmed, gain: fit.gain,
      presence: presence[i] as RunPresence, stuck: stuck[i] ?? [], usable: usable[i] as Uint8Array,
      path: alarmed ? levelPath(counts, expected, dispersion, pathCosts(alarm)) : flat,
      ...(fit.past === undefined ? {} : { past: fit.past }),
    };
  });
  return { judged, levels, runs };
}

interface RunFit {
  readonly past?: OwnPast;
  readonly gain: number;
  readonly expected: Float32Array;
  readonly quick: number;
  readonly slow: number;
  /** 1 + what the mates' own noise adds to the variance. */
  readonly inflation: number;
}

function fitTower(judged: JudgedTower, levels: RunLevels, usable: readonly Uint8Array[], spread: number, step: number): readonly RunFit[] {
  const pasts = levels.ratio.map((ratio, i) => ownPast(ratio, levels.scatter[i] as number, spread));
  const gains = pasts.map((past) => (past === undefined ? Number.NaN : Math.exp(past.level)));
  const masks = usable.map((mask, i) => (Number.isNaN(gains[i] as number) ? new Uint8Array(mask.length) : mask));
  const reference = towerReference(judged.counts, masks, gains);
  const total = gains.reduce((sum, gain) => sum + (gain > 0 ? gain : 0), 0);
  const sound = gains.filter((gain) => gain > 0).length;
  return judged.counts.map((counts, i): RunFit => {
    const past = pasts[i];
    const gain = gains[i] as number;
    const share = gain / total;
    if (past === undefined || sound < FEWEST_MATES) {
      return { gain: Number.NaN, expected: new Float32Array(counts.length).fill(Number.NaN), quick: Number.NaN, slow: Number.NaN, inflation: 1 };
    }
    const expected = expectedCounts(reference, counts, masks[i] as Uint8Array, gain);
    return { past, gain, expected, inflation: 1 / (1 - share), ...dispersionOf(counts, expected, masks[i] as Uint8Array, share, step) };
  });
}

function soundEntries(counts: Float32Array, calm: Uint8Array, presence: RunPresence | undefined): Uint8Array {
  const mask = new Uint8Array(counts.length);
  if (presence === undefined || presence.usual === 0) return mask;
  for (let j = 0; j < mask.length; j++) mask[j] = calm[j] === 1 && !Number.isNaN(counts[j] as number) ? 1 : 0;
  return without(mask, presence.vanished);
}

function without(mask: Uint8Array, stretches: readonly { readonly from: number; readonly to: number }[]): Uint8Array {
  if (stretches.length === 0) return mask;
  const left = Uint8Array.from(mask);
  for (const { from, to } of stretches) left.fill(0, from, to);
  return left;
}

/** Variance ÷ mean of differences between neighbouring cells, the usual run of the drill: what a live sensor's noise is like. */
function pooledDispersion(towers: readonly TowerStart[]): number {
  const values = towers.flatMap(({ judged, usable }) => judged.counts.flatMap((counts, i) => {
    const mask = usable[i] as Uint8Array;
    let squares = 0;
    let sum = 0;
    let n = 0;
    for (let j = 1; j < counts.length; j++) {
      if (mask[j] !== 1 || mask[j - 1] !== 1) continue;
      squares += ((counts[j] as number) - (counts[j - 1] as number)) ** 2 / 2;
      sum += counts[j] as number;
      n++;
    }
    return n > 60 && sum > 0 ? [squares / sum] : [];
  }));
  return values.length === 0 ? 1 : median(values);
}
