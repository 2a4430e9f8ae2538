import { lstat, readdir } from 'node:fs/promises';
import path from 'node:path';
import { InputError } from './core/errors.ts';
import { compareNaturally } from '../shared/glob.ts';
import { openLog, type OpenedLog } from './open-log.ts';
import { isZip, openZip } from './reading/zip-archive.ts';

/** A log as named by the user: a file, a folder of logs or a zip archive of logs. `name` is what to call it. */
export interface LogPath {
  readonly path: string;
  readonly name?: string;
}

export interface OpenedLogs {
  readonly logs: readonly OpenedLog[];
  readonly close: () => Promise<void>;
}

/** One file found, not yet opened. `folder` = where it lies, for what belongs together. */
export interface FoundFile {
  readonly folder: string;
  readonly name: string;
  readonly open: () => Promise<OpenedLog>;
}

/** What lies in a folder or archive. */
export interface FoundFiles {
  readonly files: readonly FoundFile[];
  readonly notes: readonly string[];
}

const MOST_FILES = 1000;
const DEEPEST = 4;
/** Files that describe the machine or the columns: they must be given by their own option. */
const SETTINGS = new Map([['setup.json', '--setup'], ['signals.json', '--signals'], ['columns.json', '--columns']]);
const TASK_FILE = 'taskdata.xml';
/** Read through TASKDATA.XML when that lies beside them. */
const TASK_PARTS = /^(?:TLG|[A-Z]{3})\d{5}\.(?:XML|BIN)$/i;

/** Opens what is named; folders and zip archives are opened to the logs in them, in the order of their names. */
export async function openLogs(paths: readonly LogPath[]): Promise<OpenedLogs> {
  const logs: OpenedLog[] = [];
  const closers: (() => Promise<void>)[] = [];
  try {
    for (const { path: place, name } of paths) {
      const about = await lstat(place).catch(() => undefined);
      if (about?.isDirectory() === true) logs.push(...(await foundLogs(place, await inFolder(place))));
      else if (await isZip(place)) {
        const archive = await openZip(place, name ?? path.basename(place), MOST_FILES);
        closers.push(archive.close);
        logs.push(...(await foundLogs(name ?? place, archive)));
      } else logs.push({ ...(await openLog(place)), ...(name === undefined ? {} : { name }) });
    }
  } catch (error) {
    await closeAll(closers);
    throw error;
  }
  return { logs: withCompanions(logs), close: () => closeAll(closers) };
}

async function closeAll(closers: readonly (() => Promise<void>)[]): Promise<void> {
  for (const close of closers) await close();
}

async function foundLogs(place: string, { files, notes }: FoundFiles): Promise<readonly OpenedLog[]> {
  const taskFolders = new Set(files.filter(({ name }) => name.toLowerCase() === TASK_FILE).map(({ folder }) => folder));
  const settings = files.filter(({ name }) => SETTINGS.has(name.toLowerCase()));
  const candidates = files.filter((file) => !settings.includes(file) && !(TASK_PARTS.test(file.name) && (taskFolders.has(file.folder) || file.name.toLowerCase().endsWith('.bin'))));
  if (candidates.length === 0) throw new InputError('no-log', `${place} holds no log.`, 'Name the folder or archive in which the logs lie.');
  const told = [...notes, ...settings.map(({ name }) => `${name} lies with the logs but is used only when it is given with ${SETTINGS.get(name.toLowerCase())}.`)];
  const logs: OpenedLog[] = [];
  for (const file of [...candidates].sort((a, b) => compareNaturally(`${a.folder}/${a.name}`, `${b.folder}/${b.name}`))) {
    const siblings = files.filter(({ folder }) => folder === file.folder);
    logs.push({
      ...(await lazily(file)),
      isFound: true,
      beside: async (wanted) => siblings.find(({ name }) => name.toLowerCase() === wanted.toLowerCase())?.open(),
      ...(logs.length === 0 ? { notes: told } : {}),
    });
  }
  return logs;
}

/** A folder may hold a thousand files: each is opened when its turn comes. */
async function lazily(file: FoundFile): Promise<OpenedLog> {
  let log: OpenedLog | undefined;
  return {
    name: file.name,
    size: 0,
    bytes: async function* () {
      log = await file.open();
      yield* log.bytes();
    },
    taken: () => log?.taken() ?? 0,
    outcome: () => log?.outcome() ?? { sha256: '', total: 0 },
  };
}

async function inFolder(folder: string): Promise<FoundFiles> {
  const files: FoundFile[] = [];
  const notes: string[] = [];
  const walk = async (place: string, depth: number): Promise<void> => {
    for (const entry of await readdir(place, { withFileTypes: true })) {
      const full = path.join(place, entry.name);
      if (entry.name.startsWith('.')) continue;
      if (entry.isSymbolicLink()) notes.push(`${entry.name} is a link and was left out.`);
      else if (entry.isDirectory()) {
        if (depth < DEEPEST) await walk(full, depth + 1);
        else notes.push(`The folder ${entry.name} lies too deep and was left out.`);
      } else if (entry.isFile()) {
        files.push({ folder: place, name: entry.name, open: () => openLog(full) });
        if (files.length > MOST_FILES) throw new InputError('too-many-files', `${folder} holds more than ${MOST_FILES} files.`, 'Put the logs of one day into a folder of their own.');
      }
    }
  };
  await walk(folder, 0);
  return { files, notes };
}

/** Task data whose parts were given one by one, as uploads are: found among what was given. */
function withCompanions(logs: readonly OpenedLog[]): readonly OpenedLog[] {
  const isTask = ({ name }: OpenedLog): boolean => name.toLowerCase() === TASK_FILE;
  if (!logs.some(isTask)) return logs;
  const parts = logs.filter(({ name, isFound }) => isFound !== true && TASK_PARTS.test(name));
  return logs.filter((log) => !parts.includes(log)).map((log) => (isTask(log) && log.isFound !== true
    ? { ...log, beside: async (wanted: string) => parts.find(({ name }) => name.toLowerCase() === wanted.toLowerCase()) ?? log.beside?.(wanted) }
    : log));
}
