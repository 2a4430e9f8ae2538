import { readFile } from 'node:fs/promises';
import { isZone } from '../../shared/clock.ts';
import { emptySetup, type Setup } from '../../shared/setup.ts';
import { parseSetup } from '../../shared/setup-file.ts';
import type { Reading } from '../../shared/text.ts';
import { InputError, SetupError, UsageError, parseColumns, parseSignals, readLogs, type Day, type ReadOptions } from '../index.ts';
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

/** What the options say of how logs are read, with the files beside them as text, so that a worker can be told. */
export interface ReadingSettings {
  readonly setup?: string;
  readonly signals?: NamedText;
  readonly columns?: NamedText;
  /** IANA zone as asked for. */
  readonly zone?: string;
}

export interface NamedText {
  readonly name: string;
  readonly text: string;
}

/** Reads logs and the files beside them as the options say. Throws UsageError, InputError or SetupError. */
export async function readInputs(request: Request, terminal: Terminal): Promise<Inputs> {
  if (request.logs.length === 0) throw new UsageError('no-log', 'No log was named.', 'Name one or more log files of one day.');
  const settings = await readSettings(request);
  const progress = createProgress(terminal, request.flag('quiet'));
  try {
    return await readDay(request.logs, settings, { onProgress: progress.update, signal: terminal.interrupted });
  } finally {
    progress.end();
  }
}

/** Throws UsageError, InputError or SetupError, also for what is only wrong inside the files. */
export async function readSettings(request: Request): Promise<ReadingSettings> {
  const zone = zoneOf(request);
  const setup = request.value('setup');
  const [signals, columns] = await Promise.all([namedText(request.value('signals')), namedText(request.value('columns'))]);
  const text = setup === undefined ? undefined : await readText(setup);
  if (setup !== undefined && text !== undefined) parsedSetup(text, zone, setup);
  if (signals !== undefined) parseSignals(signals.text, signals.name);
  if (columns !== undefined) parseColumns(columns.text, columns.name);
  return { ...(text === undefined ? {} : { setup: text }), ...(signals === undefined ? {} : { signals }), ...(columns === undefined ? {} : { columns }), ...(zone === undefined ? {} : { zone }) };
}

export async function readDay(logs: readonly string[], settings: ReadingSettings, watching: Pick<ReadOptions, 'onProgress' | 'signal'> = {}): Promise<Inputs> {
  const { signals, columns } = settings;
  const setup = parsedSetup(settings.setup, settings.zone);
  const zone = settings.zone ?? setup.job.zone ?? 'UTC';
  const day = await readLogs(logs, {
    zone,
    ...(signals === undefined ? {} : { signals: parseSignals(signals.text, signals.name) }),
    ...(columns === undefined ? {} : { columns: parseColumns(columns.text, columns.name) }),
    ...watching,
  });
  return { day, setup, zone };
}

export function zoneOf(request: Request): string | undefined {
  const zone = request.value('zone');
  if (zone !== undefined && !isZone(zone)) throw new UsageError('bad-zone', `--zone "${zone}" is not a time zone name.`, 'Use an IANA name such as UTC or America/Regina.');
  return zone;
}

export function readingOf(request: Request, inputs: Inputs): Reading {
  return { units: request.value('units') === 'us' ? 'us' : 'metric', zone: inputs.zone, dayStart: inputs.day.start };
}

function parsedSetup(text: string | undefined, zone: string | undefined, path = 'setup.json'): Setup {
  if (text === undefined) return emptySetup;
  const { setup, problems } = parseSetup(parseJson(text, path), zone);
  const first = problems[0];
  if (first === undefined) return setup;
  const more = problems.length === 1 ? '' : ` (and ${problems.length - 1} more)`;
  throw new SetupError('bad-setup', `${path}: ${first.message}${more}.`, first.whatToDo);
}

async function namedText(path: string | undefined): Promise<NamedText | undefined> {
  return path === undefined ? undefined : { name: path, text: await readText(path) };
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
