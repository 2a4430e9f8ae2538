import type { EvidenceSeries, TableEvidence, TraceEvidence } from '../../../shared/evidence.ts';
import type { Span } from '../../../shared/span.ts';
import type { DetectorContext } from '../detector.ts';
import { medianIn } from './causes.ts';
import type { FanDay } from './fan-day.ts';
import type { LowStretch } from './low-stretches.ts';
import type { FanMessage } from './messages.ts';
import type { FanOptions } from './options.ts';

export type FanCheck = DetectorContext<FanMessage, FanOptions>;

/** More points than a screen has columns are thinned to the lowest of each group, so that no dip is lost. */
const MOST_POINTS = 2000;

/** The fan's speed around the stretches, with command, floor and, where logged, the engine. */
export function speedTrace({ say, timeline, channel }: FanCheck, fan: FanDay, shaded: readonly Span[], withEngine: boolean): TraceEvidence {
  const span = around(shaded, fan.speed.length);
  const engine = withEngine && channel('engine.speed') !== undefined ? timeline.mean('engine.speed') : undefined;
  const lines = [
    series(say('speedLabel'), 'subject', fan.speed, span),
    ...(fan.target === undefined ? [] : [series(say('targetLabel'), 'witness', fan.target, span)]),
    ...(engine === undefined ? [] : [series(say('engineLabel'), 'witness', engine, span)]),
    series(say('floorLabel'), 'limit', fan.floor, span),
  ];
  return { kind: 'trace', title: say('speedTrace', { fan: fanName({ say }, fan.id, undefined) }), unit: 'rpm', span, shaded, series: lines, levels: [] };
}

/** Another channel over the same time. */
export function witnessTrace(title: string, label: string, unit: string, values: Float64Array, shaded: readonly Span[]): TraceEvidence {
  const span = around(shaded, values.length);
  return { kind: 'trace', title, unit, span, shaded, series: [series(label, 'witness', values, span)], levels: [] };
}

export function lowTable({ say }: FanCheck, fan: FanDay, stretches: readonly LowStretch[]): TableEvidence {
  return {
    kind: 'table',
    title: say('tableTitle'),
    columns: [{ label: say('tableStart'), unit: 's', digits: 0 }, { label: say('tableTime'), unit: 's', digits: 0 }, { label: say('tableLowest'), unit: 'rpm', digits: 0 }, { label: say('floorLabel'), unit: 'rpm', digits: 0 }],
    rows: stretches.map(({ start, parts }) => [start, parts.reduce((sum, part) => sum + part.end - part.start, 0), medianIn(fan.speed, parts), medianIn(fan.floor, parts)]),
  };
}

export function fanName({ say }: Pick<FanCheck, 'say'>, id: string, name: string | undefined): string {
  return name === undefined ? say('fanPlain', { id }) : say('fanNamed', { id, name });
}

/** The stretches with a quarter of their length, at least two minutes, on both sides. */
function around(spans: readonly Span[], length: number): Span {
  const [start, end] = [spans[0]?.start ?? 0, spans.at(-1)?.end ?? length];
  const margin = Math.max(120, (end - start) / 4);
  return { start: Math.max(0, Math.floor(start - margin)), end: Math.min(length, Math.ceil(end + margin)) };
}

function series(label: string, role: EvidenceSeries['role'], values: Float64Array, { start, end }: Span): EvidenceSeries {
  const step = Math.max(1, Math.ceil((end - start) / MOST_POINTS));
  const x: number[] = [];
  const y: (number | null)[] = [];
  for (let k = start; k < end; k += step) {
    const group = values.subarray(k, Math.min(k + step, end)).filter(Number.isFinite);
    x.push(k + step / 2);
    y.push(group.length === 0 ? null : Math.min(...group));
  }
  return { label, role, style: 'line', x, y };
}
