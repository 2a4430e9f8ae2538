import type { TraceEvidence } from '../../../shared/evidence.ts';
import type { Span } from '../../../shared/span.ts';
import { quantity } from '../../../shared/text.ts';
import { cautions } from '../cautions.ts';
import type { FindingDraft } from '../detector.ts';
import { intendedRate } from '../run-flow/cost.ts';
import type { DrillView } from '../run-flow/run-cases.ts';
import { percent } from '../run-flow/story.ts';
import { sectionWidth, type SectionTimingContext } from './delay-study.ts';
import { crossedFlows, openSections, RUN_DRY, shutSections, type CrossedFlow } from './stuck-sections.ts';

const safety = [cautions.K1, cautions.K3, cautions.K4];

export function stuckFindings(context: SectionTimingContext, view: DrillView): readonly FindingDraft[] {
  const crossed = oneCauseEach(crossedFlows(view, context.options));
  const swapped = new Set(crossed.filter(({ run }) => run === undefined).flatMap(({ section, other }) => [section, other]));
  return [
    ...shutSections(view, context.options).map((shut) => shutFinding(context, view, shut)),
    ...openSections(view, context.options).filter(({ section }) => !swapped.has(section)).map((open) => openFinding(context, view, open)),
    ...crossed.map((cross) => crossedFinding(context, view, cross)),
  ];
}

/** Two sections exchanged are one cause; so are a tower and its runs. */
function oneCauseEach(crossed: readonly CrossedFlow[]): readonly CrossedFlow[] {
  const whole = crossed.filter(({ run }) => run === undefined);
  return crossed.filter((one, k) => {
    if (one.run !== undefined) return !whole.some(({ section }) => section === one.section);
    return !crossed.slice(0, k).some((earlier) => earlier.run === undefined && earlier.section === one.other && earlier.other === one.section);
  });
}

type Shut = ReturnType<typeof shutSections>[number];
type Open = ReturnType<typeof openSections>[number];

function shutFinding(context: SectionTimingContext, view: DrillView, shut: Shut): FindingDraft {
  const { say, options } = context;
  const { section, spans, judgedSeconds, fell, towers } = shut;
  const span = spanOf(spans);
  const runs = towers.reduce((sum, t) => sum + (view.log.towers[t]?.runs.length ?? 0), 0);
  const { area, mass } = seeded(context, view, section, spans, (t, k) => view.log.towers[t]?.open[k] === 1);
  const slots = {
    section, judged: quantity.duration(judgedSeconds), start: quantity.clock(span.start), end: quantity.clock(span.end), runs: String(runs),
    how: say(fell ? 'howAtOnce' : 'howNotStarted'), area: quantity.area(area ?? 0), mass: quantity.mass(mass ?? 0),
  };
  return {
    ...base(context, view, section, spans), severity: judgedSeconds >= options.actionStuck ? 'action' : 'watch', verdict: 'consistent',
    title: say('shutTitle', slots), explanation: say('shutWhy', slots),
    ...(area === undefined ? {} : { consequence: { areaHa: area / 1e4, ...(mass === undefined ? {} : { massKg: -mass }), text: say(mass === undefined ? 'shutCostNoMass' : 'shutCost', slots) } }),
    excludes: [say('notTank'), say('notPlug')], cannotTell: say('shutCannot'), decidingCheck: say('shutCheck', slots), cautions: safety,
  };
}

function openFinding(context: SectionTimingContext, view: DrillView, open: Open): FindingDraft {
  const { say } = context;
  const { section, spans, seconds, share } = open;
  const span = spanOf(spans);
  const { area, mass } = seeded(context, view, section, spans, (t, k) => view.log.working[k] === 1 && view.log.towers.some((tower, other) => other !== t && tower.open[k] === 1));
  const slots = {
    section, ignored: String(spans.length), start: quantity.clock(span.start), end: quantity.clock(span.end), judged: quantity.duration(seconds), share: percent(share),
    after: quantity.duration(RUN_DRY), area: quantity.area(area ?? 0), mass: quantity.mass(mass ?? 0),
  };
  return {
    ...base(context, view, section, spans), severity: 'action', verdict: 'consistent', title: say('openTitle', slots), explanation: say('openWhy', slots),
    ...(area === undefined ? {} : { consequence: { areaHa: area / 1e4, ...(mass === undefined ? {} : { massKg: mass }), text: say(mass === undefined ? 'openCostNoMass' : 'openCost', slots) } }),
    excludes: [say('notTail', slots)], cannotTell: say('openCannot'), decidingCheck: say('shutCheck', slots), cautions: safety,
  };
}

function crossedFinding(context: SectionTimingContext, view: DrillView, { section, other, run, spans }: CrossedFlow): FindingDraft {
  const { say } = context;
  const slots = { section, other, run: String(run ?? 0), times: String(spans.length) };
  return {
    ...base(context, view, section, spans), severity: 'action', verdict: 'consistent',
    title: say(run === undefined ? 'crossedTitle' : 'crossedRunTitle', slots), explanation: say(run === undefined ? 'crossedWhy' : 'crossedRunWhy', slots),
    excludes: [say('notTank'), ...(run === undefined ? [say('notPlug')] : [])], cannotTell: say('crossedCannot'), decidingCheck: say('crossedCheck'), cautions: safety,
  };
}

function base({ say, channel }: SectionTimingContext, view: DrillView, section: string, spans: readonly Span[]) {
  const own = view.log.towers.flatMap((tower, t) => (tower.section === section ? [t] : []));
  const channels = [`section.${section}.on`, ...own.flatMap((t) => (view.log.towers[t]?.runs ?? []).map((run) => view.log.runs[run]?.channel ?? ''))];
  return {
    code: 'section.stuck' as const, subject: `section.${section}`, span: spanOf(spans), episodes: spans,
    channels: channels.filter((id) => channel(id) !== undefined),
    evidence: [flowTrace(say, view, section, own, spans)],
  };
}

const spanOf = (spans: readonly Span[]): Span => ({ start: spans[0]?.start ?? 0, end: spans.at(-1)?.end ?? 0 });

/** m² and kg over which a section was in some state. */
function seeded(context: SectionTimingContext, view: DrillView, section: string, spans: readonly Span[], when: (tower: number, cell: number) => boolean): { readonly area?: number; readonly mass?: number } {
  const width = sectionWidth(context, view, section);
  const tower = view.log.towers.findIndex((each) => each.section === section);
  if (width === undefined || tower < 0) return {};
  let metres = 0;
  for (const { start, end } of spans) {
    for (let k = Math.floor(start / view.log.step); k < Math.min(view.log.cells, end / view.log.step); k++) {
      const speed = view.log.speed[k] as number;
      if (speed > 0 && when(tower, k)) metres += speed * view.log.step;
    }
  }
  const rate = intendedRate(context, spanOf(spans));
  const area = metres * width;
  return { area, ...(rate === undefined ? {} : { mass: area * rate }) };
}

const POINTS = 300;

/** Counts per run and second of the section and of the other towers round the stretches. */
function flowTrace(say: SectionTimingContext['say'], { log, drill }: DrillView, section: string, own: readonly number[], spans: readonly Span[]): TraceEvidence {
  const first = spanOf(spans.slice(0, 12));
  const span = { start: Math.max(0, first.start - 120), end: Math.min(log.cells * log.step, first.end + 120) };
  const width = Math.max(log.step, (span.end - span.start) / POINTS);
  const rest = log.towers.flatMap((_, t) => (own.includes(t) ? [] : [t]));
  const line = (towers: readonly number[]): (number | null)[] => Array.from({ length: Math.ceil((span.end - span.start) / width) }, (_, b) => {
    let sum = 0;
    let n = 0;
    for (let k = Math.floor((span.start + b * width) / log.step); k < Math.min(log.cells, (span.start + (b + 1) * width) / log.step); k++) {
      for (const t of towers) {
        for (const [index, run] of (log.towers[t]?.runs ?? []).entries()) {
          const count = log.runs[run]?.counts[k] as number;
          if (Number.isNaN(count) || drill.towers[t]?.runs[index]?.presence.usual === 0) continue;
          sum += count;
          n++;
        }
      }
    }
    return n === 0 ? null : Math.round((100 * sum) / n / log.step) / 100;
  });
  const x = Array.from({ length: Math.ceil((span.end - span.start) / width) }, (_, b) => span.start + (b + 0.5) * width);
  return {
    kind: 'trace', title: say('flowTrace', { section }), unit: '1/s', span, shaded: spans, levels: [],
    series: [{ label: say('flowOwn', { section }), role: 'subject', style: 'line', x, y: line(own) }, { label: say('flowOthers'), role: 'witness', style: 'line', x, y: line(rest) }],
  };
}
