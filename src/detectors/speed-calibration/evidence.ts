import type { Evidence, EvidenceSeries, TableEvidence, TraceEvidence } from '../../../shared/evidence.ts';
import type { Span } from '../../../shared/span.ts';
import type { SpeedContext } from './context.ts';
import type { RatioEstimate } from './ratio-estimate.ts';
import type { WheelStory } from './story.ts';
import type { RatioWindow } from './windows.ts';

/** A level to be drawn over the windows it was made of. */
export interface DrawnLevel extends Span {
  readonly estimate: RatioEstimate;
}

/** The window ratios over the day with the levels found in them, and the same by steady stretch as a table. */
export function ratioEvidence({ say }: Pick<SpeedContext, 'say'>, story: WheelStory, levels: readonly DrawnLevel[], shaded: readonly Span[]): readonly Evidence[] {
  const points = (label: string, windows: readonly RatioWindow[], role: EvidenceSeries['role']): readonly EvidenceSeries[] =>
    windows.length === 0 ? [] : [{ label, role, style: 'points', x: windows.map(({ start, end }) => (start + end) / 2), y: windows.map(({ logRatio }) => Math.exp(logRatio)) }];
  const ends = (of: (estimate: RatioEstimate) => number): readonly (number | null)[] => levels.flatMap(({ estimate }) => [Math.exp(of(estimate)), Math.exp(of(estimate)), null]);
  const first = story.windows[0]?.start ?? 0;
  const trace: TraceEvidence = {
    kind: 'trace',
    title: say('traceTitle'),
    unit: '1',
    span: { start: first, end: story.windows.at(-1)?.end ?? first },
    shaded,
    levels: [{ label: say('traceRight'), value: 1 }],
    series: [
      ...points(say('traceWork'), story.windows.filter(({ lifted }) => !lifted), 'subject'),
      ...points(say('traceLifted'), story.windows.filter(({ lifted }) => lifted), 'witness'),
      {
        label: say('traceLevel'), role: 'subject', style: 'line',
        x: levels.flatMap(({ start, end }) => [start, end, end]),
        y: ends(({ logRatio }) => logRatio), low: ends(({ low }) => low), high: ends(({ high }) => high),
      },
    ],
  };
  return [trace, stretchTable(say, story.windows)];
}

function stretchTable(say: SpeedContext['say'], windows: readonly RatioWindow[]): TableEvidence {
  const stretches = new Map<number, RatioWindow[]>();
  for (const window of windows) stretches.set(window.stretch, [...(stretches.get(window.stretch) ?? []), window]);
  const rows = [...stretches.values()].map((own) => {
    const length = own.reduce((sum, window) => sum + window.length, 0);
    const claimed = own.reduce((sum, window) => sum + window.length * Math.exp(window.logRatio), 0);
    return [Math.round(own[0]?.start ?? 0), length, claimed / length, say(own.every(({ lifted }) => lifted) ? 'toolUp' : 'toolDown')];
  });
  return {
    kind: 'table',
    title: say('tableTitle'),
    columns: [
      { label: say('tableStart'), unit: 's' }, { label: say('tableLength'), unit: 'm', digits: 0 },
      { label: say('tableRatio'), unit: '1', digits: 4 }, { label: say('tableTool') },
    ],
    rows,
  };
}

/** Both speeds half a minute around a gap in the pulses. */
export function gapEvidence({ say }: Pick<SpeedContext, 'say'>, wheel: Float64Array, ground: Float64Array, gaps: readonly Span[]): TraceEvidence {
  const longest = gaps.reduce((best, gap) => (gap.end - gap.start > best.end - best.start ? gap : best), gaps[0] ?? { start: 0, end: 0 });
  const span = { start: Math.max(0, longest.start - 30), end: Math.min(wheel.length, Math.min(longest.end, longest.start + 600) + 30) };
  const x = Array.from({ length: span.end - span.start }, (_, i) => span.start + i + 0.5);
  const y = (values: Float64Array): readonly (number | null)[] => x.map((time) => {
    const value = values[Math.floor(time)] as number;
    return Number.isFinite(value) ? value : null;
  });
  return {
    kind: 'trace', title: say('gapTrace'), unit: 'm/s', span, shaded: gaps.filter(({ start, end }) => start < span.end && end > span.start), levels: [],
    series: [
      { label: say('wheelLabel'), x, y: y(wheel), style: 'line', role: 'subject' },
      { label: say('gnssLabel'), x, y: y(ground), style: 'line', role: 'witness' },
    ],
  };
}
