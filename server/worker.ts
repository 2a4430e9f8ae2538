import { parentPort, workerData } from 'node:worker_threads';
import { encodeBlocks, encodeLanes, type DayView, type ErrorReply, type FindingView } from '../shared/api.ts';
import type { Analysis, Day } from '../shared/day.ts';
import type { Finding } from '../shared/finding.ts';
import { emptySetup, type Setup } from '../shared/setup.ts';
import { parseSetup } from '../shared/setup-file.ts';
import { SetupError, analyse, blocksOf, createDayViews, createStretches, findingsDocument, isMendable, madeWith, openLogs, openStore, paper, parseColumns, parseSignals, readOpenedLogs, version, type DayViews } from '../src/index.ts';
import { jobName, type WorkerEvent, type WorkerJob, type WorkerAnswer, type WorkerQuestion } from './worker-messages.ts';

/* Reads one day, judges it and answers questions about it until it is ended. */

const job = workerData as WorkerJob;
const port = parentPort;
if (port === null) throw new Error('worker.ts runs as a worker only');
const tell = (event: WorkerEvent): void => port.postMessage(event);

let day: Day | undefined;
let analysis: Analysis | undefined;
let views: DayViews | undefined;
let setupText = job.setup;
let setupNow = emptySetup;
/** Zone in which a day was kept. */
let keptZone: string | undefined;

try {
  if (job.kept === undefined) await judgeLogs();
  else await takeKept(job.kept);
} catch (error) {
  tell({ kind: 'failed', error: errorReply(error) });
}

async function judgeLogs(): Promise<void> {
  const setup = setupFrom(job.setup);
  const opened = await openLogs(job.files);
  const read = await readOpenedLogs(opened.logs, {
    zone: zoneFor(setup),
    ...(job.signals === undefined ? {} : { signals: parseSignals(job.signals, job.signalsName ?? 'signals.json') }),
    ...(job.columns === undefined ? {} : { columns: parseColumns(job.columns, job.columnsName ?? 'columns.json') }),
    onProgress: (progress) => tell({ kind: 'progress', ...progress }),
  }).finally(opened.close);
  tell({ kind: 'judging' });
  const stretches = createStretches(read, setup);
  const judged = analyse(read, setup, stretches);
  day = read;
  analysis = judged;
  views = createDayViews(judged, setup, stretches);
  setupNow = setup;
  tell({ kind: 'ready', view: viewOf(read, judged, setup) });
}

async function takeKept({ store, id }: NonNullable<WorkerJob['kept']>): Promise<void> {
  const opened = await openStore(store).open(id);
  setupText = opened.setup;
  keptZone = opened.listing.zone;
  const setup = setupFrom(setupText);
  day = opened.analysis.day;
  analysis = opened.analysis;
  views = createDayViews(analysis, setup, createStretches(day, setup));
  setupNow = setup;
  tell({ kind: 'ready', view: viewOf(day, analysis, setup) });
}

port.on('message', async ({ number, question }: { number: number; question: WorkerQuestion }) => {
  try {
    const answer = await answerTo(question);
    port.postMessage({ kind: 'answer', number, answer }, answer instanceof ArrayBuffer ? [answer] : []);
  } catch (error) {
    port.postMessage({ kind: 'refusal', number, message: error instanceof Error ? error.message : String(error) });
  }
});

function answerTo(question: WorkerQuestion): unknown {
  if (day === undefined || analysis === undefined || views === undefined) throw new Error('the day is not ready');
  switch (question.kind) {
    case 'blocks': {
      const channel = day.channels[question.channel];
      return channel === undefined ? undefined : encodeBlocks(blocksOf(channel, question.from, question.to, question.columns));
    }
    case 'lanes': {
      const { channels } = day;
      const { from, to, columns } = question;
      const lanes = question.channels.flatMap((index) => {
        const channel = channels[index];
        return channel === undefined ? [] : [{ channel: index, data: blocksOf(channel, from, to, columns) }];
      });
      return encodeLanes({ lanes, ...(question.runs ? { runs: views.runs(from, to, columns) } : {}) });
    }
    case 'values':
      return views.valuesAt(question.channels, question.at);
    case 'map':
      return views.map();
    case 'map-colour':
      return question.by === 'rate' ? views.mapRate(question.of) : views.mapColour(question.of);
    case 'rates':
      return views.rates();
    case 'evidence':
      return analysis.findings.find((finding) => finding.id === question.finding)?.evidence;
    case 'judge':
      try {
        const setup = setupFrom(question.setup);
        setupText = question.setup;
        const stretches = createStretches(day, setup);
        const judged = analyse(day, setup, stretches);
        analysis = judged;
        views = createDayViews(judged, setup, stretches);
        setupNow = setup;
        return { view: viewOf(day, judged, setup) };
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

async function keep(store: string, read: Day, judged: Analysis): Promise<WorkerAnswer<'keep'>> {
  try {
    const { signals, columns, zone } = job;
    const setup = setupText === undefined ? {} : { setup: setupText };
    const made = { ...setup, ...(signals === undefined ? {} : { signals }), ...(columns === undefined ? {} : { columns }), ...(zone === undefined ? {} : { zone }) };
    /* What a kept day was read with is not known here. */
    const saved = await openStore(store).save({ analysis: { ...judged, day: read }, zone: zoneFor(setupNow), ...setup, ...(job.kept === undefined ? { madeWith: madeWith(made) } : {}) });
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

function viewOf(read: Day, judged: Analysis, setup: Setup): DayView {
  return {
    id: job.id,
    name: jobName(job),
    start: read.start,
    duration: read.duration,
    zone: zoneFor(setup),
    units: job.units,
    logs: read.logs,
    channels: read.channels.map((channel, index) => ({
      index, id: channel.id, unit: channel.unit, source: channel.source, samples: channel.time.length,
      from: channel.time[0] ?? 0, to: channel.time[channel.time.length - 1] ?? 0,
    })),
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
