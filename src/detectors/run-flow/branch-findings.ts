import { quantity } from '../../../shared/text.ts';
import { cautions } from '../cautions.ts';
import type { FindingDraft } from '../detector.ts';
import { runsPicture, towerName, windowAround } from './evidence.ts';
import { matesTest } from './mates-flow.ts';
import { episodeOf } from './run-episodes.ts';
import type { DrillView } from './run-cases.ts';
import type { SilentBlock } from './silences.ts';
import { towerChannels, type Story } from './story.ts';
import type { TowerFlow } from './tower-flow.ts';
import type { TowerRuns } from './tower-runs.ts';

/** Neighbours that fell silent together and whose tower mates did take up the flow were really blocked: not a branch. */
export function isBranch(view: DrillView, block: SilentBlock): boolean {
  if (block.members.some(({ missing }) => missing)) return true;
  const towers = [...new Set(block.members.map(({ tower }) => tower))];
  return !towers.some((tower) => {
    const runs = view.drill.towers[tower] as TowerRuns;
    const plan = view.log.towers[tower];
    const members = block.members.filter((member) => member.tower === tower);
    if (plan === undefined || members.length === runs.runs.length) return false;
    const suspects = members.map(({ index, from, to }) => {
      const run = runs.runs[index] as TowerRuns['runs'][number];
      return { index, episodes: [episodeOf({ ...run, uncertainty: 0.05 }, runs.judged.cells, view.log, plan, from, to, 'low')] };
    });
    return matesTest({ log: view.log, tower: runs, flow: view.towers[tower] as TowerFlow, outlets: plan.outlets, suspects, others: [], slow: false }).verdict === 'flow';
  });
}

/** One finding per branch, however often it dropped out. */
export function branchFindings(story: Story, blocks: readonly SilentBlock[]): readonly FindingDraft[] {
  const branches = new Map<string, SilentBlock[]>();
  for (const block of blocks) {
    const numbers = block.members.map(({ number }) => number);
    const key = `runs.${Math.min(...numbers)}-${Math.max(...numbers)}`;
    branches.set(key, [...(branches.get(key) ?? []), block]);
  }
  return [...branches].map(([subject, drops]) => branchFinding(story, subject, drops.toSorted((a, b) => a.start - b.start)));
}

function branchFinding(story: Story, subject: string, drops: readonly SilentBlock[]): FindingDraft {
  const { say } = story.context;
  const members = drops[0]?.members ?? [];
  const numbers = members.map(({ number }) => number);
  const towers = [...new Set(members.map(({ tower }) => tower))];
  const episodes = drops.map(({ start, end }) => ({ start, end }));
  const span = { start: episodes[0]?.start ?? 0, end: episodes.at(-1)?.end ?? 0 };
  const seconds = drops.reduce((sum, drop) => sum + Math.max(...drop.members.map(({ from, to }) => to - from)) * story.log.step, 0);
  const names = towers.map((tower) => towerName(story, tower)).join(', ');
  const slots = {
    first: String(Math.min(...numbers)), last: String(Math.max(...numbers)), judged: quantity.duration(seconds),
    times: drops.length === 1 ? say('once') : say('severalTimes', { times: String(drops.length) }),
    went: say(drops.some((drop) => drop.members.some(({ missing }) => missing)) ? 'wentMissing' : 'wentZero'),
    towers: say(towers.length > 1 ? 'severalTowers' : 'partOfTower', { towers: names }),
  };
  return {
    code: 'runs.dropout', subject, severity: 'watch', verdict: 'proved',
    title: say('dropoutTitle', slots), span, episodes, explanation: say('dropoutWhy', slots),
    excludes: [say('dropoutNotTower'), say('notSection'), say('notDrill')], cannotTell: say('dropoutCannot'), decidingCheck: say('dropoutCheck', slots),
    cautions: [cautions.K3, cautions.K1],
    channels: [...numbers.map((number) => `run.${number}.count`), ...towerChannels(story, towers[0] ?? 0)],
    evidence: [runsPicture(story, towers, numbers, episodes, windowAround(story, span))],
  };
}
