import { readFile } from 'node:fs/promises';
import { InputError, UsageError, PAPER_NAMES, analyse, createDayViews, createStretches, paper, version, type PaperName } from '../../index.ts';
import type { Command, Request } from '../command.ts';
import { readInputs, readingOf, readingOptions, reasonOf } from '../reading-options.ts';
import { writeOut } from '../write-out.ts';

const LARGEST_HECTARES = 100_000;

export const report: Command = {
  name: 'report',
  arguments: 'LOG…',
  summary: 'Writes one of three papers as a single HTML file to print or send: complaint (what is wrong, since when, how sure, with the evidence), rates (what went in against the target, by every route), tomorrow (what to do and what to load).',
  options: {
    ...readingOptions,
    paper: { value: 'PAPER', oneOf: PAPER_NAMES, help: 'complaint, rates or tomorrow' },
    notes: { value: 'FILE', help: 'your own words for the complaint file, as text' },
    hectares: { value: 'N', help: 'tomorrow: load for so many hectares' },
    out: { value: 'FILE', help: 'write there (.html)' },
  },
  examples: ['sowtrace report day.log --setup setup.json --paper complaint --out complaint.html', 'sowtrace report cart.csv tractor.log --setup setup.json --paper tomorrow --hectares 60 --out tomorrow.html'],
  run: async (request, terminal) => {
    const name = PAPER_NAMES.find((each) => each === request.value('paper'));
    if (name === undefined) throw new UsageError('no-paper', 'Which paper?', `Add --paper ${PAPER_NAMES.join(', --paper ')}.`);
    const extras = await extrasOf(request, name);
    const inputs = await readInputs(request, terminal);
    const stretches = createStretches(inputs.day, inputs.setup);
    const analysis = analyse(inputs.day, inputs.setup, stretches);
    const views = createDayViews(analysis, inputs.setup, stretches);
    await writeOut(paper(name, { analysis, setup: inputs.setup, reading: readingOf(request, inputs), views, version, ...extras }), request, terminal);
    return 0;
  },
};

async function extrasOf(request: Request, name: PaperName): Promise<{ readonly notes?: string; readonly area?: number }> {
  const [notes, hectares] = [request.value('notes'), request.value('hectares')];
  if (notes !== undefined && name !== 'complaint') throw new UsageError('stray-notes', '--notes belongs to the complaint file.', 'Use it with --paper complaint.');
  if (hectares !== undefined && name !== 'tomorrow') throw new UsageError('stray-hectares', '--hectares belongs to the list for tomorrow.', 'Use it with --paper tomorrow.');
  return { ...(notes === undefined ? {} : { notes: await notesOf(notes) }), ...(hectares === undefined ? {} : { area: areaOf(hectares) }) };
}

async function notesOf(path: string): Promise<string> {
  try {
    return (await readFile(path, 'utf8')).replace(/^\uFEFF/, '');
  } catch (error) {
    throw new InputError('cannot-read', `${path} cannot be read: ${reasonOf(error)}.`, 'Check the name and the folder.');
  }
}

/** m² */
function areaOf(text: string): number {
  const hectares = /^\d+(?:\.\d+)?$/.test(text) ? Number(text) : Number.NaN;
  if (hectares > 0 && hectares <= LARGEST_HECTARES) return hectares * 1e4;
  throw new UsageError('bad-hectares', `--hectares "${text}" is not an area.`, `Write the hectares to be sown as a number above 0 and up to ${LARGEST_HECTARES}, for example 60.`);
}
