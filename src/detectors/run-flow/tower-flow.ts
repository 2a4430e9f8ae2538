import { CHART_RATIOS, firstAlarm, levelPath } from './flow-chart.ts';
import type { FlowLog } from './flow-log.ts';
import { ownPast } from './own-past.ts';
import { flowEpisodes, type FlowEpisode } from './run-episodes.ts';
import type { DrillRuns, TowerRuns } from './tower-runs.ts';
import { medianInPlace, medianOfKnown } from './typed-median.ts';

/** A tower against the other towers and its own past. */
export interface TowerFlow {
  /** ln of its usual flow per run ÷ that of the usual tower; NaN with nothing to compare. */
  readonly offset: number;
  readonly episodes: readonly FlowEpisode[];
  /** Flow per cell of the day, in counts of its usual run, from all live runs; NaN where not judged. */
  readonly all: Float64Array;
  /** Flow of the other towers ÷ usual, per cell of the day; NaN where none is judged. */
  readonly others: Float64Array;
}

const WINDOW = 60;
const FEWEST_CLEAN = 2;
/** Tower-to-tower spread believed in without evidence, ln scale. */
const SPREAD = 0.05;

/**
 * A tower's flow lies between the counts of all its live runs (right when a silent run is truly blocked: its share went to
 * its mates) and those of its sound runs (right when only the sensor is silent). It is low only if both are.
 */
export function towerFlows(log: FlowLog, drill: DrillRuns, alarm: number): readonly TowerFlow[] {
  const flows = drill.towers.map((runs) => flowBounds(runs, log.cells));
  const usual = flows.map(({ all }) => medianOfKnown(all));
  const middle = medianOfKnown(Float64Array.from(usual));
  return drill.towers.map((tower, t): TowerFlow => {
    const { all, sound, weight } = flows[t] as FlowBounds;
    const others = othersAt(flows, usual, t, log.cells);
    const cells = tower.judged.cells.filter((k) => !Number.isNaN(others[k] as number) && !Number.isNaN(all[k] as number));
    /* ln of its usual flow against that of the usual tower: where it stood most of the day, right or wrong */
    const standing = Math.log((usual[t] as number) / middle);
    const past = ownPast(windowRatios(all, others, cells).map((ratio) => ratio + standing), 0.01, SPREAD);
    if (past === undefined) return { offset: Number.NaN, episodes: [], all, others };
    const factor = Math.exp(past.level - standing);
    const counts = new Float32Array(cells.length);
    const expected = new Float32Array(cells.length);
    for (let j = 0; j < counts.length; j++) {
      const k = cells[j] as number;
      const most = Number.isNaN(sound[k] as number) ? all[k] as number : Math.max(all[k] as number, sound[k] as number);
      counts[j] = weight * most;
      expected[j] = weight * factor * (others[k] as number);
    }
    const dispersion = dispersionOfTower(counts, expected);
    const isOff = CHART_RATIOS.some((ratio) => ratio < 1 && firstAlarm(counts, expected, ratio, dispersion, alarm) >= 0);
    const path = isOff ? levelPath(counts, expected, dispersion, { leave: alarm - 4, move: 10, back: 6 }) : new Uint8Array(counts.length);
    const plan = log.towers[t];
    const charted = { counts, expected, path, dispersion, uncertainty: past.uncertainty };
    return { offset: past.level, all, others, episodes: plan === undefined ? [] : flowEpisodes(charted, cells, log, plan).filter(({ kind }) => kind === 'low') };
  });
}

interface FlowBounds {
  /** 1 where all its runs are sound. */
  readonly clean: Uint8Array;
  readonly all: Float64Array;
  readonly sound: Float64Array;
  /** Sum of the gains of all live runs. */
  readonly weight: number;
}

function flowBounds({ judged, runs }: TowerRuns, cells: number): FlowBounds {
  const n = judged.cells.length;
  const live: RunSum = { counts: new Float64Array(n), gains: new Float64Array(n) };
  const sane: RunSum = { counts: new Float64Array(n), gains: new Float64Array(n) };
  let weight = 0;
  for (let i = 0; i < runs.length; i++) {
    const run = runs[i] as TowerRuns['runs'][number];
    if (!(run.gain > 0)) continue;
    const counts = judged.counts[i] as Float32Array;
    const out = outOfOrder(run);
    addRun(live, counts, run.gain, out, 1);
    addRun(sane, counts, run.gain, out, 0);
    weight += run.gain;
  }
  const clean = new Uint8Array(cells);
  for (let j = 0; j < n; j++) if ((live.gains[j] as number) > 0 && sane.gains[j] === live.gains[j]) clean[judged.cells[j] as number] = 1;
  return { clean, all: perGain(live, judged.cells, cells), sound: perGain(sane, judged.cells, cells), weight };
}

/** Counts of some runs together and their gains, per judged entry. */
interface RunSum {
  readonly counts: Float64Array;
  readonly gains: Float64Array;
}

/** Adds a run where it is no worse out of order than `worst`. */
function addRun({ counts, gains }: RunSum, own: Float32Array, gain: number, out: Uint8Array, worst: number): void {
  for (let j = 0; j < own.length; j++) {
    const count = own[j] as number;
    if (Number.isNaN(count) || (out[j] as number) > worst) continue;
    counts[j] = (counts[j] as number) + count;
    gains[j] = (gains[j] as number) + gain;
  }
}

/** Flow per cell of the day; NaN where no run was added. */
function perGain({ counts, gains }: RunSum, judged: Int32Array, cells: number): Float64Array {
  const flow = new Float64Array(cells).fill(Number.NaN);
  for (let j = 0; j < judged.length; j++) if ((gains[j] as number) > 0) flow[judged[j] as number] = (counts[j] as number) / (gains[j] as number);
  return flow;
}

/** Per entry 0 = sound, 1 = low or silent, 2 = says nothing (stuck). */
function outOfOrder(run: TowerRuns['runs'][number]): Uint8Array {
  const out = new Uint8Array(run.path.length);
  if (run.alarmed) for (let j = 0; j < out.length; j++) out[j] = run.path[j] === 0 ? 0 : 1;
  for (const { from, to } of run.presence.vanished) out.fill(1, from, to);
  for (const { from, to } of run.stuck) out.fill(2, from, to);
  return out;
}

/** Median over the other towers of flow ÷ usual flow, those without a run at fault first: one of them off does not move it. */
function othersAt(flows: readonly FlowBounds[], usual: readonly number[], own: number, cells: number): Float64Array {
  const level = new Float64Array(cells).fill(Number.NaN);
  const values = new Float64Array(flows.length);
  const rest = flows.flatMap(({ all, clean }, t) => (t === own ? [] : [{ all, clean, usual: usual[t] as number }]));
  for (const enough of [FEWEST_CLEAN, 1]) {
    for (let k = 0; k < cells; k++) {
      if (!Number.isNaN(level[k] as number)) continue;
      let n = 0;
      for (let t = 0; t < rest.length; t++) {
        const { all, clean, usual: its } = rest[t] as (typeof rest)[number];
        const value = all[k] as number;
        if (value >= 0 && (enough === 1 || clean[k] === 1)) values[n++] = value / its;
      }
      if (n >= enough) level[k] = medianInPlace(values, n) * (usual[own] as number);
    }
  }
  return level;
}

function windowRatios(flow: Float64Array, others: Float64Array, cells: Int32Array): Float64Array {
  const windows = new Float64Array(Math.floor(cells.length / WINDOW));
  for (let w = 0; w < windows.length; w++) {
    let own = 0;
    let due = 0;
    for (let j = w * WINDOW; j < (w + 1) * WINDOW; j++) {
      own += flow[cells[j] as number] as number;
      due += others[cells[j] as number] as number;
    }
    windows[w] = own > 0.02 * due ? Math.log(own / due) : Number.NaN;
  }
  return windows;
}

/** The larger of the indices of dispersion by cells and by half minutes, median over the day. */
function dispersionOfTower(counts: Float32Array, expected: Float32Array): number {
  const of = (width: number): number => {
    const values: number[] = [];
    for (let from = 0; from + width <= counts.length; from += width) {
      let off = 0;
      let due = 0;
      for (let j = from; j < from + width; j++) {
        off += (counts[j] as number) - (expected[j] as number);
        due += expected[j] as number;
      }
      if (due > 0) values.push((off * off) / due);
    }
    return medianInPlace(Float64Array.from(values)) / 0.4549364;
  };
  return Math.max(1, of(1) || 0, of(30) || 0);
}
