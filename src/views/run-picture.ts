import type { Day } from '../../shared/day.ts';
import { BLANK_RATIO, type RunPictureMeta, type RunRow } from '../../shared/day-views.ts';
import type { Pack } from '../../shared/column-pack.ts';
import type { Setup } from '../../shared/setup.ts';
import type { Episodes } from '../episodes/episodes.ts';
import type { Timeline } from '../episodes/timeline.ts';
import { median } from '../series/robust.ts';
import { maskOf } from '../series/spans.ts';
import { mediansOfOthers, usualShares } from './gains.ts';

/** Seconds of the day's usual shares are taken over cells of this length. */
const SHARE_CELL = 30;
/** Share of the tower's usual flow below which it is just starting or ending: nothing to compare yet. */
const FLOWING = 0.3;

interface RunFlow extends RunRow {
  readonly flow: Flow;
}

/** Counts of the known seconds before each second, and how many seconds those are; unknown where the run is off or not logged. */
interface Flow {
  readonly counts: Float64Array;
  readonly seconds: Float64Array;
}

interface Row {
  readonly flow: RunFlow;
  /** Its usual share of the tower. */
  readonly share: number;
  /** Position among the tower's mates; -1 = set aside, mate of none. */
  readonly mate: number;
}

interface Family {
  readonly rows: readonly Row[];
  /** Usual flow of a run of the tower, counts per second. */
  readonly usual: number;
}

/** Every run over time relative to its tower mates, at most one cell per second. */
export interface RunPicture {
  readonly rows: readonly RunRow[];
  readonly over: (from: number, to: number, columns: number) => Pack<RunPictureMeta>;
}

export function createRunPicture(day: Pick<Day, 'channels'>, setup: Setup, timeline: Timeline, episodes: Pick<Episodes, 'working'>): RunPicture {
  const flows = runFlows(day, setup, timeline, episodes);
  const families = [...new Set(flows.map(({ tower }) => tower))].map((tower) => familyOf(flows.filter((flow) => flow.tower === tower), timeline.length));
  const rows = families.flatMap((family) => family.rows.map(({ flow: { run, tower, section, aside } }): RunRow => ({ run, tower, aside, ...(section === undefined ? {} : { section }) })));
  const over = (from: number, to: number, wanted: number): Pack<RunPictureMeta> => {
    const first = Math.max(0, Math.floor(from));
    const last = Math.min(timeline.length, Math.max(first + 1, Math.ceil(to)));
    const columns = Math.max(1, Math.min(wanted, last - first));
    const ratio = new Uint16Array(rows.length * columns).fill(BLANK_RATIO);
    let row = 0;
    for (const family of families) {
      fillRatios(family, ratio, row, { first, last, columns });
      row += family.rows.length;
    }
    return { meta: { from: first, to: last, columns, runs: rows }, columns: { ratio } };
  };
  return { rows, over };
}

function runFlows({ channels }: Pick<Day, 'channels'>, setup: Setup, timeline: Timeline, episodes: Pick<Episodes, 'working'>): readonly RunFlow[] {
  const { towers, setAside } = setup.machine;
  const working = maskOf(episodes.working, timeline.length);
  const numbers = [...new Set(channels.flatMap(({ id }) => /^run\.(\d+)\.count$/.exec(id)?.[1] ?? []))].map(Number).sort((a, b) => a - b);
  const order = (run: number): number => {
    const place = towers.findIndex((tower) => tower.runs.includes(run));
    return place < 0 ? towers.length : place;
  };
  return numbers.toSorted((a, b) => order(a) - order(b) || a - b).flatMap((run): RunFlow[] => {
    const rate = timeline.mean(`run.${run}.count`);
    if (rate === undefined) return [];
    const tower = towers.find(({ runs }) => runs.includes(run));
    const state = tower?.section === undefined ? undefined : timeline.held(`section.${tower.section}.on`);
    const flow = flowOf(rate.map((value, k) => (working[k] === 1 && (state === undefined || !((state[k] as number) < 0.5)) ? value : Number.NaN)));
    return [{ run, tower: tower?.id ?? '', aside: setAside.includes(`run.${run}`) || setAside.includes(`run.${run}.count`), flow, ...(tower?.section === undefined ? {} : { section: tower.section }) }];
  });
}

function familyOf(flows: readonly RunFlow[], length: number): Family {
  const cells = { first: 0, last: length, columns: Math.max(1, Math.floor(length / SHARE_CELL)) };
  const mates = flows.filter(({ aside }) => !aside);
  const means = new Map(flows.map((flow) => [flow, meansOver(flow.flow, cells)]));
  const shares = usualShares(mates.map((flow) => means.get(flow) as Float32Array));
  const rows = flows.map((flow): Row => {
    const mate = mates.indexOf(flow);
    return { flow, mate, share: mate < 0 ? 1 : shares[mate] as number };
  });
  const usual = median([...means.values()].map((row) => median([...row].filter((each) => each > 0))).filter((each) => each > 0));
  return { rows, usual };
}

interface Cells {
  readonly first: number;
  readonly last: number;
  readonly columns: number;
}

function fillRatios({ rows, usual }: Family, ratio: Uint16Array, firstRow: number, cells: Cells): void {
  const runs = rows.length;
  /* Cell by cell, the runs of a cell side by side. */
  const even = new Float32Array(runs * cells.columns);
  rows.forEach(({ flow, share }, r) => meansInto(even, r, runs, flow.flow, share, cells));
  const counts = Uint8Array.from(rows, ({ mate }) => (mate >= 0 ? 1 : 0));
  const others = new Float64Array(runs);
  const least = FLOWING * usual;
  for (let column = 0; column < cells.columns; column++) {
    const at = column * runs;
    mediansOfOthers(even, at, counts, others);
    for (let r = 0; r < runs; r++) {
      const mine = even[at + r] as number;
      const mates = others[r] as number;
      if (!Number.isNaN(mine) && mates > least) ratio[(firstRow + r) * cells.columns + column] = Math.min(BLANK_RATIO - 1, Math.round((1000 * mine) / mates));
    }
  }
}

function flowOf(rate: Float64Array): Flow {
  const [counts, seconds] = [new Float64Array(rate.length + 1), new Float64Array(rate.length + 1)];
  for (let k = 0; k < rate.length; k++) {
    const value = rate[k] as number;
    const isKnown = !Number.isNaN(value);
    counts[k + 1] = (counts[k] as number) + (isKnown ? value : 0);
    seconds[k + 1] = (seconds[k] as number) + (isKnown ? 1 : 0);
  }
  return { counts, seconds };
}

/** Means of the known seconds in each of `columns` equal cells. */
function meansOver(flow: Flow, cells: Cells): Float32Array {
  const means = new Float32Array(cells.columns);
  meansInto(means, 0, 1, flow, 1, cells);
  return means;
}

/** As `meansOver`, over its share, into every `stride`-th place from `at` on. */
function meansInto(into: Float32Array, at: number, stride: number, { counts, seconds }: Flow, share: number, { first, last, columns }: Cells): void {
  const width = (last - first) / columns;
  let start = first;
  for (let column = 0; column < columns; column++) {
    const end = column + 1 === columns ? last : Math.round(first + (column + 1) * width);
    const known = (seconds[end] as number) - (seconds[start] as number);
    /* a sum of differences may leave a crumb where there is nothing */
    into[at + column * stride] = known > 0 ? Math.max(0, ((counts[end] as number) - (counts[start] as number)) / known) / share : Number.NaN;
    start = end;
  }
}
