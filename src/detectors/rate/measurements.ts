import type { Measurement } from '../../../shared/finding.ts';
import { median, medianAbsoluteDeviation } from '../../series/robust.ts';
import { totalSeconds } from '../../series/spans.ts';
import { combineProduct } from '../../series/uncertainty.ts';
import { lastReading } from '../scale/mass-evidence.ts';
import { jump } from '../scale/mass-steps.ts';
import { countsPerTurn } from './count-track.ts';
import { resultOf, type Result } from './per-turn.ts';
import { subjectOf, type RateCase, type RateContext } from './rate-case.ts';
import { areaIn, type WorkedGround } from './worked-ground.ts';

/** kg, standard uncertainty of one standing reading: noise, wander, a scale step. */
const READING = 7;

const measured = (name: string, subject: string, { value, low, high }: Pick<Result, 'value' | 'low' | 'high'>, unit: string, n: number): Measurement => ({ name, subject, value, low, high, unit, n });

/** What the day allows to be measured of one product's rate. */
export function productMeasurements(rateCase: RateCase): readonly Measurement[] {
  const { day, story, applied } = rateCase;
  const last = applied.at(-1);
  if (last === undefined) return [];
  const subject = subjectOf(rateCase);
  const n = story.regimes.at(-1)?.charges.length ?? 1;
  const list = [measured('meter.mass-per-turn', subject, resultOf(last.perTurn), 'kg', n), ...seedsPerTurn(rateCase)];
  if (last.rate === undefined) return list;
  const perHectare = resultOf(last.rate);
  list.push(measured('tank.load-for-area', subject, { value: perHectare.value * 1e4, low: perHectare.low * 1e4, high: perHectare.high * 1e4 }, 'kg/ha', n));
  if (day.story.lostAt === undefined) list.push(measured('tank.hectares-to-empty', subject, toEmpty(rateCase, last.rate.value, last.rate.standardUncertainty), 'ha', n));
  return list;
}

/** Hectares that what is left will do at the rate really applied; the reading is put right for jumps of the zero. */
function toEmpty({ day }: RateCase, rate: number, rateUncertainty: number): Pick<Result, 'value' | 'low' | 'high'> {
  const { ratio, uncertainty } = day.scale;
  const moved = day.story.moves.reduce((sum, move) => sum + jump(move), 0);
  const mass = Math.max(0, (lastReading(day.track.mass).mass - moved) / ratio);
  const own = Math.hypot(READING, mass * uncertainty, ...day.story.moves.map((move) => move.uncertainty));
  const area = resultOf(combineProduct([{ value: mass, standardUncertainty: own }, { value: rate, standardUncertainty: rateUncertainty, power: -1 }]));
  return { value: area.value / 1e4, low: Math.max(0, area.low / 1e4), high: area.high / 1e4 };
}

/** Seeds of all runs per turn, as the sensors see them, in the last part of the day with one kg per turn. */
function seedsPerTurn(rateCase: RateCase): readonly Measurement[] {
  const { day, story } = rateCase;
  const regime = story.regimes.at(-1);
  if (day.counts === undefined || day.track.feed === undefined || regime === undefined) return [];
  const feed = day.track.feed;
  const perPiece = regime.charges.flatMap(({ stretches }) => stretches).flatMap(({ start, end }) => {
    const pieces = Math.max(1, Math.round((end - start) / 900));
    return Array.from({ length: pieces }, (_, i) => ({ start: start + (i * (end - start)) / pieces, end: start + ((i + 1) * (end - start)) / pieces }));
  }).flatMap((piece) => {
    const runs = countsPerTurn(day.counts as NonNullable<typeof day.counts>, feed, [piece]);
    const known = runs.filter(Number.isFinite);
    return known.length < runs.length / 2 ? [] : [(known.reduce((sum, value) => sum + value, 0) / known.length) * runs.length];
  });
  if (perPiece.length < 3) return [];
  const value = median(perPiece);
  /* Standard error of a median is 1.25 times that of a mean. */
  const result = resultOf({ value, standardUncertainty: (1.25 * medianAbsoluteDeviation(perPiece)) / Math.sqrt(perPiece.length), degreesOfFreedom: perPiece.length - 1 });
  return [measured('meter.seeds-per-turn', subjectOf(rateCase), result, 'seeds/turn', perPiece.length)];
}

/** Hectares by both routes, and hours. */
export function fieldMeasurements(ground: WorkedGround | undefined, { episodes, timeline, measure }: RateContext): void {
  const hours = totalSeconds(episodes.working) / 3600;
  /* Each stretch of work begins and ends within a second of what the log says. */
  const edge = (1.96 * Math.sqrt(2 * episodes.working.length / 12)) / 3600;
  measure(measured('hours.working', 'field', { value: hours, low: Math.max(0, hours - edge), high: hours + edge }, 'h', episodes.working.length));
  if (ground === undefined) return;
  const day = [{ start: 0, end: timeline.length }];
  const interval = (area: number): Pick<Result, 'value' | 'low' | 'high'> => {
    const half = 1.96 * ground.uncertainty * area;
    return { value: area / 1e4, low: (area - half) / 1e4, high: (area + half) / 1e4 };
  };
  const n = episodes.passes.length;
  if (ground.route === 'gnss') measure(measured('area.gnss', 'field', interval(areaIn(ground.best, day)), 'ha', n));
  if (ground.wheel === undefined) return;
  /* What the wheel counts is a plain sum; only the width is uncertain in it. */
  const counted = areaIn(ground.wheel, day);
  measure(measured('area.wheel', 'field', { value: counted / 1e4, low: (counted * (1 - 0.006)) / 1e4, high: (counted * (1 + 0.006)) / 1e4 }, 'ha', n));
}
