import { stat } from 'node:fs/promises';
import path from 'node:path';
import { InputError, UsageError, madeWith, openStore, type Analysis, type SavedCase, type Store } from '../index.ts';
import type { ReadingSettings } from './reading-options.ts';

/** What the settings make of a day, to compare with what was kept. */
export function madeBy({ signals, columns, ...rest }: ReadingSettings): string {
  return madeWith({ ...rest, ...(signals === undefined ? {} : { signals: signals.text }), ...(columns === undefined ? {} : { columns: columns.text }) });
}

export async function keepDay(store: Store, analysis: Analysis, zone: string, settings: ReadingSettings): Promise<SavedCase> {
  const { setup } = settings;
  return store.save({ analysis, zone, madeWith: madeBy(settings), ...(setup === undefined ? {} : { setup }) });
}

const LIKE_AN_ID = /^c[0-9a-f]{3,15}$/;
const MANIFEST = 'case.json';

/** The kept day that a word stands for: its id, the beginning of one, or its folder. Undefined when the word is no such thing. */
export async function namedCase(word: string, root: string): Promise<{ readonly root: string; readonly id: string } | undefined> {
  const about = await stat(word).catch(() => undefined);
  if (about !== undefined) {
    const folder = path.resolve(word);
    const id = /^case=(c[0-9a-f]{15})(?:-\d+)?$/.exec(path.basename(folder))?.[1];
    const hasManifest = about.isDirectory() && (await stat(path.join(folder, MANIFEST)).catch(() => undefined)) !== undefined;
    return hasManifest && id !== undefined ? { root: path.resolve(folder, '../../..'), id } : undefined;
  }
  return LIKE_AN_ID.test(word) ? { root, id: await wholeId(word, root) } : undefined;
}

/** From an id or the beginning of one. Throws UsageError when it fits none or several; `among` = which ids there are. */
export async function wholeId(word: string, root: string, among?: readonly string[]): Promise<string> {
  const store = openStore(root);
  const { cases, damaged } = await store.list();
  const known = among ?? [...cases.map(({ id }) => id), ...damaged.map(({ folder }) => /case=(c[0-9a-f]{15})/.exec(folder)?.[1] ?? '')];
  const fitting = [...new Set(known.filter((id) => id.startsWith(word) && word.length >= 4))];
  const [only] = fitting;
  if (only !== undefined && fitting.length === 1) return only;
  if (fitting.length > 1) throw new UsageError('which-case', `"${word}" fits ${fitting.length} kept days.`, `Write more of it: ${fitting.slice(0, 3).join(', ')}.`);
  throw new InputError('no-case', `There is no kept day "${word}" in ${root}.`, 'sowtrace cases lists them; name another folder with --store.');
}
