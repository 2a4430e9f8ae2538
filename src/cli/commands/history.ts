import type { CaseListing } from '../../../shared/case.ts';
import { nearest } from '../../../shared/nearest.ts';
import { InputError, UsageError, history, historyDocument, historyPage, historyText, openStore, seasonDay, type SeasonDay } from '../../index.ts';
import type { Command, Request, Terminal } from '../command.ts';
import { storeOption, storeRoot } from '../store-option.ts';
import { writeOut } from '../write-out.ts';

export const historyCommand: Command = {
  name: 'history',
  arguments: '[--machine NAME]',
  summary: 'Follows one machine through its kept days: what drifted, what stepped and when, what stayed, what was entered anew. Drift shows before the complaint does.',
  options: {
    ...storeOption,
    machine: { value: 'NAME', help: 'which machine, when days of several are kept' },
    from: { value: 'DATE', help: 'from this day, e.g. 2031-04-20' },
    to: { value: 'DATE', help: 'to this day' },
    format: { value: 'FORM', oneOf: ['text', 'json', 'html'], help: 'text (default), json, or html: one page with charts' },
    out: { value: 'FILE', help: 'write there instead of to the screen' },
  },
  examples: ['sowtrace history', 'sowtrace history --machine "Drill D60" --format html --out season.html'],
  run: async (request, terminal) => {
    if (request.logs.length > 0) throw new UsageError('too-many', `sowtrace history reads kept days, not "${request.logs[0] ?? ''}".`, 'Keep the day first, then leave the log out.');
    const { machine, days } = await keptDays(request, terminal);
    const season = history(machine, days);
    const units = request.value('units') === 'us' ? 'us' : 'metric';
    const format = request.value('format') ?? 'text';
    const answer = format === 'json' ? `${JSON.stringify(historyDocument(season), undefined, 2)}\n` : format === 'html' ? historyPage(season, units) : historyText(season, units);
    await writeOut(answer, request, terminal);
    return 0;
  },
};

/** The kept days of the machine that was asked for; what is damaged or undated is named and left out. */
async function keptDays(request: Request, terminal: Terminal): Promise<{ readonly machine: string; readonly days: readonly SeasonDay[] }> {
  const root = storeRoot(request, terminal);
  const store = openStore(root);
  const machine = machineOf(request.value('machine'), (await store.list()).cases, root);
  const note = (text: string): void => void (request.flag('quiet') ? 0 : terminal.err(`${text}\n`));
  const [from, to] = [dateOption(request, 'from'), dateOption(request, 'to')];
  const isWithin = (date: string): boolean => (from === undefined || date >= from) && (to === undefined || date <= to);
  const { cases, damaged } = await store.manyReadings((listing) => listing.machine === machine && (listing.date === 'undated' || isWithin(listing.date)));
  for (const { folder, reason } of damaged) note(`left out: ${folder}: ${reason}`);
  const dated = cases.filter(({ listing }) => listing.date !== 'undated');
  const undated = cases.length - dated.length;
  if (undated > 0) note(`left out: ${undated} ${undated === 1 ? 'day' : 'days'} without a date, which have no place in a season.`);
  const days = dated.map(seasonDay);
  if (days.length === 0) throw new InputError('no-days', `No kept day of ${machine} is left to look at in ${root}.`, 'Keep days first, or widen --from and --to.');
  return { machine, days };
}

function machineOf(asked: string | undefined, cases: readonly CaseListing[], root: string): string {
  const names = [...new Set(cases.map(({ machine }) => machine))].sort();
  const [only] = names;
  if (only === undefined) throw new InputError('no-days', `No day is kept in ${root}.`, 'Keep days first, or name another folder with --store.');
  if (asked === undefined) {
    if (names.length === 1) return only;
    throw new UsageError('which-machine', `Days of ${names.length} machines are kept: ${names.join(', ')}.`, `Say which, e.g. --machine "${only}".`);
  }
  const found = names.find((name) => name.toLowerCase() === asked.toLowerCase());
  if (found !== undefined) return found;
  const meant = nearest(asked, names);
  throw new UsageError('no-machine', `No day of a machine "${asked}" is kept.`, meant === undefined ? `There are days of ${names.join(', ')}.` : `Did you mean "${meant}"?`);
}

function dateOption(request: Request, name: 'from' | 'to'): string | undefined {
  const text = request.value(name);
  if (text === undefined || /^\d{4}-\d{2}-\d{2}$/.test(text)) return text;
  throw new UsageError('bad-date', `--${name} "${text}" is not a date.`, 'Write it as 2031-04-20.');
}
