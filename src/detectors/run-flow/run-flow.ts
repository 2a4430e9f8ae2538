import { formatNumber, quantity } from '../../../shared/text.ts';
import { defineDetector, type DetectorOutcome } from '../detector.ts';
import { branchFindings, isBranch } from './branch-findings.ts';
import { drillView } from './drill-view.ts';
import { ghostCounts } from './ghost-counts.ts';
import { blankFinding, ghostFindings, offsetFindings } from './lasting-findings.ts';
import { runFlowMessages } from './messages.ts';
import { runCases } from './run-cases.ts';
import { runFinding } from './run-findings.ts';
import { silencesOf, silentBlocks } from './silences.ts';
import type { RunFlowContext, Story } from './story.ts';
import { thresholds } from './thresholds.ts';
import { towerFindings, towerOffsets } from './tower-findings.ts';
import { FEWEST_MATES } from './tower-runs.ts';
import { runVariation } from './variation.ts';

export const runFlow = defineDetector({
  meta: {
    id: 'run-flow',
    title: 'Flow of every run against its tower mates',
    docs: {
      what: 'Runs that are blocked, restricted or high, towers that plug or run low, run sensors that are dirty, silent or stuck, harness branches that drop out; and the row-to-row variation.',
      why: 'A plugged opener leaves one bare row for as long as nobody sees it, out of sight of the cab; a blind sensor hides the next plug. Which of the two it is decides what is taken apart.',
      how: 'Counts of each run are held against those of its tower mates and against its own past (two-way robust fit of run and tower × time; the past is the level that fits the drill\'s spread and came first, so a fault may last all afternoon or since morning). Likelihood-ratio charts on counts, with the variance ÷ mean found in the log, see total losses, halves and 15–30 % side by side; the most likely sequence of levels gives begin and end. A run is judged only from its tower\'s own delay and rise after the ON command until OFF, above 1 m/s. Towers come before runs. What a run truly loses its mates must gain, q ÷ (n − 1) each: a regression on that tells blocked from blind.',
      fooledBy: 'Runs with their own metered stream (no mates to rise), two towers only, hoses off below the sensor (nothing shows), a tower whose section is not named in the setup.',
      source: 'Conservation and detection times: trade.md e.4–e.5 (computed); charts: NIST e-Handbook 6.3.2.3, Poisson reference value as in checks.md S-38; outliers: generalized ESD, NIST e-Handbook 1.3.5.17.3; blockage below half for 10 s, act above ±7 % for towers: common practice, no source.',
    },
    codes: ['run.blocked', 'run.restricted', 'run.high', 'run.sensor-dirty', 'run.sensor-silent', 'run.sensor-stuck', 'tower.blocked', 'tower.low', 'runs.dropout'],
    requires: ['run.*.count'],
    messages: runFlowMessages,
  },
  defaults: thresholds,
  detect,
});

/** s of steady flow needed to know how runs stand to each other. */
const LEAST_SECONDS = 300;

function detect(context: RunFlowContext): DetectorOutcome {
  const { say, options } = context;
  const view = drillView(context, options);
  const { log, judged, drill, towers } = view;
  const longest = Math.max(0, ...judged.towers.map(({ cells }) => cells.length)) * log.step;
  if (!log.towers.some(({ open }) => open.includes(1))) return { status: 'too-little-data', why: say('noWork') };
  if (!log.runs.some(({ counts }) => counts.some((count) => count > 0))) return { status: 'too-little-data', why: say('noFlow') };
  if (longest < LEAST_SECONDS) return { status: 'too-little-data', why: say('tooShort', { judged: quantity.duration(longest), needed: quantity.duration(LEAST_SECONDS) }) };

  const story: Story = { ...view, context };
  const silences = silencesOf(log, drill);
  const blocks = silentBlocks(log, drill, silences)
    .filter((block) => !block.members.every((member) => towers[member.tower]?.episodes.some((low) => low.start < block.end && low.end > block.start) === true))
    .filter((block) => isBranch(story, block));
  const cases = runCases(story, blocks, silences);
  const blank = blankFinding(story);

  for (const finding of [...towerFindings(story), ...towerOffsets(story), ...branchFindings(story, blocks)]) context.report(finding);
  for (const one of cases) context.report(runFinding(story, one, cases));
  for (const finding of [...offsetFindings(story, cases), ...ghostFindings(story, ghostCounts(log).filter(({ number }) => !cases.some((one) => one.kind === 'stuck' && one.number === number)))]) context.report(finding);
  if (blank !== undefined) context.report(blank);
  for (const measurement of runVariation(story, cases)) context.measure(measurement);
  return { status: 'ran', why: checkReport(story, longest) };
}

function checkReport({ context: { say }, log, drill }: Story, longest: number): string {
  const small = log.towers.flatMap(({ id }, t) => ((drill.towers[t]?.runs.filter(({ gain }) => gain > 0).length ?? 0) < FEWEST_MATES ? [id] : []));
  return [
    say('looked', { runs: String(log.runs.length), judged: quantity.duration(longest), dispersion: formatNumber(drill.dispersion, 1) }),
    ...(log.towers.every(({ id }) => id === '') ? [say('noTowers')] : []),
    ...(small.length > 0 && !log.towers.every(({ id }) => id === '') ? [say('smallTowers', { fewest: String(FEWEST_MATES), towers: small.join(', ') })] : []),
  ].join(' ');
}
