import { readFile } from 'node:fs/promises';
import { isZone } from '../../shared/clock.ts';
import { emptySetup, type Setup } from '../../shared/setup.ts';
import { parseSetup } from '../../shared/setup-file.ts';
import type { Reading } from '../../shared/text.ts';
import { InputError, SetupError, UsageError, parseColumns, parseSignals, readLogs, type Day } from '../index.ts';
import type { Option, Request, Terminal } from './command.ts';
import { createProgress } from './progress.ts';

/** Options of every command that reads logs. */
export const readingOptions: Readonly<Record<string, Option>> = {
  setup: { value: 'FILE', help: 'setup.json: the machine and the job' },
  signals: { value: 'FILE', help: 'signals.json (or a DBC file): CAN signals of this machine' },
  columns: { value: 'FILE', help: 'columns.json: what unfamiliar CSV headings mean' },
};

export interface Inputs {
  readonly day: Day;
  readonly setup: Setup;
  readonly zone: string;
}

/** Reads logs and the files beside them as the options say. Throws UsageError, InputError or SetupError. */
export async function readInputs(request: Request, terminal: Terminal): Promise<Inputs> {
  if (request.logs.length === 0) throw new UsageError('no-log', 'No log was named.', 'Name one or more log files of one day.');
  const zoneOption = zoneOf(request);
  const setup = await readSetup(request.value('setup'), zoneOption);
  const zone = zoneOption ?? setup.job.zone ?? 'UTC';
  const signals = request.value('signals');
  const columns = request.value('columns');
  const progress = createProgress(terminal, request.flag('quiet'));
  try {
    const day = await readLogs(request.logs, {
      zone,
      ...(signals === undefined ? {} : { signals: parseSignals(await readText(signals), signals) }),
      ...(columns === undefined ? {} : { columns: parseColumns(await readText(columns), columns) }),
      onProgress: progress.update,
      signal: terminal.interrupted,
    });
    return { day, setup, zone };
  } finally {
    progress.end();
  }
}

export function zoneOf(request: Request): string | undefined {
  const zone = request.value('zone');
  if (zone !== undefined && !isZone(zone)) throw new UsageError('bad-zone', `--zone "${zone}" is not a time zone name.`, 'Use an IANA name such as UTC or America/Regina.');
  return zone;
}

export function readingOf(request: Request, inputs: Inputs): Reading {
  return { units: request.value('units') === 'us' ? 'us' : 'metric', zone: inputs.zone, dayStart: inputs.day.start };
}

async function readSetup(path: string | undefined, zone: string | undefined): Promise<Setup> {
  if (path === undefined) return emptySetup;
  const { setup, problems } = parseSetup(parseJson(await readText(path), path), zone);
  const first = problems[0];
  if (first === undefined) return setup;
  const more = problems.length === 1 ? '' : ` (and ${problems.length - 1} more)`;
  throw new SetupError('bad-setup', `${path}: ${first.message}${more}.`, first.whatToDo);
}

function parseJson(text: string, path: string): unknown {
  try {
    return JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch (error) {
    const reason = error instanceof Error ? error.message : String(error);
    throw new SetupError('bad-json', `${path} is not valid JSON: ${reason}.`, 'Mend the place named, for example a missing comma or quote.');
  }
}

async function readText(path: string): Promise<string> {
  try {
    return await readFile(path, 'utf8');
  } catch (error) {
    throw new InputError('cannot-read', `${path} cannot be read: ${reasonOf(error)}.`, 'Check the name and the folder.');
  }
}

/** Operating-system errors in words. */
export function reasonOf(error: unknown): string {
  const code = error instanceof Error && 'code' in error ? String(error.code) : '';
  const words: Readonly<Record<string, string>> = { ENOENT: 'there is no such file', EISDIR: 'it is a folder', EACCES: 'access is not allowed', ENOSPC: 'the disk is full', EPERM: 'access is not allowed' };
  return words[code] ?? (error instanceof Error ? error.message : String(error));
}
