import { Worker } from 'node:worker_threads';
import type { ErrorReply } from '../shared/api.ts';
import type { WorkerAnswer, WorkerEvent, WorkerJob, WorkerQuestion } from './worker-messages.ts';

/** One day being read or held, in a worker of its own, so that the page stays live. */
export interface DayWorker {
  readonly ask: <Q extends WorkerQuestion>(question: Q) => Promise<WorkerAnswer<Q['kind']>>;
  /** Ends the worker at once, whatever it does. */
  readonly end: () => Promise<void>;
}

export function startDayWorker(job: WorkerJob, onEvent: (event: WorkerEvent) => void): DayWorker {
  const worker = new Worker(new URL('./worker.js', import.meta.url), { workerData: job });
  const waiting = new Map<number, { readonly resolve: (answer: never) => void; readonly reject: (error: Error) => void }>();
  let asked = 0;
  let isOver = false;
  const failAll = (reason: string): void => {
    isOver = true;
    for (const { reject } of waiting.values()) reject(new Error(reason));
    waiting.clear();
  };
  const internal = (message: string): ErrorReply => ({ kind: 'internal', message, whatToDo: 'Please report it with the log, if you may.' });
  worker.on('message', (message: WorkerEvent | { readonly kind: 'answer'; readonly number: number; readonly answer: never } | { readonly kind: 'refusal'; readonly number: number; readonly message: string }) => {
    if (message.kind === 'answer') {
      waiting.get(message.number)?.resolve(message.answer);
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
  return {
    ask: (question) => new Promise((resolve, reject) => {
      if (isOver) {
        reject(new Error('the day was closed'));
        return;
      }
      const number = asked++;
      waiting.set(number, { resolve: resolve as (answer: never) => void, reject });
      worker.postMessage({ number, question });
    }),
    end: async () => {
      await worker.terminate();
    },
  };
}
