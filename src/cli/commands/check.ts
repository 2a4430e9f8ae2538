import { UsageError, analyse, findingsDocument, letter, openStore, type Store } from '../../index.ts';
import type { Command, Request, Terminal } from '../command.ts';
import { checkEach } from '../each-day.ts';
import { keepDay } from '../kept-day.ts';
import { paintFor } from '../paint.ts';
import { readInputs, readSettings, readingOf, readingOptions } from '../reading-options.ts';
import { storeOption, storeRoot } from '../store-option.ts';
import { writeOut } from '../write-out.ts';

export const check: Command = {
  name: 'check',
  arguments: 'LOG…',
  summary: 'Reads the logs of one day (several files are one day), runs every check and prints the findings. Exit status 0: nothing above info; 1: something to do or to watch; 2: wrong usage or unreadable input.',
  options: {
    ...readingOptions,
    format: { value: 'FORM', oneOf: ['text', 'json'], help: 'text (default) or json' },
    out: { value: 'FILE', help: 'write there instead of to the screen' },
    save: { help: 'keep the day, with its channels and all that was found' },
    ...storeOption,
    each: { value: 'FOLDER', help: 'judge every log, folder and zip in it as a day of its own; with --save, days already kept are left out' },
  },
  examples: ['sowtrace check cart.csv tractor.log.gz --setup setup.json', 'sowtrace check day.log --signals signals.json --setup setup.json --format json', 'sowtrace check --each season --setup setup.json --save'],
  run: async (request, terminal) => {
    const each = request.value('each');
    const store = storeFor(request, terminal);
    if (each !== undefined) {
      const unfit = [...['format', 'out'].filter((option) => request.value(option) !== undefined).map((option) => `--${option}`), ...request.logs][0];
      if (unfit !== undefined) throw new UsageError('unfit-option', `--each prints a line a day and takes no ${unfit}.`, 'Leave one of them out; a kept day holds its own findings.json.');
      return checkEach(each, await readSettings(request), store, request, terminal);
    }
    const inputs = await readInputs(request, terminal);
    const analysis = analyse(inputs.day, inputs.setup);
    const isJson = request.value('format') === 'json';
    const paint = request.value('out') === undefined ? paintFor(request, terminal) : undefined;
    const answer = isJson ? `${JSON.stringify(findingsDocument(analysis), undefined, 2)}\n` : letter(analysis, readingOf(request, inputs), paint);
    await writeOut(answer, request, terminal);
    if (store !== undefined) {
      const { id, replaced, sharesLogsWith } = await keepDay(store, analysis, inputs.zone, await readSettings(request));
      if (!request.flag('quiet')) {
        terminal.err(`${replaced ? 'Kept again' : 'Kept'} as ${id} in ${store.root}.\n`);
        for (const other of sharesLogsWith) terminal.err(`Shares a log with ${other.id} (${other.date}, ${other.name}).\n`);
      }
    }
    return analysis.findings.some((finding) => finding.severity !== 'info') ? 1 : 0;
  },
};

function storeFor(request: Request, terminal: Terminal): Store | undefined {
  if (request.flag('save')) return openStore(storeRoot(request, terminal));
  if (request.value('store') !== undefined) throw new UsageError('not-saved', '--store says where to keep the day, but it is not to be kept.', 'Add --save.');
  return undefined;
}
