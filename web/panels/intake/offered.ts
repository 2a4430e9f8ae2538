import { computed, signal } from '@preact/signals';
import type { ErrorReply } from '../../../shared/api.ts';
import type { LogGlance } from '../../../shared/glance.ts';
import { ServerError } from '../../api.ts';
import { desk, handOver } from '../../desk-api.ts';
import type { GivenFile } from './dropped.ts';
import { roleOf, type FileRole } from './file-role.ts';
import { zipEntries } from './zip.ts';

/** A file on its way into a day. */
export interface Offered {
  readonly key: number;
  readonly name: string;
  readonly size: number;
  readonly role: Exclude<FileRole, 'archive'>;
  readonly state: 'waiting' | 'sending' | 'looking' | 'ready' | 'unusable';
  readonly sent: number;
  readonly startedAt: number;
  /** Id on the server, of a log. */
  readonly upload?: string;
  readonly glance?: LogGlance;
  /** Content, of a setup, signals or columns file. */
  readonly text?: string;
  readonly problem?: { readonly message: string; readonly whatToDo: string };
}

/** What was added and is not yet in a day. Kept here, so that it survives a look elsewhere. */
export const offered = signal<readonly Offered[]>([]);
export const isBusy = computed(() => offered.value.some(({ state }) => state === 'waiting' || state === 'sending' || state === 'looking'));
/** What goes to the server as the day's logs, parts of task data included. */
export const usableLogs = computed(() => offered.value.filter((file) => file.role === 'log' && file.state === 'ready'));
export const wholeLogs = computed(() => usableLogs.value.filter((file) => !isTaskPart(file)));
/** Names of the parts of ISO 11783-10 task data. */
const TASK_PART = /(?:^|\/)(?:TLG|[A-Z]{3})\d{5}\.(?:XML|BIN)$/i;

/** Read through its TASKDATA.XML, no log of its own. */
export function isTaskPart({ name }: Offered): boolean {
  return TASK_PART.test(name) && (/\.bin$/i.test(name) || offered.value.some((other) => /(?:^|\/)taskdata\.xml$/i.test(other.name)));
}

const stops = new Map<number, AbortController>();
let keys = 0;

/** Adds files, folders' files and what archives hold; logs are handed over at once, one after the other. */
export async function offer(given: readonly GivenFile[]): Promise<void> {
  for (const file of given) await offerOne(file, true);
}

async function offerOne({ name, body }: GivenFile, mayUnpack: boolean): Promise<void> {
  const head = new Uint8Array(await body.slice(0, 4).arrayBuffer().catch(() => new ArrayBuffer(0)));
  const role = await roleOf({ name, size: body.size, head, text: () => textOf(body, head) });
  if (role === 'archive') {
    if (mayUnpack) await offerArchive(name, body);
    else refuse(name, body.size, { message: `${name} is an archive inside an archive.`, whatToDo: 'Unpack it and add the files inside.' });
    return;
  }
  const key = keys++;
  const file: Offered = { key, name, size: body.size, role, state: 'waiting', sent: 0, startedAt: Date.now() };
  offered.value = [...offered.value, file];
  if (role !== 'log') change(key, await textOf(body, head).then((text) => ({ state: 'ready' as const, text }), () => unreadable(name)));
  else if (body.size === 0) change(key, { state: 'unusable', problem: { message: `${name} is empty.`, whatToDo: 'Check that the recorder wrote it completely.' } });
  else queue = queue.then(() => send(key, name, body));
}

async function offerArchive(name: string, body: Blob): Promise<void> {
  try {
    const entries = await zipEntries(body);
    if (entries.some((entry) => entry.name === '[Content_Types].xml' || entry.name === 'META-INF/manifest.xml')) {
      refuse(name, body.size, { message: `${name} is a spreadsheet workbook or another office document.`, whatToDo: 'Save the sheet as CSV and add that.' });
      return;
    }
    if (entries.length === 0) refuse(name, body.size, { message: `${name} holds no files.`, whatToDo: 'Add the logs themselves.' });
    for (const entry of entries) {
      const inside = `${name}/${entry.name}`;
      if (entry.body === undefined) refuse(inside, entry.size, { message: entry.problem ?? 'It cannot be unpacked.', whatToDo: '' });
      else await offerOne({ name: inside, body: entry.body }, false);
    }
  } catch (error) {
    refuse(name, body.size, { message: `${name} cannot be unpacked: ${error instanceof Error ? error.message : String(error)}.`, whatToDo: 'Unpack it with another program and add the files inside.' });
  }
}

let queue: Promise<void> = Promise.resolve();

async function send(key: number, name: string, body: Blob): Promise<void> {
  if (!offered.value.some((file) => file.key === key)) return;
  const stop = new AbortController();
  stops.set(key, stop);
  try {
    const room = await desk.room();
    if (body.size > room) throw new ServerError({ kind: 'input', message: `${name} is larger than there is room for.`, whatToDo: 'Make room on the disk, compress the file with gzip, or run sowtrace check on it.' });
    change(key, { state: 'sending', startedAt: Date.now() });
    const { upload } = await handOver(name, body, (sent) => change(key, { sent: Math.min(sent, body.size) }), stop.signal);
    change(key, { state: 'looking', upload });
    const glance = await desk.glance(upload);
    if (glance.problem !== undefined && TASK_PART.test(name)) change(key, { state: 'ready' });
    else change(key, glance.problem === undefined ? { state: 'ready', glance } : { state: 'unusable', glance, problem: glance.problem });
  } catch (error) {
    if (error instanceof ServerError) change(key, { state: 'unusable', problem: error.reply satisfies ErrorReply });
    else if (!(error instanceof DOMException && error.name === 'AbortError')) change(key, unreadable(name));
  } finally {
    stops.delete(key);
  }
}

/** Takes a file out again; one that is on its way is stopped. */
export function withdraw(key: number): void {
  const file = offered.value.find((each) => each.key === key);
  offered.value = offered.value.filter((each) => each.key !== key);
  stops.get(key)?.abort();
  if (file?.upload !== undefined) void desk.putAway(file.upload).catch(() => undefined);
}

/** Takes all out; `areUsed` leaves them on the server, for the day that now has them. */
export function withdrawAll(areUsed = false): void {
  if (areUsed) offered.value = [];
  else for (const { key } of offered.value) withdraw(key);
}

/** Text of the last file of a kind: a later one stands in for an earlier. */
export function textFor(role: FileRole): string | undefined {
  return offered.value.findLast((file) => file.role === role && file.text !== undefined)?.text;
}

function change(key: number, change: Partial<Offered>): void {
  offered.value = offered.value.map((file) => (file.key === key ? { ...file, ...change } : file));
}

function refuse(name: string, size: number, problem: { readonly message: string; readonly whatToDo: string }): void {
  offered.value = [...offered.value, { key: keys++, name, size, role: 'log', state: 'unusable', sent: 0, startedAt: Date.now(), problem }];
}

const unreadable = (name: string): Partial<Offered> => ({ state: 'unusable', problem: { message: `${name} cannot be read by the browser.`, whatToDo: 'Is it still where it was? Then add it again.' } });

/** Small files out of an archive are gzip files here. */
async function textOf(body: Blob, head: Uint8Array): Promise<string> {
  if (head[0] !== 0x1f || head[1] !== 0x8b) return body.text();
  return new Response(body.stream().pipeThrough(new DecompressionStream('gzip'))).text();
}
