import type { Measure } from '../../../shared/finding.ts';
import type { Interval } from '../../../shared/span.ts';
import { digitsFor, shownAs } from '../../../shared/measure-words.ts';
import { formatNumber, type UnitSystem } from '../../../shared/text.ts';
import { html, type Markup } from './markup.ts';

/**
 * A number with its 95 % interval as people read it; each figure carries the value as the findings document has it
 * (`<data value>`), so that whoever holds both can compare them. `cannot tell` where one of them is no number.
 */
export function interval({ value, low, high }: Interval, unit: string, system: UnitSystem, digits?: number, lead = ''): Markup {
  if (![value, low, high].every(Number.isFinite)) return html`cannot tell`;
  const { label, convert } = shownAs(unit, system);
  const places = digits ?? digitsFor(convert(low), convert(high));
  const figure = (each: number): Markup => html`<data value="${each}">${formatNumber(convert(each), places)}</data>`;
  const tail = label === '' ? '' : ` ${label}`;
  return low === high ? html`${figure(value)}${tail}` : html`${figure(value)}${tail} <span class="quiet">(${lead}${figure(Math.min(low, high))} to ${figure(Math.max(low, high))})</span>`;
}

/** One number without an interval, as somebody ordered or entered it. */
export function figure(value: number, unit: string, system: UnitSystem, digits: number): Markup {
  if (!Number.isFinite(value)) return html`cannot tell`;
  const { label, convert } = shownAs(unit, system);
  return html`<data value="${value}">${formatNumber(convert(value), digits)}</data>${label === '' ? '' : ` ${label}`}`;
}

/** What a finding measured, with what was expected: by physics, by the neighbours or by what is entered. */
export function measured(measure: Measure, system: UnitSystem): Markup {
  const { convert, label } = shownAs(measure.unit, system);
  const expected = measure.expected;
  return html`${interval(measure, measure.unit, system, undefined, '95 %: ')}${expected !== undefined && html`; expected <data value="${expected}">${plain(convert(expected), digitsFor(convert(measure.low), convert(measure.high)))}</data>${label === '' ? '' : ` ${label}`}`}`;
}

/** An entered number without digits that say nothing. */
function plain(value: number, digits: number): string {
  const text = formatNumber(value, Math.max(digits, 1));
  return text.includes('.') ? text.replace(/\.?0+$/, '') : text;
}
