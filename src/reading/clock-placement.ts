import { toIso } from '../../shared/clock.ts';
import { formatDuration } from '../../shared/text.ts';
import type { ClockHistory, ClockStretch } from './record-clock.ts';

/** Which part of a log's clock history makes sense, as logged. */
export interface ClockPlacement {
  /** Seconds as logged, first and last of the main part; NaN without any timed record. */
  readonly start: number;
  readonly end: number;
  /** Whether the log's times are real dates; otherwise they count from the log's start. */
  readonly hasWallClock: boolean;
  /** Stretches in file order; those not of the main part are of a clock that was far off. */
  readonly stretches: readonly (ClockStretch & { readonly isMain: boolean })[];
  readonly notes: readonly string[];
}

/** s since 1970: earlier stamps (before March 1973) come from a counter or an unset clock, not from a wall clock. */
const FIRST_WALL_CLOCK = 1e8;
/** s; stretches further than this from all others belong to a clock that was wrong. */
export const FAR = 7 * 24 * 3600;
/** A real date beats a counter as main part even when it came late in the log, from this share of the records on. */
const SHARE_OF_WALL_CLOCK = 0.02;

export function placeClock(history: ClockHistory): ClockPlacement {
  const { stretches } = history;
  const main = mainCluster(stretches);
  if (main.length === 0) return { start: Number.NaN, end: Number.NaN, hasWallClock: false, stretches: [], notes: clockNotes(history) };
  const start = Math.min(...main.map((stretch) => stretch.first));
  const end = Math.max(...main.map((stretch) => stretch.last));
  const isMain = new Set(main);
  const strays = stretches.filter((stretch) => !isMain.has(stretch));
  const hasWallClock = start >= FIRST_WALL_CLOCK;
  return {
    start,
    end,
    hasWallClock,
    stretches: stretches.map((stretch) => ({ ...stretch, isMain: isMain.has(stretch) })),
    notes: [
      ...(hasWallClock ? [] : ['The log has no wall clock: its times count from the start of recording.']),
      ...clockNotes(history),
      ...strays.slice(0, 3).map((stretch) =>
        `The clock read ${describe(stretch.first)} during ${stretch.records} records, far from the rest of the log: unless its true time is known from elsewhere, they are put beside their neighbours in the file and kept apart.`),
    ],
  };
}

/** The stretches that lie near each other and hold most records. */
function mainCluster(stretches: readonly ClockStretch[]): readonly ClockStretch[] {
  const clusters: { readonly members: ClockStretch[]; end: number; records: number }[] = [];
  for (const stretch of [...stretches].sort((a, b) => a.first - b.first)) {
    const cluster = clusters.at(-1);
    if (cluster !== undefined && stretch.first - cluster.end <= FAR) {
      cluster.members.push(stretch);
      cluster.end = Math.max(cluster.end, stretch.last);
      cluster.records += stretch.records;
    } else clusters.push({ members: [stretch], end: stretch.last, records: stretch.records });
  }
  const total = clusters.reduce((sum, cluster) => sum + cluster.records, 0);
  const real = clusters.filter((cluster) => cluster.end >= FIRST_WALL_CLOCK && cluster.records >= SHARE_OF_WALL_CLOCK * total);
  return (real.length > 0 ? real : clusters).reduce<(typeof clusters)[number] | undefined>((best, cluster) =>
    (best === undefined || cluster.records > best.records ? cluster : best), undefined)?.members ?? [];
}

function clockNotes(history: ClockHistory): string[] {
  const { jitter, stepsBack, untimed } = history;
  const notes: string[] = [];
  if (untimed > 0) notes.push(`${untimed} records have no time stamp.`);
  if (jitter.count > 0) notes.push(`${jitter.count} records are out of order by up to ${jitter.largest.toFixed(3)} s.`);
  const back = stepsBack.filter(({ by }) => by <= FAR);
  const first = back[0];
  if (first !== undefined) {
    const largest = Math.max(...back.map(({ by }) => by));
    notes.push(`The log's clock was set back ${back.length === 1 ? 'once' : `${back.length} times`}, by up to ${formatDuration(largest)}, first at ${describe(first.from)}: samples that came again at the same time of day are kept apart.`);
  }
  return notes;
}

function describe(time: number): string {
  return time >= FIRST_WALL_CLOCK && time < 8.64e12 ? toIso(Math.floor(time)) : `${time.toFixed(1)} s`;
}
