import { parentPort, workerData } from 'node:worker_threads';
import { judgeEach, type EachJob } from './each-job.ts';

/* One of the workers of `check --each`: judges the days it is given, one after the other. */

const port = parentPort;
if (port === null) throw new Error('each-worker.ts runs as a worker only');
const job = workerData as EachJob;
port.on('message', (place: string) => {
  void judgeEach(place, job).then((outcome) => port.postMessage(outcome));
});
