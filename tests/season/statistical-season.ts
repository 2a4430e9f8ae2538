import type { CaseListing } from '../../shared/case.ts';
import type { Finding, Measurement } from '../../shared/finding.ts';
import { parseSetup } from '../../shared/setup-file.ts';
import type { Setup } from '../../shared/setup.ts';
import type { SeasonDay } from '../../src/season/season-series.ts';
import { createRandom, type Random } from '../support/world/random.ts';

/** What moves in a season made of measurement values, by day 0 … n − 1. */
export interface SeasonPlan {
  readonly days?: number;
  readonly seed: number;
  /** True wheel pulses against the usual, e.g. a drift: ratio. */
  readonly wheel?: (day: number) => number;
  readonly scale?: (day: number) => number;
  /** pulses/m as entered. */
  readonly entered?: (day: number) => number;
  readonly product?: (day: number) => string;
  readonly findings?: (day: number) => readonly Pick<Finding, 'code' | 'subject' | 'severity'>[];
  /** Spread from day to day beyond the days' own intervals, as a multiple of their uncertainty; default 1. */
  readonly between?: number;
}

interface Noise { readonly name: string; readonly subject: string; readonly level: number; readonly uncertainty: number; readonly unit: string; readonly n: number }

/** Levels and uncertainties of a day of 61 ha as the checks measure them on synthetic days of tests/support/world (seeds 1 to 3 of its ordinary day). */
const USUAL: readonly Noise[] = [
  { name: 'scale.span', subject: 'tank.1', level: 1, uncertainty: 0.0018, unit: 'ratio', n: 2 },
  { name: 'meter.mass-per-turn', subject: 'tank.1', level: 0.62, uncertainty: 0.0012, unit: 'kg', n: 2 },
  { name: 'meter.seeds-per-turn', subject: 'tank.1', level: 13_500, uncertainty: 20, unit: 'seeds/turn', n: 20 },
  { name: 'section.on-delay', subject: 'all', level: 2.33, uncertainty: 0.029, unit: 's', n: 43 },
  { name: 'section.off-delay', subject: 'all', level: 2.68, uncertainty: 0.042, unit: 's', n: 42 },
  { name: 'fan.margin', subject: 'fan.1', level: 1.112, uncertainty: 0.0032, unit: 'ratio', n: 44 },
  { name: 'run.variation', subject: 'tank.1', level: 0.064, uncertainty: 0.006, unit: 'ratio', n: 60 },
];
const WHEEL = { level: 0.995, uncertainty: 0.0003, n: 44 };
const FIRST_DAY = Date.UTC(2031, 3, 20, 8) / 1000;

/** Kept days as a store would give them, of one machine. */
export function statisticalSeason(plan: SeasonPlan): readonly SeasonDay[] {
  const random = createRandom(plan.seed, 'season');
  return Array.from({ length: plan.days ?? 40 }, (_, day) => seasonDay(plan, day, random));
}

function seasonDay(plan: SeasonPlan, day: number, random: Random): SeasonDay {
  const entered = plan.entered?.(day) ?? 20;
  const size = random.between(0.6, 1.4);
  const measured = ({ name, subject, level, uncertainty, unit, n }: Noise): Measurement => {
    const own = uncertainty / Math.sqrt(size);
    const value = level + Math.hypot(own, uncertainty * (plan.between ?? 1)) * random.normal();
    return { name, subject, value, low: value - 1.96 * own, high: value + 1.96 * own, unit, n };
  };
  const ratio = measured({ ...WHEEL, name: 'wheel.ratio', subject: 'wheel', unit: 'ratio', level: WHEEL.level * (plan.wheel?.(day) ?? 1) * (20 / entered) });
  const constant: Measurement = { ...ratio, name: 'wheel.constant', value: ratio.value * entered, low: ratio.low * entered, high: ratio.high * entered, unit: 'pulses/m' };
  const others = USUAL.map((noise) => measured(noise.name === 'scale.span' ? { ...noise, level: noise.level * (plan.scale?.(day) ?? 1) } : noise));
  const listing = listingOf(day);
  return {
    readings: {
      listing, measurements: [ratio, constant, ...others], checks: [],
      summary: { areaHa: 61 * size, workingHours: 4.2 * size, products: [] },
      findings: (plan.findings?.(day) ?? []).map((finding) => fullFinding(finding)),
    },
    setup: setupOf(entered, plan.product?.(day) ?? 'wheat'),
  };
}

export function listingOf(day: number): CaseListing {
  const start = FIRST_DAY + day * 86_400;
  const id = `c${day.toString(16).padStart(15, '0')}`;
  return {
    id, machine: 'Drill D60', date: new Date(start * 1000).toISOString().slice(0, 10), zone: 'UTC', name: 'day.log',
    logs: [{ file: 'day.log', sha256: day.toString(16).padStart(64, '0'), format: 'candump' }],
    start, duration: 19_800, savedAt: (start + 40_000) * 1000, version: '0.1.0', actions: 0, watches: 0,
  };
}

function setupOf(entered: number, product: string): Setup {
  const { setup } = parseSetup({
    machine: { name: 'Drill D60', wheel: { constant: `${entered.toFixed(2)} pulses/m` } },
    job: { products: [{ tank: '1', name: product, targetRate: '120 kg/ha', counted: true, fan: '1', fanFloor: '3200 rpm' }] },
  });
  return setup;
}

const fullFinding = (finding: Pick<Finding, 'code' | 'subject' | 'severity'>): Omit<Finding, 'evidence'> => ({
  ...finding, id: `${finding.code}-${finding.subject}`, verdict: 'proved', title: `${finding.code} ${finding.subject}`, span: { start: 0, end: 60 }, episodes: [{ start: 0, end: 60 }],
  explanation: '', excludes: [], decidingCheck: '', cautions: ['Stop the fan first.'], channels: [],
});
