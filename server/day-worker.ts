import { Worker } from 'node:worker_threads';
import type { ErrorReply } from '../shared/api.ts';
import type { FromWorker, ToWorker, WorkerAnswer, WorkerEvent, WorkerJob, WorkerQuestion } from './worker-messages.ts';

/** One day being read or held, in a worker of its own, so that the page stays live. */
export interface DayWorker {
  readonly ask: <Q extends WorkerQuestion>(question: Q) => Promise<WorkerAnswer<Q['kind']>>;
  /** Ends the worker at once, whatever it does. */
  readonly end: () => Promise<void>;
}

export interface DayWorkers {
  readonly start: (job: WorkerJob, onEvent: (event: WorkerEvent) => void) => DayWorker;
  /** Has a worker load the program, so that the next day does not wait for that; after so many ms, when the present one needs the processor first. */
  readonly prepare: (after?: number) => void;
  readonly end: () => Promise<void>;
}

export function createDayWorkers(): DayWorkers {
  let spare: Worker | undefined;
  let timer: NodeJS.Timeout | undefined;
  const take = (): Worker => {
    const worker = spare ?? newWorker();
    spare = undefined;
    worker.removeAllListeners('error').ref();
    return worker;
  };
  return {
    start: (job, onEvent) => startDayWorker(take(), job, onEvent),
    prepare: (after = 0) => {
      clearTimeout(timer);
      timer = setTimeout(() => {
        if (spare !== undefined) return;
        spare = newWorker();
        spare.unref();
        /* one that fails unused is done without */
        spare.on('error', () => { spare = undefined; });
      }, after).unref();
    },
    end: async () => {
      clearTimeout(timer);
      await spare?.terminate();
      spare = undefined;
    },
  };
}

const newWorker = (): Worker => new Worker(new URL('./worker.js', import.meta.url));

function startDayWorker(worker: Worker, job: WorkerJob, onEvent: (event: WorkerEvent) => void): DayWorker {
  const waiting = new Map<number, { readonly resolve: (answer: never) => void; readonly reject: (error: Error) => void }>();
  let asked = 0;
  let isOver = false;
  const failAll = (reason: string): void => {
    isOver = true;
    for (const { reject } of waiting.values()) reject(new Error(reason));
    waiting.clear();
  };
  const internal = (message: string): ErrorReply => ({ kind: 'internal', message, whatToDo: 'Please report it with the log, if you may.' });
  const post = (message: ToWorker): void => worker.postMessage(message);
  worker.on('message', (message: FromWorker) => {
    if (message.kind === 'answer') {
      waiting.get(message.number)?.resolve(message.answer as never);
      waiting.delete(message.number);
    } else if (message.kind === 'refusal') {
      waiting.get(message.number)?.reject(new Error(message.message));
      waiting.delete(message.number);
    } else onEvent(message);
  });
  worker.on('error', (error) => {
    onEvent({ kind: 'failed', error: internal(error instanceof Error ? error.message : String(error)) });
    failAll('the day could not be held');
  });
  worker.on('exit', () => failAll('the day was closed'));
  post({ job });
  return {
    ask: (question) => new Promise((resolve, reject) => {
      if (isOver) {
        reject(new Error('the day was closed'));
        return;
      }
      const number = asked++;
      waiting.set(number, { resolve: resolve as (answer: never) => void, reject });
      post({ number, question });
    }),
    end: async () => {
      await worker.terminate();
    },
  };
}
