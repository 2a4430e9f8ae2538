import type { Measurement } from '../../../shared/finding.ts';
import { chiSquareQuantile } from '../../series/distributions.ts';
import { maskOf, subtractSpans } from '../../series/spans.ts';
import { countedProducts } from './cost.ts';
import { seedRate } from './dead-time.ts';
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
  const faulty = new Set(cases.filter(({ kind, test }) => kind === 'stuck' || kind === 'missing' || test.verdict === 'sensor').map(({ number }) => number));
  const fed = counted.map((product) => ({ subject: `tank.${product.tank}`, spans: episodes.metering(setup.machine.tanks.find(({ id }) => id === product.tank)?.meter ?? product.tank) }));
  if (fed.length < 2) return variationOf(fed[0]?.subject ?? 'all', wholeDay(story, faulty));
  return fed.flatMap(({ subject, spans }) => {
    const alone = subtractSpans(spans, fed.flatMap((other) => (other.subject === subject ? [] : other.spans)));
    return variationOf(subject, duringSpans(story, faulty, maskOf(alone, story.log.cells * story.log.step)));
  });
}

/** A row's flow against the drill, ratio, and the variance counting noise adds to it. */
interface Row {
  readonly level: number;
  readonly noise: number;
}

interface Rows {
  readonly rows: readonly Row[];
  /** s of flow judged. */
  readonly seconds: number;
}

/** Dead time evens out what the sensors see of the rows: undone, each row by its own counts per second. */
function seeds({ level, noise }: Row, rate: number): Row {
  const more = seedRate(rate) / rate;
  return Number.isFinite(more) ? { level: level * more, noise: noise * more ** 2 } : { level, noise };
}

const numberOf = ({ log }: Story, tower: number, index: number): number => log.runs[log.towers[tower]?.runs[index] ?? -1]?.number ?? 0;

/** With one product all day the own past of run and tower is all there is to know. */
function wholeDay(story: Story, faulty: ReadonlySet<number>): Rows {
  const { drill, towers, log } = story;
  const rows = drill.towers.flatMap(({ runs }, t) => runs.flatMap((run, index): Row[] => {
    if (run.past === undefined || !(run.gain > 0) || faulty.has(numberOf(story, t, index))) return [];
    const offset = towers[t]?.offset ?? 0;
    const level = run.gain * Math.exp(Number.isNaN(offset) ? 0 : offset);
    return [seeds({ level, noise: (level * run.past.uncertainty) ** 2 }, run.presence.usual / log.step)];
  }));
  return { rows, seconds: Math.max(0, ...drill.towers.map(({ judged }) => judged.cells.length)) * log.step };
}

/** Counts against the other towers (or the drill where none is judged) in part of the day; `fed` = 1 in the seconds that count. */
function duringSpans(story: Story, faulty: ReadonlySet<number>, fed: Uint8Array): Rows {
  const { drill, towers, log } = story;
  const rows: Row[] = [];
  let seconds = 0;
  for (const [t, { judged, runs }] of drill.towers.entries()) {
    const others = towers[t]?.others ?? new Float64Array(0);
    const common = new Float64Array(judged.cells.length);
    let entries = 0;
    for (let j = 0; j < common.length; j++) {
      const cell = judged.cells[j] as number;
      if (judged.calm[j] !== 1 || fed[cell * log.step] !== 1) continue;
      const level = others[cell] as number;
      common[j] = level > 0 ? level : judged.drill[j] as number;
      entries++;
    }
    seconds = Math.max(seconds, entries * log.step);
    for (const [index, { presence, usable, dispersion }] of runs.entries()) {
      const own = judged.counts[index];
      if (own === undefined || presence.usual === 0 || faulty.has(numberOf(story, t, index))) continue;
      let counts = 0;
      let due = 0;
      for (let j = 0; j < common.length; j++) {
        const level = common[j] as number;
        if (!(level > 0) || usable[j] !== 1) continue;
        counts += own[j] as number;
        due += level;
      }
      if (due > 0) rows.push(seeds({ level: counts / due, noise: (dispersion * counts) / due ** 2 }, presence.usual / log.step));
    }
  }
  return { rows, seconds };
}

function variationOf(subject: string, { rows, seconds }: Rows): readonly Measurement[] {
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
