import { DAYS_TO_RESTORE, type CaseListing } from '../../../shared/case.ts';
import { formatClock, formatDuration } from '../../../shared/text.ts';
import { UsageError, openStore, type Store } from '../../index.ts';
import type { Command, Request, Terminal } from '../command.ts';
import { wholeId } from '../kept-day.ts';
import { storeOption, storeRoot } from '../store-option.ts';

export const cases: Command = {
  name: 'cases',
  arguments: '',
  summary: `Lists the days that are kept; removes one, which can be undone for ${DAYS_TO_RESTORE} days: what was removed earlier is deleted for good when a day is next kept or removed. Exit status 1 when one of them is damaged.`,
  options: {
    ...storeOption,
    remove: { value: 'ID', help: 'take this day out of the list (asks first)' },
    restore: { value: 'ID', help: 'bring back a day that was removed' },
    removed: { help: 'list the days that were removed and can be restored' },
    yes: { help: 'remove without asking' },
    format: { value: 'FORM', oneOf: ['text', 'json'], help: 'text (default) or json' },
  },
  examples: ['sowtrace cases', 'sowtrace cases --remove c1f0a2b', 'sowtrace view c1f0a2b --open'],
  run: async (request, terminal) => {
    if (request.logs.length > 0) throw new UsageError('too-many', `sowtrace cases takes no "${request.logs[0] ?? ''}".`, 'sowtrace view ID opens a kept day.');
    const store = openStore(storeRoot(request, terminal));
    const [remove, restore] = [request.value('remove'), request.value('restore')];
    if (remove !== undefined) return removeCase(store, await wholeId(remove, store.root), request, terminal);
    if (restore !== undefined) {
      const { id, name } = await store.restore(await wholeId(restore, store.root, (await store.removed()).map(({ id }) => id)));
      terminal.out(`${id} is back: ${name}\n`);
      return 0;
    }
    return listCases(store, request, terminal);
  },
};

async function removeCase(store: Store, id: string, request: Request, terminal: Terminal): Promise<number> {
  const listing = (await store.list()).cases.find((candidate) => candidate.id === id);
  const what = listing === undefined ? `${id} (damaged)` : `${id}, ${listing.date}, ${listing.machine}, ${listing.name}`;
  if (!request.flag('yes')) {
    if (terminal.ask === undefined) throw new UsageError('not-asked', `Removing ${what} must be confirmed, and there is nobody to ask.`, 'Add --yes.');
    if (!/^y(?:es)?$/i.test((await terminal.ask(`Remove ${what}? [y/N] `)).trim())) {
      terminal.err('Nothing was removed.\n');
      return 0;
    }
  }
  await store.remove(id);
  terminal.out(`Removed ${what}.\nUndo: sowtrace cases --restore ${id} (for ${DAYS_TO_RESTORE} days)\n`);
  return 0;
}

async function listCases(store: Store, request: Request, terminal: Terminal): Promise<number> {
  const isRemoved = request.flag('removed');
  const { cases, damaged } = isRemoved ? { cases: await store.removed(), damaged: [] } : await store.list();
  if (request.value('format') === 'json') terminal.out(`${JSON.stringify({ store: store.root, cases, damaged }, undefined, 2)}\n`);
  else if (cases.length === 0) terminal.err(isRemoved ? `No day of ${store.root} was removed.\n` : `No day is kept in ${store.root}. sowtrace check LOG… --save keeps one.\n`);
  else terminal.out(`${columns([['id', 'date', 'from', 'length', 'to do', 'watch', 'machine', 'logs'], ...cases.map(rowOf)])}\n`);
  for (const { folder, reason } of damaged) terminal.err(`damaged: ${folder}: ${reason}\n`);
  return damaged.length > 0 ? 1 : 0;
}

const rowOf = ({ id, date, zone, start, duration, actions, watches, machine, name }: CaseListing): readonly string[] =>
  [id, date, date === 'undated' ? '' : formatClock(0, { units: 'metric', zone, dayStart: start }).slice(0, 5), formatDuration(Math.round(duration), 0), String(actions), String(watches), machine, name];

/** Cells padded to the widest of their column. */
export function columns(rows: readonly (readonly string[])[]): string {
  const widths = (rows[0] ?? []).map((_, k) => Math.max(...rows.map((row) => row[k]?.length ?? 0)));
  return rows.map((row) => row.map((cell, k) => cell.padEnd(widths[k] ?? 0)).join('  ').trimEnd()).join('\n');
}
