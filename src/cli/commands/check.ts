import { analyse, findingsDocument, letter } from '../../index.ts';
import type { Command } from '../command.ts';
import { paintFor } from '../paint.ts';
import { readInputs, readingOf, readingOptions } from '../reading-options.ts';
import { writeOut } from '../write-out.ts';

export const check: Command = {
  name: 'check',
  arguments: 'LOG…',
  summary: 'Reads the logs of one day (several files are one day), runs every check and prints the findings. Exit status 0: nothing above info; 1: something to do or to watch; 2: wrong usage or unreadable input.',
  options: {
    ...readingOptions,
    format: { value: 'FORM', oneOf: ['text', 'json'], help: 'text (default) or json' },
    out: { value: 'FILE', help: 'write there instead of to the screen' },
  },
  examples: ['sowtrace check cart.csv tractor.log.gz --setup setup.json', 'sowtrace check day.log --signals signals.json --setup setup.json --format json'],
  run: async (request, terminal) => {
    const inputs = await readInputs(request, terminal);
    const analysis = analyse(inputs.day, inputs.setup);
    const isJson = request.value('format') === 'json';
    const paint = request.value('out') === undefined ? paintFor(request, terminal) : undefined;
    const answer = isJson ? `${JSON.stringify(findingsDocument(analysis), undefined, 2)}\n` : letter(analysis, readingOf(request, inputs), paint);
    await writeOut(answer, request, terminal);
    return analysis.findings.some((finding) => finding.severity !== 'info') ? 1 : 0;
  },
};
