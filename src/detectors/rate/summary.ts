import type { Day, DaySummary, ProductSummary } from '../../../shared/day.ts';
import type { Setup } from '../../../shared/setup.ts';
import type { Episodes } from '../../episodes/episodes.ts';
import type { Timeline } from '../../episodes/timeline.ts';
import { totalSeconds } from '../../series/spans.ts';

/** What went into the ground, from the scale over GNSS area; a product whose tank was never read quietly stays without rate. */
export function summariseDay({ setup, timeline, episodes }: { readonly day: Day; readonly setup: Setup; readonly timeline: Timeline; readonly episodes: Episodes }): DaySummary {
  const squareMetres = workedArea(setup, timeline, episodes);
  return {
    areaHa: squareMetres / 1e4,
    workingHours: totalSeconds(episodes.working) / 3600,
    products: setup.job.products.map((product): ProductSummary => ({
      tank: product.tank,
      ...(product.name === undefined ? {} : { name: product.name }),
      ...(product.targetRate === undefined ? {} : { targetKgPerHa: product.targetRate * 1e4 }),
      ...dispensed(product.tank, squareMetres, episodes),
    })),
  };
}

/** m² by GNSS speed × working width × share of the sections on, while working. */
function workedArea(setup: Setup, timeline: Timeline, episodes: Episodes): number {
  const speed = timeline.mean('gnss.speed') ?? timeline.mean('wheel.speed');
  const width = setup.machine.workingWidth;
  if (speed === undefined || width === undefined) return 0;
  const sections = setup.machine.towers.map((tower) => tower.section).filter((section) => section !== undefined);
  const states = sections.map((section) => timeline.held(`section.${section}.on`));
  let metres = 0;
  for (const span of episodes.working) {
    for (let k = Math.floor(span.start); k < span.end; k++) {
      const known = states.map((state) => state?.[k]).filter((value) => value !== undefined && !Number.isNaN(value));
      const share = known.length === 0 ? 1 : known.filter((value) => value === 1).length / known.length;
      const v = speed[k] as number;
      if (!Number.isNaN(v)) metres += v * share;
    }
  }
  return metres * width;
}

function dispensed(tank: string, squareMetres: number, episodes: Episodes): Pick<ProductSummary, 'dispensedKg' | 'appliedKgPerHa'> {
  const quiet = episodes.quiet(tank);
  const first = quiet[0];
  const last = quiet[quiet.length - 1];
  if (first === undefined || last === undefined || last.start <= first.start) return {};
  const fills = episodes.fills(tank).filter((fill) => fill.start >= first.start && fill.end <= last.end);
  const value = first.mass - last.mass + fills.reduce((sum, fill) => sum + fill.after - fill.before, 0);
  const half = 2 * Math.hypot(first.uncertainty, last.uncertainty, ...fills.map((fill) => fill.uncertainty));
  const interval = (scale: number): { value: number; low: number; high: number } => ({ value: value * scale, low: (value - half) * scale, high: (value + half) * scale });
  return { dispensedKg: interval(1), ...(squareMetres > 0 ? { appliedKgPerHa: interval(1e4 / squareMetres) } : {}) };
}
