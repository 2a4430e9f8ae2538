import type { Measurement } from '../../../shared/finding.ts';
import { chiSquareQuantile } from '../../series/distributions.ts';
import { contains } from '../../series/spans.ts';
import { countedProducts } from './cost.ts';
import type { RunCase } from './run-cases.ts';
import type { Story } from './story.ts';

const FEWEST_RUNS = 4;
const LEAST_SECONDS = 600;

/**
 * Row-to-row CV of a counted product, with what counting noise adds taken off: true² = seen² − F/(counts). Sensor gains are
 * in it; counts alone cannot take them out. Interval by chi-square on n − 1 runs. Faults of the day are findings of their own
 * and left out here.
 */
export function runVariation(story: Story, cases: readonly RunCase[]): readonly Measurement[] {
  const { setup, episodes } = story.context;
  const counted = countedProducts(setup.job.products);
  if (counted.length < 2) return variationOf(story, cases, counted[0] === undefined ? 'all' : `tank.${counted[0].tank}`, () => true);
  const meters = counted.map((product) => ({ product, spans: episodes.metering(setup.machine.tanks.find(({ id }) => id === product.tank)?.meter ?? product.tank) }));
  return meters.flatMap(({ product, spans }) =>
    variationOf(story, cases, `tank.${product.tank}`, (time) => contains(spans, time) && !meters.some((other) => other.product !== product && contains(other.spans, time))));
}

function variationOf({ drill, log, towers }: Story, cases: readonly RunCase[], subject: string, fed: (time: number) => boolean): readonly Measurement[] {
  const faulty = new Set(cases.filter(({ kind, test }) => kind === 'stuck' || kind === 'missing' || test.verdict === 'sensor').map(({ number }) => number));
  const rows: { readonly level: number; readonly noise: number }[] = [];
  let seconds = 0;
  for (const [t, { judged, runs }] of drill.towers.entries()) {
    const others = towers[t]?.others ?? new Float64Array(0);
    /* What the usual row should have counted, from the other towers, or the drill where none is judged; 0 = not counted here. */
    const common = new Float64Array(judged.cells.length);
    let entries = 0;
    for (let j = 0; j < common.length; j++) {
      const cell = judged.cells[j] as number;
      if (judged.calm[j] !== 1 || !fed((cell + 0.5) * log.step)) continue;
      const level = others[cell] as number;
      common[j] = level > 0 ? level : judged.drill[j] as number;
      entries++;
    }
    seconds = Math.max(seconds, entries * log.step);
    for (const [index, run] of runs.entries()) {
      const number = log.runs[log.towers[t]?.runs[index] ?? -1]?.number ?? 0;
      const own = judged.counts[index];
      if (own === undefined || run.presence.usual === 0 || faulty.has(number)) continue;
      let counts = 0;
      let due = 0;
      for (let j = 0; j < common.length; j++) {
        const count = own[j] as number;
        const level = common[j] as number;
        if (!(level > 0) || run.usable[j] !== 1) continue;
        counts += count;
        due += level;
      }
      if (due > 0) rows.push({ level: counts / due, noise: (run.dispersion * counts) / due ** 2 });
    }
  }
  if (rows.length < FEWEST_RUNS || seconds < LEAST_SECONDS) return [];
  const n = rows.length;
  const mean = rows.reduce((sum, { level }) => sum + level, 0) / n;
  const seen = rows.reduce((sum, { level }) => sum + (level - mean) ** 2, 0) / (n - 1);
  const noise = rows.reduce((sum, row) => sum + row.noise, 0) / n;
  const value = Math.sqrt(Math.max(0, seen - noise)) / mean;
  const spread = spreadInterval(value, n);
  return [{ name: 'run.variation', subject, value, ...spread, unit: 'ratio', n }];
}

/** 95 % interval of a standard deviation from n normal values. */
export function spreadInterval(value: number, n: number): { readonly low: number; readonly high: number } {
  return { low: value * Math.sqrt((n - 1) / chiSquareQuantile(0.975, n - 1)), high: value * Math.sqrt((n - 1) / chiSquareQuantile(0.025, n - 1)) };
}
