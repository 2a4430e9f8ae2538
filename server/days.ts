import { randomUUID } from 'node:crypto';
import type { DayListing, DayState } from '../shared/api.ts';
import { createDayWorkers, type DayWorker } from './day-worker.ts';
import { jobName, type WorkerJob } from './worker-messages.ts';

type Job = Omit<WorkerJob, 'id'>;

interface OpenDay {
  readonly id: string;
  job: Job;
  worker: DayWorker;
  state: DayState;
  startedAt: number;
  revision: number;
}

/** ms in which a day that was just read is looked at first. */
const AFTER_READY = 2000;

/** The days this server holds open, newest first. */
export interface Days {
  readonly open: (job: Job) => string;
  /** Reads the day's logs anew, changed as given, under the same id. */
  readonly reread: (id: string, change: Partial<Job>) => boolean;
  readonly job: (id: string) => Job | undefined;
  readonly state: (id: string) => DayState | undefined;
  /** Grows whenever the day's state changed in kind or its view was replaced. */
  readonly revision: (id: string) => number;
  readonly worker: (id: string) => DayWorker | undefined;
  readonly replaceView: (id: string, view: Extract<DayState, { status: 'ready' }>['view']) => void;
  readonly close: (id: string) => Promise<boolean>;
  readonly list: () => readonly DayListing[];
  /** Makes ready for the first day, before there is one. */
  readonly prepare: () => void;
  readonly closeAll: () => Promise<void>;
}

/**
 * `most` days stay open; the oldest is closed when one more comes (each holds its channels in memory).
 * `onClosed` gets the files that no open day uses any more.
 */
export function createDays(most: number, onClosed: (paths: readonly string[]) => void = () => undefined): Days {
  const days = new Map<string, OpenDay>();
  const workers = createDayWorkers();

  const start = (id: string, job: Job): DayWorker => {
    const startedAt = Date.now();
    const worker: DayWorker = workers.start({ ...job, id }, (event) => {
      const day = days.get(id);
      if (day === undefined || day.worker !== worker) return;
      const before = day.state.status;
      if (event.kind === 'progress') day.state = { status: 'reading', file: event.file, bytes: event.bytes, total: event.total, startedMillisecondsAgo: Date.now() - startedAt };
      else if (event.kind === 'judging') day.state = { status: 'judging' };
      else if (event.kind === 'ready') {
        day.state = { status: 'ready', view: event.view };
        workers.prepare(AFTER_READY);
      }
      else day.state = { status: 'failed', error: event.error };
      if (day.state.status !== before) day.revision += 1;
    });
    return worker;
  };

  const beginning = (job: Job): DayState => ({ status: 'reading', file: job.kept?.name ?? job.files[0]?.name ?? '', bytes: 0, total: 0, startedMillisecondsAgo: 0 });

  const close = async (id: string): Promise<boolean> => {
    const day = days.get(id);
    if (day === undefined) return false;
    days.delete(id);
    await day.worker.end();
    const used = new Set([...days.values()].flatMap((other) => other.job.files.map((file) => file.path)));
    onClosed(day.job.files.map((file) => file.path).filter((path) => !used.has(path)));
    return true;
  };

  return {
    open: (job) => {
      const id = randomUUID();
      days.set(id, { id, job, worker: start(id, job), startedAt: Date.now(), revision: 1, state: beginning(job) });
      const oldest = days.keys().next().value;
      if (days.size > most && oldest !== undefined) void close(oldest);
      return id;
    },
    reread: (id, change) => {
      const day = days.get(id);
      if (day === undefined) return false;
      void day.worker.end();
      day.job = { ...day.job, ...change };
      day.state = beginning(day.job);
      day.startedAt = Date.now();
      day.revision += 1;
      day.worker = start(id, day.job);
      return true;
    },
    job: (id) => days.get(id)?.job,
    state: (id) => days.get(id)?.state,
    revision: (id) => days.get(id)?.revision ?? 0,
    worker: (id) => days.get(id)?.worker,
    replaceView: (id, view) => {
      const day = days.get(id);
      if (day === undefined) return;
      day.state = { status: 'ready', view };
      day.job = { ...day.job, ...(view.setup === undefined ? {} : { setup: view.setup }) };
      day.revision += 1;
    },
    close,
    list: () => [...days.values()].reverse().map(listingOf),
    prepare: () => workers.prepare(),
    closeAll: async () => {
      await Promise.all([...[...days.keys()].map(close), workers.end()]);
    },
  };
}

function listingOf({ id, job, state, startedAt }: OpenDay): DayListing {
  const name = jobName(job);
  const listing = { id, name, status: state.status, openedMillisecondsAgo: Date.now() - startedAt };
  if (state.status !== 'ready') return listing;
  const { view } = state;
  const count = (severity: string): number => view.findings.filter((finding) => finding.severity === severity).length;
  return { ...listing, start: view.start, duration: view.duration, zone: view.zone, actions: count('action'), watches: count('watch') };
}
