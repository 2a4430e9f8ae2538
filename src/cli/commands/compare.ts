import { clockOption } from '../clock-option.ts';
import { UsageError, analyse, compareDays, comparedCase, comparedDay, comparisonDocument, comparisonText, openStore, sliceDay, type ComparedDay } from '../../index.ts';
import type { Command, Request, Terminal } from '../command.ts';
import { namedCase } from '../kept-day.ts';
import { readInputs, readingOptions, type Inputs } from '../reading-options.ts';
import { storeOption, storeRoot } from '../store-option.ts';
import { writeOut } from '../write-out.ts';

export const compare: Command = {
  name: 'compare',
  arguments: 'BEFORE AFTER',
  summary: 'Puts two days, or two stretches of one day, side by side: did the new setting work? Every measurement with the difference and how sure it is, findings that went and came, settings that differ.',
  options: {
    ...readingOptions,
    'setup-before': { value: 'FILE', help: 'setup.json of BEFORE, when it differs' },
    'setup-after': { value: 'FILE', help: 'setup.json of AFTER, when it differs' },
    'before': { value: 'FROM..TO', help: 'a stretch of one day, e.g. ..11:30 or 2031-05-03T08:00..2031-05-03T11:30' },
    'after': { value: 'FROM..TO', help: 'the other stretch, e.g. 12:15..' },
    ...storeOption,
    'format': { value: 'FORM', oneOf: ['text', 'json'], help: 'text (default) or json' },
    'out': { value: 'FILE', help: 'write there instead of to the screen' },
  },
  examples: [
    'sowtrace compare monday.log tuesday.log --setup-before old.json --setup-after new.json',
    'sowtrace compare day.log --before ..11:30 --after 12:15.. --setup setup.json',
    'sowtrace compare c1a2b3 c4d5e6      (kept days)',
  ],
  run: async (request, terminal) => {
    const [before, after] = request.value('before') === undefined && request.value('after') === undefined ? await twoDays(request, terminal) : await twoStretches(request, terminal);
    const comparison = compareDays(before, after);
    const answer = request.value('format') === 'json' ? `${JSON.stringify(comparisonDocument(comparison), undefined, 2)}\n` : comparisonText(comparison, request.value('units') === 'us' ? 'us' : 'metric');
    await writeOut(answer, request, terminal);
    return 0;
  },
};

async function twoDays(request: Request, terminal: Terminal): Promise<readonly [ComparedDay, ComparedDay]> {
  const [before, after, ...more] = request.logs;
  if (before === undefined || after === undefined || more.length > 0) {
    throw new UsageError('not-two', `sowtrace compare takes two days, and ${request.logs.length === 0 ? 'none was' : `${request.logs.length} ${request.logs.length === 1 ? 'was' : 'were'}`} named.`, 'Name a log, a folder of logs or a kept day twice, or one day with --before and --after.');
  }
  return [await dayOf(before, 'before', request, terminal), await dayOf(after, 'after', request, terminal)];
}

/** A kept day, by its folder or the beginning of its id, else a log or a folder of logs. */
async function dayOf(name: string, side: 'before' | 'after', request: Request, terminal: Terminal): Promise<ComparedDay> {
  const kept = await namedCase(name, storeRoot(request, terminal));
  if (kept !== undefined) return comparedCase(await openStore(kept.root).readings(kept.id));
  const setup = request.value(`setup-${side}`) ?? request.value('setup');
  const inputs = await readInputs({ ...request, logs: [name], value: (option) => (option === 'setup' ? setup : request.value(option)) }, terminal);
  return judged(inputs, name);
}

function judged({ day, setup, zone }: Inputs, title: string): ComparedDay {
  return comparedDay(analyse(day, setup), { setup, zone, title });
}

async function twoStretches(request: Request, terminal: Terminal): Promise<readonly [ComparedDay, ComparedDay]> {
  const [before, after] = [request.value('before'), request.value('after')];
  if (before === undefined || after === undefined) throw new UsageError('one-stretch', `Only --${before === undefined ? 'after' : 'before'} was given.`, 'Give both stretches, e.g. --before ..11:30 --after 12:15..');
  const inputs = await readInputs(request, terminal);
  const { day, zone } = inputs;
  const spanOf = (text: string, option: string): { readonly start: number; readonly end: number } => {
    const ends = text.split('..');
    if (ends.length !== 2) throw new UsageError('bad-stretch', `--${option} "${text}" is no stretch of time.`, 'Write it as FROM..TO, e.g. 08:00..11:30, ..11:30 or 12:15..');
    const [from, to] = ends.map((end) => (end.trim() === '' ? undefined : clockOption(end.trim(), option, { zone, dayStart: day.start }))) as [number | undefined, number | undefined];
    const span = { start: Math.max(0, from ?? 0), end: Math.min(day.duration, to ?? day.duration) };
    if (span.end <= span.start) throw new UsageError('empty-stretch', `--${option} "${text}" holds nothing of this log.`, 'Check the times and the zone; sowtrace inspect shows from when to when the log runs.');
    return span;
  };
  const spans = [spanOf(before, 'before'), spanOf(after, 'after')] as const;
  if (spans[0].start < spans[1].end && spans[1].start < spans[0].end) throw new UsageError('overlapping', 'The two stretches overlap, so what they share would be compared with itself.', 'Let one end before the other begins.');
  const name = request.logs.join(' + ');
  const stretch = (span: { readonly start: number; readonly end: number }, text: string): ComparedDay => judged({ ...inputs, day: sliceDay(day, span) }, `${name}, ${text}`);
  return [stretch(spans[0], before), stretch(spans[1], after)];
}
