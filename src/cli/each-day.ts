import { readdir } from 'node:fs/promises';
import { availableParallelism, freemem } from 'node:os';
import path from 'node:path';
import { Worker } from 'node:worker_threads';
import { compareNaturally } from '../../shared/glob.ts';
import { formatClock, formatDuration } from '../../shared/text.ts';
import { counted } from '../../shared/verdict.ts';
import { InputError, type Store } from '../index.ts';
import type { Request, Terminal } from './command.ts';
import type { EachJob, EachOutcome } from './each-job.ts';
import { reasonOf, type ReadingSettings } from './reading-options.ts';

/** Bytes that one large day may need while it is judged. */
const ROOM_PER_DAY = 1.5e9;
const SETTINGS = new Set(['setup.json', 'signals.json', 'columns.json']);

/** `check --each`: every log, folder and archive in a folder is a day; a line each in the order of their names, then a summary. Gives the exit status. */
export async function checkEach(folder: string, settings: ReadingSettings, store: Store | undefined, request: Request, terminal: Terminal): Promise<number> {
  const names = await namesIn(folder);
  const job: EachJob = { settings, ...(store === undefined ? {} : { store: store.root }) };
  const outcomes: (EachOutcome | undefined)[] = names.map(() => undefined);
  let printed = 0;
  const width = Math.max(...names.map((name) => name.length));
  const clear = terminal.errIsTerminal ? '\r\u001B[K' : '';
  await inWorkers(names.map((name) => path.join(folder, name)), job, terminal.interrupted, (i, outcome) => {
    outcomes[i] = outcome;
    for (; printed < names.length; printed += 1) {
      const done = outcomes[printed];
      if (done === undefined) break;
      if (clear !== '') terminal.err(clear);
      terminal.out(`${(names[printed] as string).padEnd(width)}  ${lineOf(done)}\n`);
    }
    if (!request.flag('quiet') && clear !== '') terminal.err(`${clear}${outcomes.filter((each) => each !== undefined).length} of ${names.length} days${printed === names.length ? clear : ''}`);
  });
  terminal.interrupted.throwIfAborted();
  return summarise(outcomes.filter((outcome) => outcome !== undefined), store, request, terminal);
}

async function namesIn(folder: string): Promise<readonly string[]> {
  const entries = await readdir(folder, { withFileTypes: true }).catch((error: unknown) => {
    throw new InputError('cannot-read', `${folder} cannot be read as a folder: ${reasonOf(error)}.`, 'Name the folder in which the days lie.');
  });
  const names = entries.filter((entry) => (entry.isFile() || entry.isDirectory()) && !entry.name.startsWith('.') && !SETTINGS.has(entry.name.toLowerCase())).map(({ name }) => name);
  if (names.length === 0) throw new InputError('no-log', `${folder} holds no log.`, 'Name the folder in which the days lie.');
  return names.sort(compareNaturally);
}

/** A worker per core (as many as memory allows); one that dies fails its own day only. */
async function inWorkers(places: readonly string[], job: EachJob, interrupted: AbortSignal, onOutcome: (index: number, outcome: EachOutcome) => void): Promise<void> {
  const most = Math.max(1, Math.min(availableParallelism(), Math.floor(freemem() / ROOM_PER_DAY), places.length));
  let next = 0;
  const work = async (): Promise<void> => {
    let worker: Worker | undefined;
    const end = (): void => void worker?.terminate();
    interrupted.addEventListener('abort', end);
    while (next < places.length && !interrupted.aborted) {
      const i = next;
      next += 1;
      worker ??= started(job, () => { worker = undefined; });
      const outcome = await answerOf(worker, places[i] as string);
      if (outcome.kind === 'our mistake') {
        await worker?.terminate();
      }
      if (!interrupted.aborted) onOutcome(i, outcome);
    }
    interrupted.removeEventListener('abort', end);
    await worker?.terminate();
  };
  await Promise.all(Array.from({ length: most }, work));
}

function started(job: EachJob, onExit: () => void): Worker {
  const worker = new Worker(new URL('./each-worker.js', import.meta.url), { workerData: job });
  return worker.on('exit', onExit).on('error', () => undefined);
}

function answerOf(worker: Worker, place: string): Promise<EachOutcome> {
  return new Promise((resolve) => {
    const failed = (error: unknown): void => answer({ kind: 'our mistake', reason: error instanceof Error ? error.message : String(error) });
    const ended = (): void => failed('the reader ended');
    const answer = (outcome: EachOutcome): void => {
      worker.off('message', answer).off('error', failed).off('exit', ended);
      resolve(outcome);
    };
    worker.on('message', answer).on('error', failed).on('exit', ended);
    worker.postMessage(place);
  });
}

function lineOf(outcome: EachOutcome): string {
  if (!('when' in outcome)) return `${outcome.kind}: ${outcome.reason}`;
  const { when: { start, duration, zone }, actions, watches, id } = outcome;
  const reading = { units: 'metric', zone, dayStart: start } as const;
  const date = start === 0 ? 'undated' : new Intl.DateTimeFormat('sv-SE', { timeZone: zone }).format(start * 1000);
  const found = actions + watches === 0 ? 'nothing to do' : `${actions} to put right, ${watches} to watch`;
  const kept = id === undefined ? '' : outcome.kind === 'already kept' ? `  already kept as ${id}` : `  kept as ${id}`;
  return `${date}  ${start === 0 ? '     ' : formatClock(0, reading).slice(0, 5)}  ${formatDuration(Math.round(duration), 0).padEnd(11)}  ${found.padEnd(26)}${kept}`.trimEnd();
}

/** 2 when a log could not be read or none was found, else 1 when something is to do or to watch, else 0. */
function summarise(outcomes: readonly EachOutcome[], store: Store | undefined, request: Request, terminal: Terminal): number {
  const days = outcomes.filter((outcome) => 'when' in outcome);
  const failed = outcomes.filter(({ kind }) => kind === 'unreadable' || kind === 'our mistake').length;
  const leftOut = outcomes.filter(({ kind }) => kind === 'no log').length;
  const already = days.filter(({ kind }) => kind === 'already kept').length;
  const withWork = days.filter(({ actions, watches }) => actions + watches > 0).length;
  if (!request.flag('quiet')) {
    const parts = [
      `${days.length} ${days.length === 1 ? 'day' : 'days'}, ${withWork} with something to do or to watch`,
      ...(store === undefined ? [] : [`${days.length - already} judged and kept in ${store.root}, ${already} already kept by this version with this setup and left out`]),
      ...(failed === 0 ? [] : [`${counted(failed, 'log')} could not be read`]),
      ...(leftOut === 0 ? [] : [`${counted(leftOut, 'file')} ${leftOut === 1 ? 'is' : 'are'} no log`]),
    ];
    terminal.err(`${parts.join('; ')}.\n`);
  }
  if (failed > 0 || days.length === 0) return 2;
  return withWork > 0 ? 1 : 0;
}
