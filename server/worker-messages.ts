import type { DayView, ErrorReply } from '../shared/api.ts';
import type { RateView } from '../shared/day-views.ts';
import type { Evidence } from '../shared/evidence.ts';
import type { Mark } from '../shared/marks.ts';
import type { UnitSystem } from '../shared/text.ts';
import type { PaperName, SavedCase } from '../src/index.ts';

/** What a day's worker is to do. */
export interface WorkerJob {
  readonly id: string;
  readonly files: readonly { readonly path: string; readonly name: string }[];
  readonly setup?: string;
  readonly signals?: string;
  readonly signalsName?: string;
  readonly columns?: string;
  readonly columnsName?: string;
  readonly zone?: string;
  readonly units: UnitSystem;
  /** A day that was kept: taken from the store instead of logs. */
  readonly kept?: { readonly store: string; readonly id: string; readonly name: string };
}

/** What to call a day before and after it is read. */
export function jobName({ kept, files }: Pick<WorkerJob, 'kept' | 'files'>): string {
  return kept?.name ?? files.map((file) => file.name).join(' + ');
}

export type WorkerEvent =
  | { readonly kind: 'progress'; readonly file: string; readonly bytes: number; readonly total: number }
  | { readonly kind: 'judging' }
  | { readonly kind: 'ready'; readonly view: DayView }
  | { readonly kind: 'failed'; readonly error: ErrorReply };

export type WorkerQuestion =
  | { readonly kind: 'blocks'; readonly channel: number; readonly from: number; readonly to: number; readonly columns: number }
  | { readonly kind: 'lanes'; readonly channels: readonly number[]; readonly runs: boolean; readonly from: number; readonly to: number; readonly columns: number }
  | { readonly kind: 'values'; readonly channels: readonly number[]; readonly at: number }
  | { readonly kind: 'map' }
  | { readonly kind: 'map-colour'; readonly by: 'channel' | 'rate'; readonly of: string }
  | { readonly kind: 'rates' }
  | { readonly kind: 'evidence'; readonly finding: string }
  | { readonly kind: 'judge'; readonly setup: string }
  | { readonly kind: 'document' }
  | { readonly kind: 'keep'; readonly store: string }
  | { readonly kind: 'paper'; readonly paper: PaperName; readonly units: UnitSystem; readonly marks: readonly Mark[]; /** m² */ readonly area?: number };

interface Answers {
  readonly blocks: ArrayBuffer | undefined;
  readonly lanes: ArrayBuffer;
  readonly values: readonly (number | null)[];
  readonly map: ArrayBuffer | undefined;
  readonly 'map-colour': ArrayBuffer | undefined;
  readonly rates: readonly RateView[];
  readonly evidence: readonly Evidence[] | undefined;
  readonly judge: { readonly view: DayView } | { readonly error: ErrorReply };
  readonly document: string;
  readonly keep: { readonly saved: SavedCase } | { readonly error: ErrorReply };
  readonly paper: string;
}

export type WorkerAnswer<K extends keyof Answers> = Answers[K];

/** The job first, then questions, answered by number. */
export type ToWorker = { readonly job: WorkerJob } | { readonly number: number; readonly question: WorkerQuestion };

export type FromWorker =
  | WorkerEvent
  | { readonly kind: 'answer'; readonly number: number; readonly answer: unknown }
  | { readonly kind: 'refusal'; readonly number: number; readonly message: string };
