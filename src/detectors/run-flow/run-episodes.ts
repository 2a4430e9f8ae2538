import type { Interval, Span } from '../../../shared/span.ts';
import { FLOW_LEVELS } from './flow-chart.ts';
import type { FlowLog, FlowTower } from './flow-log.ts';

/** A stretch in which a run or a tower flowed less or more than expected. */
export interface FlowEpisode extends Span {
  /** Judged entries, `to` exclusive. */
  readonly from: number;
  readonly to: number;
  readonly kind: 'low' | 'high';
  /** s of judged flow in it. */
  readonly judgedSeconds: number;
  readonly counts: number;
  readonly expected: number;
  /** Counts ÷ expected. */
  readonly ratio: Interval;
}

export interface Charted {
  readonly counts: Float32Array;
  readonly expected: Float32Array;
  readonly path: Uint8Array;
  readonly dispersion: number;
  /** Standard uncertainty of the own past, ratio. */
  readonly uncertainty: number;
}

/** A healthy run wanders by about this much against its mates (side slope, sensor); common practice, no source. */
const WANDER = 0.01;

/** Stretches of the level path on one side of 'as expected'. */
export function flowEpisodes(charted: Charted, cells: Int32Array, log: FlowLog, tower: FlowTower): readonly FlowEpisode[] {
  const { path } = charted;
  const episodes: FlowEpisode[] = [];
  let from = 0;
  while (from < path.length) {
    const side = sideOf(path[from] as number);
    let to = from + 1;
    while (to < path.length && sideOf(path[to] as number) === side) to++;
    if (side !== 0) episodes.push(episodeOf(charted, cells, log, tower, from, withoutRestart(cells, log.step, from, to), side < 0 ? 'low' : 'high'));
    from = to;
  }
  return episodes.filter((episode) => episode.expected > 0);
}

/** The first seconds after a stop still fill the hoses: a stretch that reaches over a stop by no more than that ended with the stop. */
function withoutRestart(cells: Int32Array, step: number, from: number, to: number): number {
  for (let j = to - 1; j > from && (to - j) * step < FILLING; j--) {
    if (((cells[j] as number) - (cells[j - 1] as number)) * step > SHORT_PAUSE) return j;
  }
  return to;
}

/** s */
const FILLING = 12;

const sideOf = (level: number): number => Math.sign((FLOW_LEVELS[level] as number) - 1);

export function episodeOf(charted: Charted, cells: Int32Array, log: FlowLog, tower: FlowTower, from: number, to: number, kind: 'low' | 'high'): FlowEpisode {
  let counts = 0;
  let expected = 0;
  let known = 0;
  for (let j = from; j < to; j++) {
    const count = charted.counts[j] as number;
    const due = charted.expected[j] as number;
    if (Number.isNaN(count + due)) continue;
    counts += count;
    expected += due;
    known++;
  }
  return {
    ...spanOf(cells, log, tower, from, to),
    from, to, kind, counts, expected, judgedSeconds: known * log.step,
    ratio: ratioOf(counts, expected, charted.dispersion, charted.uncertainty),
  };
}

/** 95 % interval: counting noise, the own past's uncertainty, and what a healthy run wanders. 3 F keeps it open above a count of nothing (Garwood: 3.7 counts). */
export function ratioOf(counts: number, expected: number, dispersion: number, uncertainty: number): Interval {
  const value = counts / expected;
  const counting = (dispersion * (counts + 3 * dispersion)) / expected ** 2;
  const reach = 1.96 * Math.sqrt(counting + value ** 2 * (uncertainty ** 2 + WANDER ** 2));
  return { value, low: Math.max(0, value - reach), high: value + reach };
}

/** s; a pause this short may have held the change itself. */
const SHORT_PAUSE = 60;

/**
 * From and to in seconds. What begins or ends with a pause of the tower changed at an unseen moment: the middle of a turn,
 * and for longer stops the command that opened or closed the tower.
 */
export function spanOf(cells: Int32Array, log: FlowLog, tower: FlowTower, from: number, to: number): Span {
  const { step } = log;
  const first = cells[from] as number;
  const last = cells[to - 1] as number;
  const before = from > 0 ? cells[from - 1] as number : undefined;
  const after = to < cells.length ? cells[to] as number : undefined;
  return {
    start: before === first - 1 ? first * step : changeBetween(before, first, log, tower).opened,
    end: after === last + 1 ? (last + 1) * step : changeBetween(last, after, log, tower).closed,
  };
}

/** Seconds at which an unseen change between two judged cells is taken to have happened, seen from either side. */
function changeBetween(seen: number | undefined, next: number | undefined, log: FlowLog, tower: FlowTower): { readonly opened: number; readonly closed: number } {
  const { step } = log;
  /* A tower that stayed open in between was only not judged there. */
  const opened = next === undefined ? log.cells * step : Math.max((next + 1) * step - (tower.openFor[next] as number), ((seen ?? -1) + 1) * step);
  let closed = 0;
  if (seen !== undefined) {
    let cell = seen;
    while (cell + 1 < (next ?? log.cells) && tower.open[cell + 1] === 1) cell++;
    closed = (cell + 1) * step;
  }
  if (seen === undefined || next === undefined || opened - closed > SHORT_PAUSE) return { opened, closed };
  const middle = (Math.min(opened, closed) + Math.max(opened, closed)) / 2;
  return { opened: middle, closed: middle };
}
