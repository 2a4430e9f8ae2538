import type { Product } from '../../../shared/setup.ts';
import type { Span } from '../../../shared/span.ts';
import { contains } from '../../series/spans.ts';
import type { FlowLog } from './flow-log.ts';
import type { RunFlowContext } from './story.ts';

/** What a stretch of a run or tower came to in the field. */
export interface FieldCost {
  /** m driven with the tower commanded on. */
  readonly length: number;
  /** m²; undefined without row spacing in the setup. */
  readonly area?: number;
  /** kg intended for that area; undefined without a rate. */
  readonly mass?: number;
}

/** Row metres, square metres and intended kilograms of `rows` runs of a tower in some spans. */
export function fieldCost(context: RunFlowContext, log: FlowLog, tower: number, rows: number, spans: readonly Span[]): FieldCost {
  const plan = log.towers[tower];
  const spacing = rowSpacing(context);
  let length = 0;
  let mass = 0;
  for (const { start, end } of spans) {
    const rate = intendedRate(context, { start, end });
    let metres = 0;
    for (let k = Math.max(0, Math.round(start / log.step)); k < Math.min(log.cells, Math.round(end / log.step)); k++) {
      const speed = log.speed[k] as number;
      if (plan?.open[k] === 1 && !Number.isNaN(speed)) metres += speed * log.step;
    }
    length += metres;
    mass += metres * (spacing ?? Number.NaN) * rows * (rate ?? Number.NaN);
  }
  return {
    length,
    ...(spacing === undefined ? {} : { area: length * spacing * rows }),
    ...(Number.isFinite(mass) ? { mass } : {}),
  };
}

export function rowSpacing({ setup }: Pick<RunFlowContext, 'setup'>): number | undefined {
  const { rowSpacing: given, workingWidth, towers } = setup.machine;
  const outlets = towers.reduce((sum, tower) => sum + tower.runs.length, 0);
  return given ?? (workingWidth !== undefined && outlets > 1 ? workingWidth / outlets : undefined);
}

/** kg/m² commanded for the counted product in a span (its median sample), else what the job sheet says. */
export function intendedRate({ timeline, episodes, setup }: Pick<RunFlowContext, 'timeline' | 'episodes' | 'setup'>, { start, end }: Span): number | undefined {
  const rates: number[] = [];
  for (const product of countedProducts(setup.job.products)) {
    const meter = setup.machine.tanks.find(({ id }) => id === product.tank)?.meter ?? product.tank;
    const target = timeline.held(`meter.${meter}.target`);
    const metering = episodes.metering(meter);
    const step = Math.max(1, Math.floor((end - start) / 200));
    const values: number[] = [];
    for (let k = Math.floor(start); k < end && k < timeline.length; k += step) {
      if (metering.length > 0 && !contains(metering, k + 0.5)) continue;
      const rate = target?.[k] ?? product.targetRate;
      if (rate !== undefined && rate > 0) values.push(rate);
    }
    if (values.length > 0) rates.push(values.reduce((sum, value) => sum + value, 0) / values.length);
  }
  return rates.length === 1 ? rates[0] : rates.length === 0 ? undefined : Math.max(...rates);
}

/** Products the run sensors see; when the setup does not say, the only one there is. */
export function countedProducts(products: readonly Product[]): readonly Product[] {
  const counted = products.filter((product) => product.counted === true);
  return counted.length > 0 ? counted : products.length === 1 ? products : [];
}
