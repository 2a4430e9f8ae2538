import type { FindingDraft } from '../detector.ts';
import { formatNumber, quantity } from '../../../shared/text.ts';
import { cautions } from '../cautions.ts';
import { calmSeconds } from './collapse.ts';
import { flowRatio } from './dead-time.ts';
import { fieldCost } from './cost.ts';
import { answersToOther, fellAtOnce } from './crossed-sections.ts';
import { runsPicture, towerName, towerTrace, windowAround } from './evidence.ts';
import { fanShare, precursors } from './precursors.ts';
import { rowPlaces } from './row-places.ts';
import type { FlowEpisode } from './run-episodes.ts';
import { NOTHING, percent, towerChannels, type Story } from './story.ts';

/** What is left of a tower's low stretches once short ones, the last minute of a tank and slow air are taken out. */
export function towerFindings(story: Story): readonly FindingDraft[] {
  return story.log.towers.flatMap((_, tower) => {
    const episodes = (story.towers[tower]?.episodes ?? []).filter((episode) => isTowerFault(story, tower, episode));
    const blocked = episodes.filter(({ ratio }) => ratio.value < story.thresholds.blocked);
    const low = episodes.filter((episode) => !blocked.includes(episode));
    return [...blocked.map((episode) => blockedFinding(story, tower, episode)), ...(low.length === 0 ? [] : [lowFinding(story, tower, low)])];
  });
}

/**
 * Stretches in which a tower as a whole is at fault; its runs are then not. One that falls from one second to the next, or with
 * another section's commands, is a clutch's or its wiring's doing: the section check's business.
 */
export function isTowerFault(story: Story, tower: number, episode: FlowEpisode): boolean {
  const { thresholds: limits, log, judged } = story;
  if (answersToOther(story, tower, episode) || (log.towers[tower]?.section !== undefined && fellAtOnce(story, tower, episode))) return false;
  const calm = calmSeconds(judged.collapsed, episode, log.step);
  if (episode.ratio.value < limits.blocked) return episode.judgedSeconds >= (knowsCommands(story) ? (calm < limits.shortestTowerBlocked ? 60 : limits.shortestTowerBlocked) : limits.shortestUncommanded);
  if (Math.min(calm, episode.judgedSeconds) < limits.shortestTowerLow || episode.ratio.high > 1 - limits.leastTowerLoss) return false;
  return episode.ratio.value < 0.5 || !isSlowAir(story, episode);
}

/** Slow air feeds far towers less: the fan is the cause and named by its own check, unless it had been as slow for long while the tower flowed. */
function isSlowAir(story: Story, { start, end }: FlowEpisode): boolean {
  const { slowFan } = story.thresholds;
  const during = fanShare(story, { start, end })?.share ?? 1;
  const before = fanShare(story, { start: Math.max(0, start - 900), end: Math.max(0, start - 120) })?.share ?? 1;
  return during < slowFan && before > during + 0.03;
}

/** Whether any section's commands are logged: without them a section switched off looks like a plugged tower. */
const knowsCommands = ({ context }: Story): boolean => context.channels('section.*.on').length > 0;

function shared(story: Story, tower: number, episodes: readonly FlowEpisode[]) {
  const { context, log, drill } = story;
  const { say } = context;
  const first = episodes[0] as FlowEpisode;
  const span = { start: first.start, end: episodes.at(-1)?.end ?? first.end };
  const live = drill.towers[tower]?.runs.filter((run) => run.presence.usual > 0).length ?? 0;
  const ratio = flowRatio(first.ratio, first.expected / Math.max(1, first.judgedSeconds) / Math.max(1, live));
  const plan = log.towers[tower];
  const numbers = (plan?.runs ?? []).map((run) => log.runs[run]?.number ?? 0);
  const cost = fieldCost(context, log, tower, plan?.outlets ?? numbers.length, episodes);
  const slots = {
    tower: towerName(story, tower), start: quantity.clock(span.start), end: quantity.clock(span.end), runs: String(live),
    judged: quantity.duration(episodes.reduce((sum, episode) => sum + episode.judgedSeconds, 0)),
    left: ratio.high < NOTHING ? say('leftNothing') : say('towerShare', { share: percent(ratio.value), low: percent(ratio.low), high: percent(ratio.high) }), size: percent(1 - ratio.value),
    first: String(numbers[0] ?? 0), last: String(numbers.at(-1) ?? 0),
    length: quantity.length(cost.length, 0), area: cost.area === undefined ? quantity.length(cost.length, 0) : quantity.area(cost.area),
    mass: quantity.mass((cost.mass ?? 0) * (1 - ratio.value)),
  };
  const picture = windowAround(story, span);
  const shaded = episodes.map(({ start, end }) => ({ start, end }));
  const rows = rowPlaces(context, log, {
    tower, runs: numbers, spans: episodes, title: say('towerMap', slots), pathLabel: say('mapPath'), label: () => say('mapTower', slots),
    text: (run) => say('rowPlace', { run: String(run), what: first.ratio.value < story.thresholds.blocked ? say('placeNothing') : say('placeLess', slots) }),
  });
  return {
    slots, cost, ratio,
    draft: {
      subject: `tower.${plan?.id ?? ''}`, span, episodes: shaded, measure: { ...ratio, unit: 'ratio', expected: 1 },
      channels: [...numbers.map((number) => `run.${number}.count`), ...towerChannels(story, tower)],
      evidence: [
        runsPicture(story, log.towers.map((_, t) => t), numbers, shaded, picture),
        towerTrace(story, tower, shaded, picture),
        ...(rows === undefined ? [] : [rows.map]),
      ],
      ...(rows === undefined ? {} : { places: rows.places }),
    },
  };
}

function blockedFinding(story: Story, tower: number, episode: FlowEpisode): FindingDraft {
  const { say } = story.context;
  const { slots, cost, ratio, draft } = shared(story, tower, [episode]);
  const atOnce = fellAtOnce(story, tower, episode);
  const lost = cost.mass === undefined ? {} : { massKg: -cost.mass * (1 - ratio.value) };
  const area = cost.area === undefined ? {} : { areaHa: cost.area / 1e4 };
  const isKnown = knowsCommands(story);
  return {
    ...draft, code: 'tower.blocked', severity: isKnown && episode.judgedSeconds >= 30 ? 'action' : 'watch', verdict: !isKnown ? 'cannot-tell' : atOnce || story.log.towers.length < 3 ? 'consistent' : 'proved',
    title: say('towerBlockedTitle', slots),
    explanation: [say('towerWhy', slots), say('towerAll', slots), ...(atOnce ? [say('towerAtOnce')] : []), ...precursors(story, tower, episode.start), ...(atOnce ? [] : [say('towerScale')])].join(' '),
    consequence: { ...area, ...lost, text: say(cost.mass === undefined ? 'towerBareNoMass' : 'towerBare', slots) },
    consequences: [say('towerRuns', slots)],
    excludes: [...(isKnown ? [say('towerNotSection')] : []), say('towerNotTank'), say('towerNotRuns')],
    cannotTell: isKnown ? say('towerCannot') : say('towerCommands'), decidingCheck: say('towerCheck', slots), cautions: [cautions.K1, cautions.K7, cautions.K4],
  };
}

function lowFinding(story: Story, tower: number, episodes: readonly FlowEpisode[]): FindingDraft {
  const { say } = story.context;
  const { slots, cost, ratio, draft } = shared(story, tower, episodes);
  const loss = 1 - ratio.value;
  const lost = cost.mass === undefined ? {} : { massKg: -cost.mass * loss };
  const area = cost.area === undefined ? {} : { areaHa: cost.area / 1e4 };
  const isGrave = loss >= story.thresholds.actionTowerLoss && episodes.some(({ judgedSeconds }) => judgedSeconds >= story.thresholds.actionRestricted);
  return {
    ...draft, code: 'tower.low', severity: isGrave ? 'action' : 'watch', verdict: story.log.towers.length < 3 ? 'cannot-tell' : 'consistent',
    title: say('towerLowTitle', slots), explanation: [say('towerWhy', slots), ...precursors(story, tower, draft.span.start)].join(' '),
    consequence: { ...area, ...lost, text: say(cost.mass === undefined ? 'towerShortNoMass' : 'towerShort', slots) },
    excludes: [say('towerNotSection'), say('towerNotTank'), say('towerNotRuns')],
    cannotTell: story.log.towers.length < 3 ? say('towerTwo') : say('towerCannot'),
    decidingCheck: say('towerLowCheck', slots), cautions: [cautions.K1, cautions.K4],
  };
}

/** Towers that were out of line from the first minute to the last; nothing in the log says since when. */
export function towerOffsets(story: Story): readonly FindingDraft[] {
  const { context, log, towers, drill, thresholds } = story;
  const { say } = context;
  if (log.towers.length < 3) return [];
  return log.towers.flatMap((plan, tower): FindingDraft[] => {
    const offset = towers[tower]?.offset ?? Number.NaN;
    const runs = drill.towers[tower]?.runs.filter(({ gain }) => gain > 0).length ?? 0;
    /* The spread of single runs, row and sensor, leaves this much in a mean of so many. */
    const chance = (3.5 * drill.spread) / Math.sqrt(Math.max(1, runs));
    const ratio = Math.exp(offset);
    if (!(ratio < 1 - thresholds.leastTowerOffset) || !(-offset > chance + Math.abs(Math.log(1 - thresholds.leastTowerLoss)))) return [];
    if ((towers[tower]?.episodes ?? []).some((episode) => isTowerFault(story, tower, episode))) return [];
    const span = { start: (drill.towers[tower]?.judged.cells[0] ?? 0) * log.step, end: ((drill.towers[tower]?.judged.cells.at(-1) ?? 0) + 1) * log.step };
    const reach = (1.96 * drill.spread) / Math.sqrt(Math.max(1, runs));
    const slots = { tower: towerName(story, tower), left: percent(ratio), size: percent(1 - ratio), reach: formatNumber(reach, 3) };
    return [{
      code: 'tower.low', subject: `tower.${plan.id}`, severity: 'watch', verdict: 'cannot-tell', title: say('towerOffsetTitle', slots), span, episodes: [span],
      measure: { value: ratio, low: ratio * Math.exp(-reach), high: ratio * Math.exp(reach), unit: 'ratio', expected: 1 },
      explanation: say('towerOffsetWhy', slots), excludes: [say('towerNotSection'), say('offsetNot')], cannotTell: say('towerCannot'),
      decidingCheck: say('towerLowCheck', slots), cautions: [cautions.K1, cautions.K4],
      channels: [...plan.runs.map((run) => `run.${log.runs[run]?.number ?? 0}.count`), ...towerChannels(story, tower)],
      evidence: [towerTrace(story, tower, [], span)],
    }];
  });
}
