import type { XyEvidence } from '../../../../shared/evidence.ts';
import { renderText, shownUnit, type Reading } from '../../../../shared/text.ts';
import { html, type Markup } from '../markup.ts';
import { extent, numberTicks } from './axis.ts';
import { frame, picture } from './frame.ts';
import { keys, lines, type Drawn } from './line-chart.ts';
import { inUnits, valuesOf } from './trace-chart.ts';

const HEIGHT = 244;

/** One quantity against another, with the straight lines they are held against. */
export function xyChart(evidence: XyEvidence, reading: Reading): Markup {
  const say = (text: string): string => renderText(text, reading);
  const [x, y] = [shownUnit(evidence.x.unit, reading.units), shownUnit(evidence.y.unit, reading.units)];
  const measured = evidence.series.map((one) => inUnits(one, x.convert, y.convert, say));
  const across = extent(measured.flatMap((one) => [...one.x]), 0.04);
  const up = extent(valuesOf(measured));
  const ends = extent(evidence.series.flatMap((one) => [...one.x]), 0.04);
  const straight = evidence.lines.flatMap(({ label, slope, intercept }) => within([ends.from, ends.to], slope, intercept, x.convert, y.convert, up, say(label)));
  const name = (label: string, unit: string): string => (unit === '' ? say(label) : `${say(label)}, ${unit}`);
  const on = frame(HEIGHT, { ...across, ticks: numberTicks(across.from, across.to, 8), name: name(evidence.x.label, x.label) }, { ...up, ticks: numberTicks(up.from, up.to, 5), name: name(evidence.y.label, y.label) });
  const series = [...measured, ...straight];
  return html`${picture(HEIGHT, say(evidence.title), html`${on.axes}${lines(series, on)}`)}${keys(series)}`;
}

/** The part of a straight line that is on the picture. */
function within(ends: readonly [number, number], slope: number, intercept: number, x: (value: number) => number, y: (value: number) => number, up: { readonly from: number; readonly to: number }, label: string): readonly Drawn[] {
  const steps = 200;
  const points = Array.from({ length: steps + 1 }, (_, k) => ends[0] + ((ends[1] - ends[0]) * k) / steps).map((at) => [x(at), y(intercept + slope * at)] as const)
    .filter(([, value]) => value >= up.from && value <= up.to);
  const [first, last] = [points[0], points.at(-1)];
  return first === undefined || last === undefined ? [] : [{ label, role: 'limit', style: 'line', x: [first[0], last[0]], y: [first[1], last[1]] }];
}
