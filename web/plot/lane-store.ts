import { batch, signal, type ReadonlySignal } from '@preact/signals';
import { decodeLanes, type Blocks, type LaneAnswer, type Samples } from '../../shared/api.ts';
import { countUpTo } from '../../shared/ascending.ts';
import { latestOnly } from './latest-only.ts';
import type { Range } from './range.ts';

export type Lane = Blocks | Samples;

export interface LaneQuestion {
  readonly channels: readonly number[];
  /** The run picture too. */
  readonly runs: boolean;
  readonly range: Range;
  /** Pixel columns of that range. */
  readonly columns: number;
}

/** What the lanes draw: the newest answer of the server, lanes and runs in one, so that they are drawn together. */
export interface LaneStore {
  readonly lanes: ReadonlySignal<ReadonlyMap<number, Lane>>;
  /** The run picture as packed. */
  readonly runs: ReadonlySignal<ArrayBuffer | undefined>;
  /** The range the newest answer was asked for. */
  readonly fresh: ReadonlySignal<Range | undefined>;
  readonly failed: ReadonlySignal<boolean>;
  readonly want: (question: LaneQuestion) => void;
}

/** So much of a view is fetched on either side, that moving along shows data at once; more would make every zoom wait for it. */
const MARGIN = 0.1;

export function createLaneStore(day: string, duration: number): LaneStore {
  const lanes = signal<ReadonlyMap<number, Lane>>(new Map());
  const runs = signal<ArrayBuffer | undefined>(undefined);
  const fresh = signal<Range | undefined>(undefined);
  const failed = signal(false);
  const want = latestOnly(async (question: LaneQuestion): Promise<LaneAnswer> => {
    const { from, to, columns } = withMargin(question, duration);
    const query = new URLSearchParams({ channels: question.channels.join(','), from: String(from), to: String(to), columns: String(columns), ...(question.runs ? { runs: '1' } : {}) });
    const response = await fetch(`/api/days/${encodeURIComponent(day)}/lanes?${query}`);
    if (!response.ok) throw new Error(`answered ${response.status}`);
    return decodeLanes(await response.arrayBuffer());
  }, (answer, { range }) => batch(() => {
    lanes.value = new Map(answer.lanes.map(({ channel, data }) => [channel, data]));
    runs.value = answer.runs;
    fresh.value = range;
    failed.value = false;
  }), () => { failed.value = true; });
  return { lanes, runs, fresh, failed, want };
}

function withMargin({ range, columns }: LaneQuestion, duration: number): Range & { readonly columns: number } {
  const span = range.to - range.from;
  const from = Math.max(0, range.from - MARGIN * span);
  const to = Math.min(Math.max(duration, from + span), range.to + MARGIN * span);
  return { from, to, columns: Math.round((columns * (to - from)) / span) };
}

/**
 * The value at an instant as far as the fetched data tell: the last at or before it, held at most `hold` seconds;
 * NaN when none. Inside a block it is the block's last value.
 */
export function valueIn(lane: Lane | undefined, at: number, hold: number): number {
  if (lane === undefined) return Number.NaN;
  if (lane.kind === 'blocks') return valueInBlocks(lane, at, hold);
  const i = countUpTo(lane.time, at) - 1;
  return i >= 0 && at - (lane.time[i] as number) <= hold ? (lane.value[i] as number) : Number.NaN;
}

function valueInBlocks({ from, to, last }: Blocks, at: number, hold: number): number {
  const width = (to - from) / last.length;
  for (let i = Math.min(last.length - 1, Math.floor((at - from) / width)); i >= 0 && at - (from + i * width) <= hold + width; i--) {
    if (!Number.isNaN(last[i] as number)) return last[i] as number;
  }
  return Number.NaN;
}
