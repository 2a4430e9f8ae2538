import type { HistogramEvidence } from '../../../../shared/evidence.ts';
import { renderText, shownUnit, type Reading } from '../../../../shared/text.ts';
import { html, type Markup } from '../markup.ts';
import { extent, numberTicks } from './axis.ts';
import { frame, picture, tenth } from './frame.ts';

const HEIGHT = 200;

/** How often each size came, the reference values marked. */
export function histogramChart(evidence: HistogramEvidence, reading: Reading): Markup {
  const say = (text: string): string => renderText(text, reading);
  const shown = shownUnit(evidence.unit, reading.units);
  const edges = evidence.edges.map(shown.convert);
  const levels = evidence.levels.map(({ label, value }) => ({ label: say(label), value: shown.convert(value) }));
  const across = extent([...edges, ...levels.map(({ value }) => value)], 0.02);
  const most = Math.max(1, ...evidence.counts) * 1.12;
  const unit = shown.label === '' ? '' : `, ${shown.label}`;
  const on = frame(HEIGHT, { ...across, ticks: numberTicks(across.from, across.to, 8), name: `${say(evidence.label)}${unit}` }, { from: 0, to: most, ticks: numberTicks(0, most, 3), name: 'how often' });
  const bars = evidence.counts.map((count, k) => {
    const [left, right] = [on.x(edges[k] ?? 0), on.x(edges[k + 1] ?? 0)];
    return html`<rect x="${tenth(left + 0.5)}" y="${tenth(on.y(count))}" width="${tenth(Math.max(1, right - left - 1))}" height="${tenth(on.bottom - on.y(count))}" fill="#0072b2"/>`;
  });
  const marks = levels.toSorted((a, b) => a.value - b.value).map(({ label, value }, k) => {
    const x = tenth(on.x(value));
    const isRight = x > (on.left + on.right) / 2;
    return html`<line x1="${x}" x2="${x}" y1="${on.top}" y2="${on.bottom}" stroke="#a8321a" stroke-width="1.5" stroke-dasharray="6 4"/><text x="${isRight ? x - 5 : x + 5}" y="${on.top + 10 + 14 * k}" text-anchor="${isRight ? 'end' : 'start'}" stroke="#ffffff" stroke-width="3" paint-order="stroke">${label}</text>`;
  });
  return picture(HEIGHT, say(evidence.title), html`${on.axes}${bars}${marks}`);
}
