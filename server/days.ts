import { randomUUID } from 'node:crypto';
import type { DayListing, DayState } from '../shared/api.ts';
import { startDayWorker, type DayWorker } from './day-worker.ts';
import type { WorkerJob } from './worker-messages.ts';

interface OpenDay {
  readonly id: string;
  readonly name: string;
  readonly worker: DayWorker;
  state: DayState;
  readonly startedAt: number;
}

/** The days this server holds open, newest first. */
export interface Days {
  readonly open: (job: Omit<WorkerJob, 'id'>) => string;
  readonly state: (id: string) => DayState | undefined;
  readonly worker: (id: string) => DayWorker | undefined;
  readonly replaceView: (id: string, view: Extract<DayState, { status: 'ready' }>['view']) => void;
  readonly close: (id: string) => Promise<boolean>;
  readonly list: () => readonly DayListing[];
  readonly closeAll: () => Promise<void>;
}

/** `most` days stay open; the oldest is closed when one more comes (each holds its channels in memory). */
export function createDays(most: number): Days {
  const days = new Map<string, OpenDay>();
  const close = async (id: string): Promise<boolean> => {
    const day = days.get(id);
    if (day === undefined) return false;
    days.delete(id);
    await day.worker.end();
    return true;
  };
  return {
    open: (job) => {
      const id = randomUUID();
      const startedAt = Date.now();
      const worker = startDayWorker({ ...job, id }, (event) => {
        const day = days.get(id);
        if (day === undefined) return;
        if (event.kind === 'progress') day.state = { status: 'reading', file: event.file, bytes: event.bytes, total: event.total, startedMillisecondsAgo: Date.now() - startedAt };
        else if (event.kind === 'judging') day.state = { status: 'judging' };
        else if (event.kind === 'ready') day.state = { status: 'ready', view: event.view };
        else day.state = { status: 'failed', error: event.error };
      });
      const name = job.files.map((file) => file.name).join(' + ');
      days.set(id, { id, name, worker, startedAt, state: { status: 'reading', file: job.files[0]?.name ?? '', bytes: 0, total: 0, startedMillisecondsAgo: 0 } });
      const oldest = days.keys().next().value;
      if (days.size > most && oldest !== undefined) void close(oldest);
      return id;
    },
    state: (id) => days.get(id)?.state,
    worker: (id) => days.get(id)?.worker,
    replaceView: (id, view) => {
      const day = days.get(id);
      if (day !== undefined) day.state = { status: 'ready', view };
    },
    close,
    list: () => [...days.values()].reverse().map((day) => ({ id: day.id, name: day.name, status: day.state.status })),
    closeAll: async () => {
      await Promise.all([...days.keys()].map(close));
    },
  };
}
