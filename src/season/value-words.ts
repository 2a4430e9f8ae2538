import { intervalWords, measurementWords, subjectWords } from '../../shared/measure-words.ts';
import type { Interval } from '../../shared/span.ts';
import type { UnitSystem } from '../../shared/text.ts';

/** `Product per turn of the meter, tank 1, wheat`. */
export const titleOf = (name: string, subject: string, condition = ''): string =>
  [measurementWords(name), subject === 'wheel' ? '' : subjectWords(subject), condition].filter((part) => part !== '').join(', ');

/** `99.51 % (99.48 to 99.54 %)`. */
export function levelWords(interval: Interval, unit: string, system: UnitSystem): string {
  const { value, between } = intervalWords({ ...interval, unit }, system);
  return between === undefined ? value : `${value} (${between})`;
}
