import { changeWords, numberWords } from '../../shared/measure-words.ts';
import type { UnitSystem } from '../../shared/text.ts';
import { formatWheelConstant } from '../../shared/wheel-constant.ts';
import type { SeriesHistory } from './history.ts';
import { FEWEST_DAYS } from './season-model.ts';
import type { SeriesPoint } from './season-series.ts';
import { levelWords } from './value-words.ts';

/** What one series did, in sentences. */
export function seriesSentences({ series, status, model, per, drift, limits, matters }: SeriesHistory, system: UnitSystem): readonly string[] {
  const { points, unit, note } = series;
  if (status === 'too-few-days' || model === undefined) return [`Measured on ${points.length} ${points.length === 1 ? 'day' : 'days'}; at least ${FEWEST_DAYS} are needed to tell a movement from scatter.`];
  const pointAt = (index: number): SeriesPoint => points[index] as SeriesPoint;
  const dateAt = (index: number): string => pointAt(index).listing.date;
  const level = (interval: SeriesHistory['drift'] & object): string => levelWords(interval, unit, system);
  const change = (interval: SeriesHistory['drift'] & object): string => changeWords(interval, unit, system);
  const sentences: string[] = [];
  if (status === 'steady') sentences.push(`Nothing to show: ${level(model.first)} all season.`);
  else sentences.push(`From ${level(model.first)} to ${level(model.last)}.`);
  if (drift !== undefined && per !== undefined) {
    const length = per === '100 ha' ? (pointAt(points.length - 1).hectares - pointAt(0).hectares) / 100 : (pointAt(points.length - 1).listing.start - pointAt(0).listing.start) / 86_400;
    const whole = { value: drift.value * length, low: drift.low * length, high: drift.high * length };
    sentences.push(`Drifts: ${change(whole)} from ${dateAt(0)} to ${dateAt(points.length - 1)}, that is ${change(drift)} per ${per}.`);
  }
  for (const step of model.steps) {
    const place = step.low === step.high ? '' : ` (95 %: first so between ${dateAt(step.low)} and ${dateAt(step.high)})`;
    sentences.push(`Stepped by ${change(step.size)} between ${dateAt(step.index - 1)} and ${dateAt(step.index)}${place}.`);
  }
  for (const day of model.oddDays) sentences.push(`${dateAt(day.index)} is out of line by ${change(day.difference)}.`);
  if (model.isAmbiguous && status !== 'steady') sentences.push(drift === undefined ? 'A drift would explain it about as well as a step.' : 'A step would explain it about as well as a drift.');
  if (status === 'moved-little') sentences.push(`Less than ${numberWords(matters, unit, system, matters)}, so nothing to act on yet.`);
  if (status === 'moved' && series.constant !== undefined) sentences.push(`With ${series.constant.entered} entered, ${formatWheelConstant(series.constant.pulsesPerMetre * model.last.value, series.constant)} fits now; settle it over a measured distance before it is entered.`);
  if (limits !== undefined && Number.isFinite(limits.low)) sentences.push(`A single day usually lies between ${numberWords(limits.low, unit, system, limits.high - limits.low)} and ${numberWords(limits.high, unit, system, limits.high - limits.low)} now.`);
  if (note !== undefined) sentences.push(`Told ${note}.`);
  return sentences;
}
