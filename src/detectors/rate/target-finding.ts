import type { TableEvidence } from '../../../shared/evidence.ts';
import { formatNumber, quantity } from '../../../shared/text.ts';
import { cautions } from '../cautions.ts';
import { percent, tankName } from '../scale/wording.ts';
import { feedingMask } from './applied.ts';
import type { ProductDay } from './product-day.ts';
import type { RateContext } from './rate-case.ts';
import { sentence } from './step-finding.ts';
import type { WorkedGround } from './worked-ground.ts';

/** Factors that unit slips leave; exact by the definitions of 1959 (1 lb = 0.45359237 kg, 1 ac = 4046.8564224 m²). */
const SLIPS: readonly { readonly factor: number; readonly units: string }[] = [
  { factor: 1.1208511561, units: 'lb/ac and kg/ha' }, { factor: 1 / 1.1208511561, units: 'lb/ac and kg/ha' },
  { factor: 2.2046226218, units: 'pounds and kilograms' }, { factor: 1 / 2.2046226218, units: 'pounds and kilograms' },
  { factor: 2.4710538147, units: 'hectares and acres' }, { factor: 1 / 2.4710538147, units: 'hectares and acres' },
  { factor: 10, units: 'a decimal place and the next' }, { factor: 0.1, units: 'a decimal place and the next' },
];

/** The rate the controller was told for most of the hectares; `undefined` when it follows a map or was hardly logged. */
export interface SteadyTarget {
  /** kg/m² */
  readonly rate: number;
  /** Share of the fed seconds (by area, where known) at this rate. */
  readonly share: number;
  /** m² */
  readonly area: number;
  readonly start: number;
  readonly end: number;
}

export function steadyTarget(day: ProductDay, ground: WorkedGround | undefined): SteadyTarget | undefined {
  const { commanded } = day;
  if (commanded === undefined) return undefined;
  const fed = feedingMask({ ...day, stops: [] });
  const weights = new Map<number, number>();
  let total = 0;
  for (let k = 0; k < commanded.length; k++) {
    const target = commanded[k] as number;
    const weight = ground === undefined ? 1 : ground.best[k] as number;
    if (fed[k] !== 1 || !(target > 0) || !(weight > 0)) continue;
    const key = Number(target.toPrecision(3));
    weights.set(key, (weights.get(key) ?? 0) + weight);
    total += weight;
  }
  const [key, weight] = [...weights].toSorted((a, b) => b[1] - a[1])[0] ?? [Number.NaN, 0];
  if (!(weight > 0.6 * total)) return undefined;
  let [sum, n, start, end] = [0, 0, -1, 0];
  for (let k = 0; k < commanded.length; k++) {
    const target = commanded[k] as number;
    if (fed[k] !== 1 || Number(target.toPrecision(3)) !== key) continue;
    sum += target;
    n++;
    if (start < 0) start = k;
    end = k + 1;
  }
  return { rate: sum / n, share: weight / total, area: ground === undefined ? 0 : weight, start, end };
}

/** The controller was told another rate than the job sheet says. */
export function reportTarget(day: ProductDay, all: readonly ProductDay[], target: SteadyTarget, context: RateContext): void {
  const sheet = day.product?.targetRate;
  if (sheet === undefined) return;
  const ratio = target.rate / sheet;
  if (Math.abs(ratio - 1) < context.options.oddTarget) return;
  const { say } = context;
  const slip = SLIPS.find(({ factor }) => Math.abs(ratio / factor - 1) < 0.006);
  const swapped = all.find((other) => other !== day && other.product?.targetRate !== undefined && Math.abs(target.rate / other.product.targetRate - 1) < 0.01);
  const excess = (target.rate - sheet) * target.area;
  const [commanded, wanted] = [quantity.rate(target.rate), quantity.rate(sheet)];
  const table: TableEvidence = {
    kind: 'table', title: 'Targets', columns: [{ label: 'tank' }, { label: 'job sheet', unit: 'kg/ha', digits: 1 }, { label: 'controller', unit: 'kg/ha', digits: 1 }],
    rows: all.filter(({ commanded: logged }) => logged !== undefined).map((each) => [each.track.tank.id, each.product?.targetRate === undefined ? null : each.product.targetRate * 1e4, each === day ? target.rate * 1e4 : null]),
  };
  context.report({
    code: 'rate.target-odd', subject: `tank.${day.track.tank.id}`, severity: 'watch', verdict: 'proved',
    title: say('targetTitle', { tank: sentence(tankName(day.track.tank)), commanded, sheet: wanted }),
    span: { start: target.start, end: target.end }, episodes: [{ start: target.start, end: target.end }],
    measure: { value: ratio, low: ratio, high: ratio, unit: 'ratio', expected: 1 },
    consequence: {
      ...(target.area > 0 ? { areaHa: target.area / 1e4, massKg: excess } : {}),
      text: say('targetConsequence', { mass: quantity.mass(Math.abs(excess)), side: excess > 0 ? 'more' : 'less', area: quantity.area(target.area, 1) }),
    },
    explanation: say('targetWhy', {
      commanded, share: percent(target.share, 0), ratio: formatNumber(ratio, 3),
      slip: slip !== undefined ? say('targetUnits', { units: slip.units }) : swapped !== undefined ? say('targetSwapped', { other: swapped.track.tank.id }) : '',
    }),
    excludes: [say('targetNotMachine')],
    cannotTell: say('targetCannot'),
    decidingCheck: say('targetCheck'),
    cautions: [cautions.K1],
    channels: [`meter.${day.track.meter}.target`],
    evidence: [table],
  });
}
