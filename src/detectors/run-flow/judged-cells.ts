import type { FlowLog, FlowTower } from './flow-log.ts';
import { settlingTime } from './settling.ts';
import { medianInPlace, medianOfPositive } from './typed-median.ts';

/** The cells in which a tower flows steadily by all that is known, and its runs' counts there, side by side. */
export interface JudgedTower {
  /** Cell of each judged entry, ascending. */
  readonly cells: Int32Array;
  /** Counts per run of the tower, same order as its `runs`, one per judged entry; NaN = not logged. */
  readonly counts: readonly Float32Array[];
  /** 1 where the tower as a whole has not collapsed: only there its runs are compared with each other. */
  readonly calm: Uint8Array;
  /** Flow of the whole drill ÷ its usual, per judged entry. */
  readonly drill: Float32Array;
  /** s from command to steady flow. */
  readonly settling: number;
}

/** The day's judged cells, tower by tower. */
export interface JudgedCells {
  readonly towers: readonly JudgedTower[];
  /** 1 where the whole drill gave less than half of its usual flow. */
  readonly collapsed: Uint8Array;
}

const BLOCK = 900;
/** The drill or a tower below half of its usual flow is not the place to compare runs (tank run dry, hand-over, plug). */
const COLLAPSED = 0.5;
const PAD = 10;
/** One tower open at a slanting headland is not the drill. */
const ENOUGH_TOWERS = 3;

export function judgedCells(log: FlowLog): JudgedCells {
  const settling = log.towers.map((tower) => settlingTime(log, tower));
  const means = log.towers.map((tower, t) => towerMeans(log, tower, settling[t] as number));
  const drill = drillLevel(means, log.cells, 1);
  const collapsed = belowUsual(drillLevel(means, log.cells, Math.min(ENOUGH_TOWERS, means.length)), log);
  const disturbed = widened(collapsed, Math.ceil(PAD / log.step));
  const towers = log.towers.map((tower, t): JudgedTower => {
    const mean = means[t] as Float64Array;
    const some = new Int32Array(log.cells);
    let n = 0;
    for (let k = 0; k < log.cells; k++) if (!Number.isNaN(mean[k] as number) && disturbed[k] === 0) some[n++] = k;
    const cells = some.subarray(0, n);
    return {
      cells,
      counts: tower.runs.map((run) => picked(log.runs[run]?.counts ?? new Float64Array(0), cells)),
      calm: calmEntries(picked(mean, cells), picked(drill, cells), log.step),
      drill: picked(drill, cells),
      settling: settling[t] as number,
    };
  });
  return { towers, collapsed };
}

function picked(values: Float64Array, cells: Int32Array): Float32Array {
  const some = new Float32Array(cells.length);
  for (let j = 0; j < some.length; j++) some[j] = values[cells[j] as number] as number;
  return some;
}

/** Mean count of the tower's live runs ÷ its usual value; NaN where closed, not settled, or nothing logged. */
function towerMeans(log: FlowLog, tower: FlowTower, settling: number): Float64Array {
  const mean = new Float64Array(log.cells);
  const known = new Uint8Array(log.cells);
  for (const run of tower.runs) {
    const counts = log.runs[run]?.counts;
    if (counts === undefined || !counts.some((count) => count > 0)) continue;
    for (let k = 0; k < log.cells; k++) {
      const count = counts[k] as number;
      if (Number.isNaN(count)) continue;
      mean[k] = (mean[k] as number) + count;
      known[k] = (known[k] as number) + 1;
    }
  }
  for (let k = 0; k < log.cells; k++) {
    mean[k] = (tower.openFor[k] as number) > settling && (known[k] as number) > 0 ? (mean[k] as number) / (known[k] as number) : Number.NaN;
  }
  const usual = medianOfPositive(mean);
  if (usual > 0) for (let k = 0; k < log.cells; k++) mean[k] = (mean[k] as number) / usual;
  return mean;
}

/** Median over the towers that flow: what common changes of speed, rate and dust do to all. NaN where fewer than `least` do. */
function drillLevel(means: readonly Float64Array[], cells: number, least: number): Float64Array {
  const level = new Float64Array(cells).fill(Number.NaN);
  const values = new Float64Array(means.length);
  for (let k = 0; k < cells; k++) {
    let n = 0;
    for (const mean of means) if (!Number.isNaN(mean[k] as number)) values[n++] = mean[k] as number;
    if (n >= least) level[k] = medianInPlace(values, n);
  }
  return level;
}

/** 1 where the drill, at its speed, gives less than half of what it gave in that quarter of an hour. */
function belowUsual(drill: Float64Array, log: FlowLog): Uint8Array {
  const low = new Uint8Array(log.cells);
  const block = Math.ceil(BLOCK / log.step);
  const perMetre = new Float64Array(block);
  const cells = new Int32Array(block);
  let n = 0;
  const judge = (): void => {
    const usual = medianOfPositive(perMetre.slice(0, n));
    for (let i = 0; i < n; i++) if (!((perMetre[i] as number) >= COLLAPSED * usual)) low[cells[i] as number] = 1;
    n = 0;
  };
  for (let k = 0; k < log.cells; k++) {
    if (Number.isNaN(drill[k] as number)) continue;
    cells[n] = k;
    perMetre[n++] = (drill[k] as number) / ((log.speed[k] as number) > 0.3 ? log.speed[k] as number : 1);
    if (n === block) judge();
  }
  judge();
  return low;
}

/** Where the tower keeps up with the drill, by means over 5 s, so that the noise of thin flow does not punch holes. */
function calmEntries(tower: Float32Array, drill: Float32Array, step: number): Uint8Array {
  const reach = Math.max(0, Math.round(2 / step));
  const low = new Uint8Array(tower.length);
  for (let j = 0; j < tower.length; j++) {
    let own = 0;
    let due = 0;
    for (let i = Math.max(0, j - reach); i <= Math.min(tower.length - 1, j + reach); i++) {
      own += tower[i] as number;
      due += drill[i] as number;
    }
    if (!(own >= COLLAPSED * due)) low[j] = 1;
  }
  const calm = widened(low, Math.ceil(PAD / step));
  for (let j = 0; j < calm.length; j++) calm[j] = calm[j] === 1 ? 0 : 1;
  return calm;
}

function widened(mask: Uint8Array, by: number): Uint8Array {
  const wide = new Uint8Array(mask.length);
  for (let k = 0; k < mask.length; k++) if (mask[k] === 1) wide.fill(1, Math.max(0, k - by), Math.min(mask.length, k + by + 1));
  return wide;
}
