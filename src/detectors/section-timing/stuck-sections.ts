import type { Span } from '../../../shared/span.ts';
import { calmSeconds } from '../run-flow/collapse.ts';
import { framingSections, fellAtOnce } from '../run-flow/crossed-sections.ts';
import type { DrillView } from '../run-flow/run-cases.ts';
import { flowEpisodes } from '../run-flow/run-episodes.ts';
import type { SectionTimingOptions } from './options.ts';

/** A section that was commanded on and gave nothing. */
export interface ShutSection {
  readonly section: string;
  readonly towers: readonly number[];
  readonly spans: readonly Span[];
  readonly judgedSeconds: number;
  /** Its flow was seen to fall; otherwise it never came with the command. */
  readonly fell: boolean;
}

/** Stretches in which all towers of a section gave nothing although commanded on, begun at once or with a command. */
export function shutSections(view: DrillView, options: SectionTimingOptions): readonly ShutSection[] {
  const { log, towers, judged, drill } = view;
  const sections = [...new Set(log.towers.flatMap(({ section }) => section ?? []))];
  return sections.flatMap((section): ShutSection[] => {
    const own = log.towers.flatMap((tower, t) => (tower.section === section ? [t] : []));
    const dead = own.map((t) => (towers[t]?.episodes ?? []).filter((episode) =>
      fellAtOnce(view, t, episode) && framingSections(view, t, episode).length === 0 && calmSeconds(judged.collapsed, episode, log.step) >= options.shortestStuck));
    const together = (dead[0] ?? []).filter((episode) => dead.every((list) => list.some((other) => other.start < episode.end && other.end > episode.start)));
    const judgedSeconds = together.reduce((sum, episode) => sum + episode.judgedSeconds, 0);
    if (judgedSeconds < options.shortestStuck) return [];
    const cells = drill.towers[own[0] ?? 0]?.judged.cells;
    const fell = together.some(({ from }) => cells !== undefined && from > 2 && (cells[from - 3] as number) === (cells[from] as number) - 3);
    return [{ section, towers: own, spans: together.map(({ start, end }) => ({ start, end })), judgedSeconds, fell }];
  });
}

/** A section that seeded on while commanded off, others being on. */
export interface OpenSection {
  readonly section: string;
  readonly spans: readonly Span[];
  readonly seconds: number;
  /** Its flow meanwhile ÷ that of the other towers, against usual. */
  readonly share: number;
}

/** s after an OFF by which a section has run dry (trade.md d.2). */
export const RUN_DRY = 8;
const LEAST_LEFT = 3;
/** Flow that says a command was ignored, and one that says it was followed. */
const IGNORED = 0.5;

/** OFF commands in mid-field, with other sections still on, that the flow did not follow; a followed one in between ends a spell. */
export function openSections({ context, log, drill }: DrillView, options: SectionTimingOptions): readonly OpenSection[] {
  const sections = [...new Set(log.towers.flatMap(({ section }) => section ?? []))];
  return sections.flatMap((section): OpenSection[] => {
    const own = log.towers.flatMap((tower, t) => (tower.section === section ? [t] : []));
    const rest = log.towers.flatMap((tower, t) => (tower.section === section || tower.section === undefined ? [] : [t]));
    const usual = flowPerRun(own, drill) / Math.max(1e-9, flowPerRun(rest, drill));
    const commands = context.episodes.switches.filter((edge) => edge.section === section);
    const spells: { readonly start: number; readonly end: number; readonly share: number; readonly seconds: number }[][] = [[]];
    for (const [k, { time, on }] of commands.entries()) {
      if (on) continue;
      const end = Math.min(commands[k + 1]?.time ?? time, time + 120);
      const { share, seconds } = shareWhileOff(log, own, rest, time + RUN_DRY, end);
      if (seconds < LEAST_LEFT) continue;
      if (share / usual > IGNORED) spells.at(-1)?.push({ start: time, end, share: share / usual, seconds });
      else spells.push([]);
    }
    return spells.filter((spell) => spell.length >= options.fewestIgnored).map((spell) => ({
      section, spans: spell.map(({ start, end }) => ({ start, end })),
      seconds: spell.reduce((sum, each) => sum + each.seconds, 0),
      share: spell.reduce((sum, each) => sum + each.share * each.seconds, 0) / spell.reduce((sum, each) => sum + each.seconds, 0),
    }));
  });
}

type Log = DrillView['log'];

/** Usual count of the live runs of some towers. */
function flowPerRun(towers: readonly number[], drill: DrillView['drill']): number {
  let sum = 0;
  let n = 0;
  for (const t of towers) {
    for (const run of drill.towers[t]?.runs ?? []) {
      if (!(run.presence.usual > 0)) continue;
      sum += run.presence.usual;
      n++;
    }
  }
  return n === 0 ? 0 : sum / n;
}

/** Flow per run of the section ÷ that of the towers that are open then, in [from, to). */
function shareWhileOff(log: Log, own: readonly number[], rest: readonly number[], from: number, to: number): { readonly share: number; readonly seconds: number } {
  let mine = 0;
  let theirs = 0;
  let seconds = 0;
  for (let k = Math.ceil(from / log.step); (k + 1) * log.step <= to && k < log.cells; k++) {
    const open = rest.filter((t) => (log.towers[t]?.openFor[k] as number) > RUN_DRY);
    if (open.length === 0) continue;
    const others = meanCount(log, open, k);
    const self = meanCount(log, own, k);
    if (!(others > 0) || Number.isNaN(self)) continue;
    mine += self;
    theirs += others;
    seconds += log.step;
  }
  return { share: theirs > 0 ? mine / theirs : 0, seconds };
}

function meanCount(log: Log, towers: readonly number[], cell: number): number {
  let sum = 0;
  let n = 0;
  for (const t of towers) {
    for (const run of log.towers[t]?.runs ?? []) {
      const count = log.runs[run]?.counts[cell] as number;
      if (Number.isNaN(count)) continue;
      sum += count;
      n++;
    }
  }
  return n === 0 ? Number.NaN : sum / n;
}

/** A tower or a single run that follows another section's commands. */
export interface CrossedFlow {
  readonly section: string;
  readonly other: string;
  /** Machine number, when it is one run only. */
  readonly run?: number;
  readonly spans: readonly Span[];
}

export function crossedFlows(view: DrillView, options: SectionTimingOptions): readonly CrossedFlow[] {
  const { log, towers, drill } = view;
  return log.towers.flatMap((plan, t): CrossedFlow[] => {
    const { section } = plan;
    const judged = drill.towers[t];
    if (section === undefined || judged === undefined) return [];
    const whole = framed(view, t, towers[t]?.episodes ?? []);
    const single = judged.runs.flatMap((run, index) => {
      if (!run.alarmed) return [];
      const low = flowEpisodes({ ...run, uncertainty: 0.05 }, judged.judged.cells, log, plan).filter(({ kind, ratio }) => kind === 'low' && ratio.value < IGNORED);
      return framed(view, t, low).map((crossed) => ({ ...crossed, run: log.runs[plan.runs[index] as number]?.number ?? 0 }));
    });
    return [...whole, ...single].filter(({ spans }) => spans.length >= options.fewestCrossed).map((crossed) => ({ section, ...crossed }));
  });
}

function framed(view: DrillView, tower: number, episodes: readonly Span[]): readonly { readonly other: string; readonly spans: readonly Span[] }[] {
  const found = new Map<string, Span[]>();
  for (const { start, end } of episodes) for (const other of framingSections(view, tower, { start, end })) found.set(other, [...(found.get(other) ?? []), { start, end }]);
  return [...found].map(([other, spans]) => ({ other, spans })).toSorted((a, b) => b.spans.length - a.spans.length).slice(0, 1);
}
