import { digitsFor, intervalWords, measurementWords, shownAs, subjectWords } from '../../shared/measure-words.ts';
import type { Interval } from '../../shared/span.ts';
import { formatNumber, type UnitSystem } from '../../shared/text.ts';

/** `Product per turn of the meter, tank 1, wheat`. */
export const titleOf = (name: string, subject: string, condition = ''): string =>
  [measurementWords(name), subject === 'wheel' ? '' : subjectWords(subject), condition].filter((part) => part !== '').join(', ');

/** `99.51 % (99.48 to 99.54 %)`. */
export function levelWords(interval: Interval, unit: string, system: UnitSystem): string {
  const { value, between } = intervalWords({ ...interval, unit }, system);
  return between === undefined ? value : `${value} (${between})`;
}

/** A change with its sign: `+1.02 % (+0.87 to +1.17 %)`; of ratios in percent of one. */
export function changeWords({ value, low, high }: Interval, unit: string, system: UnitSystem): string {
  const { convert, label } = shownAs(unit, system);
  const [v, a, b] = [convert(value), convert(low), convert(high)] as const;
  const digits = digitsFor(a, b);
  const say = (amount: number): string => `${Number(amount.toFixed(digits)) > 0 ? '+' : ''}${formatNumber(amount, digits)}`;
  const tail = label === '' ? '' : ` ${label}`;
  return `${say(v)}${tail} (${say(a)} to ${say(b)}${tail})`;
}

/** A number without an interval, e.g. a limit, in this many digits of the smallest amount worth telling. */
export function numberWords(value: number, unit: string, system: UnitSystem, finest: number): string {
  const { convert, label } = shownAs(unit, system);
  return `${formatNumber(convert(value), digitsFor(0, convert(finest)))}${label === '' ? '' : ` ${label}`}`;
}
