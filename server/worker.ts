import { parentPort } from 'node:worker_threads';
import { encodeBlocks, encodeLanes, type DayView, type ErrorReply, type FindingView } from '../shared/api.ts';
import type { Channel } from '../shared/channel.ts';
import type { Analysis, Day } from '../shared/day.ts';
import type { Finding } from '../shared/finding.ts';
import { emptySetup, type Setup } from '../shared/setup.ts';
import { parseSetup } from '../shared/setup-file.ts';
import { SetupError, analyse, blocksOf, createDayViews, createStretches, extentOf, findingsDocument, isMendable, madeWith, openLogs, openStore, paper, parseColumns, parseSignals, readOpenedLogs, version, type DayViews, type ShelvedChannel } from '../src/index.ts';
import { jobName, type FromWorker, type ToWorker, type WorkerAnswer, type WorkerJob, type WorkerQuestion } from './worker-messages.ts';

/* Waits for its job, reads that day, judges it and answers questions about it until it is ended. */

const port = parentPort;
if (port === null) throw new Error('worker.ts runs as a worker only');
const tell = (message: FromWorker, transferred: readonly ArrayBuffer[] = []): void => port.postMessage(message, transferred);

interface Judged {
  readonly day: Day;
  readonly analysis: Analysis;
  readonly views: DayViews;
}

/** The day as soon as something of it can be shown: a kept day's samples come later, those that are asked for first. */
interface HeldDay {
  readonly findings: Analysis['findings'];
  readonly channels: (positions: readonly number[]) => Promise<readonly Channel[]>;
  readonly whole: () => Promise<Judged>;
}

let job: WorkerJob;
let held: HeldDay | undefined;
let setupText: string | undefined;
let setupNow = emptySetup;
/** Zone in which a day was kept. */
let keptZone: string | undefined;

/** ms after which a kept day's samples are read although nothing asked for them. */
const SOON = 1000;

let begun: Promise<void> | undefined;
port.on('message', (message: ToWorker) => {
  if ('job' in message) begun = begin(message.job);
  else void begun?.then(() => reply(message));
});

async function begin(given: WorkerJob): Promise<void> {
  job = given;
  setupText = job.setup;
  try {
    if (job.kept === undefined) await judgeLogs();
    else await takeKept(job.kept);
  } catch (error) {
    tell({ kind: 'failed', error: errorReply(error) });
  }
}

async function reply({ number, question }: Exclude<ToWorker, { job: WorkerJob }>): Promise<void> {
  try {
    const answer = await answerTo(question);
    tell({ kind: 'answer', number, answer }, answer instanceof ArrayBuffer ? [answer] : []);
  } catch (error) {
    tell({ kind: 'refusal', number, message: error instanceof Error ? error.message : String(error) });
  }
}

async function judgeLogs(): Promise<void> {
  const setup = setupFrom(job.setup);
  const opened = await openLogs(job.files);
  const day = await readOpenedLogs(opened.logs, {
    zone: zoneFor(setup),
    ...(job.signals === undefined ? {} : { signals: parseSignals(job.signals, job.signalsName ?? 'signals.json') }),
    ...(job.columns === undefined ? {} : { columns: parseColumns(job.columns, job.columnsName ?? 'columns.json') }),
    onProgress: (progress) => tell({ kind: 'progress', ...progress }),
  }).finally(opened.close);
  tell({ kind: 'judging' });
  tell({ kind: 'ready', view: judge(day, setup) });
}

/** Judges by this setup, and holds what comes out. */
function judge(day: Day, setup: Setup): DayView {
  const stretches = createStretches(day, setup);
  const analysis = analyse(day, setup, stretches);
  const judged: Judged = { day, analysis, views: createDayViews(analysis, setup, stretches) };
  setupNow = setup;
  held = { findings: analysis.findings, channels: async (positions) => some(day, positions), whole: async () => judged };
  return viewOf(analysis, day, day.channels.map((channel) => ({ ...channel, ...extentOf(channel) })), setup);
}

async function takeKept({ store, id }: NonNullable<WorkerJob['kept']>): Promise<void> {
  const { listing, setup: text, readings, day, channels, analysis } = await openStore(store).open(id);
  setupText = text;
  keptZone = listing.zone;
  const setup = setupFrom(text);
  setupNow = setup;
  const readAll = async (): Promise<Judged> => {
    try {
      const read = await analysis();
      return { day: read.day, analysis: read, views: createDayViews(read, setup, createStretches(read.day, setup)) };
    } catch (error) {
      tell({ kind: 'failed', error: errorReply(error) });
      throw error;
    }
  };
  let all: Promise<Judged> | undefined;
  const whole = (): Promise<Judged> => (all ??= readAll());
  held = { findings: readings.findings, channels: channels.read, whole };
  tell({ kind: 'ready', view: viewOf(readings, day, channels.about, setup) });
  setTimeout(() => void whole().catch(() => undefined), SOON);
}

const some = ({ channels }: Day, positions: readonly number[]): readonly Channel[] => positions.flatMap((position) => channels[position] ?? []);

async function answerTo(question: WorkerQuestion): Promise<unknown> {
  if (held === undefined) throw new Error('the day is not ready');
  switch (question.kind) {
    case 'blocks': {
      const [channel] = await held.channels([question.channel]);
      return channel === undefined ? undefined : encodeBlocks(blocksOf(channel, question.from, question.to, question.columns));
    }
    case 'lanes': {
      const { from, to, columns } = question;
      const channels = await held.channels(question.channels);
      const lanes = channels.map((channel, k) => ({ channel: question.channels[k] as number, data: blocksOf(channel, from, to, columns) }));
      return encodeLanes({ lanes, ...(question.runs ? { runs: (await held.whole()).views.runs(from, to, columns) } : {}) });
    }
    case 'evidence':
      return held.findings.find((finding) => finding.id === question.finding)?.evidence;
    default:
      return answerFrom(question, await held.whole());
  }
}

function answerFrom(question: Exclude<WorkerQuestion, { kind: 'blocks' | 'lanes' | 'evidence' }>, { day, analysis, views }: Judged): unknown {
  switch (question.kind) {
    case 'values':
      return views.valuesAt(question.channels, question.at);
    case 'map':
      return views.map();
    case 'map-colour':
      return question.by === 'rate' ? views.mapRate(question.of) : views.mapColour(question.of);
    case 'rates':
      return views.rates();
    case 'judge':
      try {
        const setup = setupFrom(question.setup);
        setupText = question.setup;
        return { view: judge(day, setup) };
      } catch (error) {
        return { error: errorReply(error) };
      }
    case 'keep':
      return keep(question.store, day, analysis);
    case 'document':
      return JSON.stringify(findingsDocument(analysis), undefined, 2);
    case 'paper': {
      const { units, marks, area } = question;
      const reading = { units, zone: zoneFor(setupNow), dayStart: day.start };
      return paper(question.paper, { analysis, setup: setupNow, reading, views, version, marks, ...(area === undefined ? {} : { area }) });
    }
  }
}

async function keep(store: string, day: Day, analysis: Analysis): Promise<WorkerAnswer<'keep'>> {
  try {
    const { signals, columns, zone } = job;
    const setup = setupText === undefined ? {} : { setup: setupText };
    const made = { ...setup, ...(signals === undefined ? {} : { signals }), ...(columns === undefined ? {} : { columns }), ...(zone === undefined ? {} : { zone }) };
    /* What a kept day was read with is not known here. */
    const saved = await openStore(store).save({ analysis: { ...analysis, day }, zone: zoneFor(setupNow), ...setup, ...(job.kept === undefined ? { madeWith: madeWith(made) } : {}) });
    return { saved };
  } catch (error) {
    return { error: errorReply(error) };
  }
}

function setupFrom(text: string | undefined): Setup {
  if (text === undefined || text.trim() === '') return emptySetup;
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch (error) {
    throw new SetupError('bad-json', `The setup is not valid JSON: ${error instanceof Error ? error.message : ''}.`, 'Mend the place named, for example a missing comma or quote.');
  }
  const { setup, problems } = parseSetup(value, job.zone);
  const first = problems[0];
  if (first !== undefined) throw new SetupError('bad-setup', `In the setup, ${first.message}.`, first.whatToDo);
  return setup;
}

function zoneFor(setup: Setup): string {
  return job.zone ?? keptZone ?? setup.job.zone ?? 'UTC';
}

function viewOf(judged: Omit<Analysis, 'day'>, { start, duration, logs }: Omit<Day, 'channels'>, channels: readonly ShelvedChannel[], setup: Setup): DayView {
  return {
    id: job.id,
    name: jobName(job),
    start, duration,
    zone: zoneFor(setup),
    units: job.units,
    logs,
    channels: channels.map(({ id, unit, source, samples, from, to }, index) => ({ index, id, unit, source, samples, from, to })),
    summary: judged.summary,
    findings: judged.findings.map(withoutEvidence),
    measurements: judged.measurements,
    checks: judged.checks,
    episodes: judged.episodes,
    ...(setupText === undefined ? {} : { setup: setupText }),
  };
}

function withoutEvidence(finding: Finding): FindingView {
  const { evidence, ...rest } = finding;
  return { ...rest, evidenceKinds: evidence.map((item) => item.kind) };
}

function errorReply(error: unknown): ErrorReply {
  if (isMendable(error)) return { kind: error.kind, message: error.message, whatToDo: error.whatToDo };
  return { kind: 'internal', message: `This is our mistake: ${error instanceof Error ? error.message : String(error)}.`, whatToDo: 'Please report it with the log, if you may.' };
}
