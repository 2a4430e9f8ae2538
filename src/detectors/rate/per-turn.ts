import { combineProduct, expanded, type Estimate } from '../../series/uncertainty.ts';
import type { Interval } from '../../../shared/span.ts';
import type { Timeline } from '../../episodes/timeline.ts';
import type { MassLine } from '../scale/mass-line.ts';
import type { Charge, ProductDay } from './product-day.ts';

/** kg per K of air by which the zero of a scale drifts: OIML R 76 allows one interval (5 kg) per 5 K, either way, from memory. */
const DRIFT_PER_KELVIN = 1 / Math.sqrt(3);
/** K per hour of a seeding day, where the air temperature is not logged. Common practice, no source. */
const KELVIN_PER_HOUR = 1;

/** The result of a product of estimates with its 95 % interval. */
export interface Result extends Interval {
  readonly uncertainty: number;
}

/** True kg per turn of a stretch of the day: what the scale lost per turn, divided by what the scale makes of a kilogram. GUM 5.1.2. */
export function truePerTurn({ scale }: ProductDay, line: MassLine, charges: readonly Charge[], timeline: Timeline): Required<Estimate> {
  return combineProduct([...scaleFactors(scale), ...lineFactors(line, charges, scale.tilt, timeline)]);
}

/** kg per turn by the scale itself: enough to compare one part of the day with another. */
export function scalePerTurn({ scale }: ProductDay, line: MassLine, charges: readonly Charge[], timeline: Timeline): Required<Estimate> {
  return combineProduct(lineFactors(line, charges, scale.tilt, timeline));
}

const scaleFactors = ({ ratio, uncertainty }: ProductDay['scale']) => [{ value: ratio, standardUncertainty: ratio * uncertainty, power: -1 }];

function lineFactors(line: MassLine, charges: readonly Charge[], tilt: number, timeline: Timeline) {
  const mass = line.perTurn * line.turns;
  const drift = Math.hypot(...charges.map((charge) => DRIFT_PER_KELVIN * warming(charge, timeline)));
  return [
    { value: line.perTurn, standardUncertainty: line.uncertainty, degreesOfFreedom: line.degreesOfFreedom },
    { value: 1, standardUncertainty: mass > 0 ? drift / mass : 0 },
    /* Weight on a slope is the cosine's share of it, and the mean slope is not known better than that. */
    { value: 1, standardUncertainty: tilt ** 2 / 2 },
  ];
}

/** K by which the air changed while the charge was fed. */
function warming({ stretches }: Charge, timeline: Timeline): number {
  const first = stretches[0];
  const last = stretches.at(-1);
  if (first === undefined || last === undefined) return 0;
  const air = timeline.mean('air.temperature');
  const change = air === undefined ? Number.NaN : (air[Math.max(0, Math.round(last.end) - 1)] as number) - (air[Math.round(first.start)] as number);
  return Number.isFinite(change) ? Math.abs(change) : (KELVIN_PER_HOUR * (last.end - first.start)) / 3600;
}

/** Estimate → 95 % interval, Student's factor by Welch and Satterthwaite (GUM G.4.1). */
export function resultOf({ value, standardUncertainty, degreesOfFreedom }: Required<Estimate>): Result {
  const half = expanded(standardUncertainty, degreesOfFreedom);
  return { value, low: value - half, high: value + half, uncertainty: standardUncertainty };
}
