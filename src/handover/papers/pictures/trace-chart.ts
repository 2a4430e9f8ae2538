import type { TraceEvidence } from '../../../../shared/evidence.ts';
import { renderText, shownUnit, type Reading } from '../../../../shared/text.ts';
import { html, type Markup } from '../markup.ts';
import { clockTicks, extent, numberTicks } from './axis.ts';
import { frame, picture } from './frame.ts';
import { keys, levelLines, lines, shades, type Drawn } from './line-chart.ts';

const HEIGHT = 196;

/** Something over time, the finding's own stretches shaded. */
export function traceChart(evidence: TraceEvidence, reading: Reading): Markup {
  const say = (text: string): string => renderText(text, reading);
  const shown = shownUnit(evidence.unit, reading.units);
  const series = evidence.series.map((one): Drawn => inUnits(one, (x) => x, shown.convert, say));
  const levels = evidence.levels.map(({ label, value }) => ({ label: say(label), value: shown.convert(value) }));
  const up = extent([...valuesOf(series), ...levels.map(({ value }) => value)]);
  const { start, end } = evidence.span;
  const on = frame(HEIGHT, { from: start, to: end, ticks: clockTicks(start, end, 8, reading), name: '' }, { ...up, ticks: numberTicks(up.from, up.to, 4), name: shown.label });
  return html`${picture(HEIGHT, say(evidence.title), html`${shades(evidence.shaded, on)}${on.axes}${lines(series, on)}${levelLines(levels, on)}`)}${keys(series)}`;
}

/** A series of evidence in the reader's units. */
export function inUnits(one: TraceEvidence['series'][number], x: (value: number) => number, y: (value: number) => number, say: (text: string) => string): Drawn {
  const each = (values: readonly (number | null)[]): (number | null)[] => values.map((value) => (value === null || !Number.isFinite(value) ? null : y(value)));
  const { low, high } = one;
  return { label: say(one.label), style: one.style, role: one.role, x: one.x.map(x), y: each(one.y), ...(low === undefined || high === undefined ? {} : { low: each(low), high: each(high) }) };
}

export function* valuesOf(series: readonly Drawn[]): Iterable<number> {
  for (const { y, low = [], high = [] } of series) for (const list of [y, low, high]) for (const value of list) if (value !== null) yield value;
}
