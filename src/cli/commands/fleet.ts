import { nearest } from '../../../shared/nearest.ts';
import { UsageError, answerCsv, answerDocument, answerText, fleetQuestions, openFleet, openStore, questionsText, type FleetTables } from '../../index.ts';
import type { Command, Request, Terminal } from '../command.ts';
import { storeOption, storeRoot } from '../store-option.ts';
import { writeOut } from '../write-out.ts';

export const fleet: Command = {
  name: 'fleet',
  arguments: '[QUESTION]',
  summary: 'Asks all kept days of all machines one question. Without a question it lists what can be asked. Needs DuckDB; reads nothing but kept days.',
  options: {
    ...storeOption,
    set: { value: 'NAME=VALUE,…', help: 'values of the question, e.g. moved=2%,from=2031-04-01' },
    format: { value: 'FORM', oneOf: ['text', 'json', 'csv'], help: 'text (default), json or csv' },
    out: { value: 'FILE', help: 'write there instead of to the screen' },
  },
  examples: ['sowtrace fleet', 'sowtrace fleet wheel-moved --set moved=2%', 'sowtrace fleet open-actions --format csv --out open.csv'],
  run: async (request, terminal) => {
    const [name, ...more] = request.logs;
    if (name === undefined) {
      terminal.out(questionsText(fleetQuestions));
      return 0;
    }
    if (more.length > 0) throw new UsageError('one-question', `One question at a time: "${more.join(' ')}" is too much.`, 'Values go into --set, e.g. --set moved=2%.');
    const question = fleetQuestions.find(({ id }) => id === name);
    if (question === undefined) {
      const meant = nearest(name, fleetQuestions.map(({ id }) => id));
      throw new UsageError('no-question', `There is no question "${name}".`, meant === undefined ? 'sowtrace fleet lists them.' : `Did you mean ${meant}?`);
    }
    const values = valuesOf(request.value('set'));
    const open = await openFleet(await tablesOf(request, terminal));
    try {
      const answer = await open.ask(question, values);
      const format = request.value('format') ?? 'text';
      await writeOut(format === 'json' ? `${JSON.stringify(answerDocument(question, answer), undefined, 2)}\n` : format === 'csv' ? answerCsv(answer) : answerText(question, answer), request, terminal);
      return 0;
    } finally {
      open.close();
    }
  },
};

/** Tables of every kept day that is whole; damaged ones are named and left out. */
async function tablesOf(request: Request, terminal: Terminal): Promise<FleetTables> {
  const { cases, damaged } = await openStore(storeRoot(request, terminal)).manyTables();
  if (!request.flag('quiet')) for (const { folder, reason } of damaged) terminal.err(`left out: ${folder}: ${reason}\n`);
  return {
    measurements: cases.map(({ measurements }) => measurements),
    findings: cases.map(({ findings }) => findings),
    marks: cases.flatMap(({ id, marks }) => marks.map((mark) => ({ case: id, ...mark }))),
  };
}

function valuesOf(text: string | undefined): Readonly<Record<string, string>> {
  if (text === undefined) return {};
  return Object.fromEntries(text.split(',').map((part) => {
    const at = part.indexOf('=');
    if (at < 1) throw new UsageError('bad-set', `--set "${part}" is not NAME=VALUE.`, 'Write it as moved=2% or name=wheel.ratio,from=2031-04-01.');
    return [part.slice(0, at).trim(), part.slice(at + 1).trim()];
  }));
}
