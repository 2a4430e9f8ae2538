import type { Interval } from '../../../shared/span.ts';
import { samplingOf } from '../../episodes/sampling.ts';
import { totalSeconds } from '../../series/spans.ts';
import type { CoverageContext, WorkedField } from './worked-field.ts';

/** s by which an end of all passes may be off together, with a delay entered or without. */
const DELAY = { entered: 0.1, unknown: 0.7 } as const;
/** m of a pass's line by kind of fix: 3 corrected, 2 differential, 1 alone; not told = in between (trade.md a.3). */
const LINE = [1, 1, 0.2, 0.03] as const;
const LINE_UNKNOWN = 0.1;

/** m², standard uncertainties of the areas of a day. */
export interface AreaUncertainty {
  /** Of the covered area. */
  readonly all: number;
  /** Of what lies twice or bare between passes. */
  readonly pairs: number;
  /** What the noise of two lines makes of nothing, overlap and gap each: 0.4 of its spread along them. */
  readonly folded: number;
}

export function areaUncertainty({ episodes, setup, channels }: CoverageContext, { rank, story, ground, width = 0 }: WorkedField): AreaUncertainty {
  const { passes } = episodes;
  const line = rank === undefined ? LINE_UNKNOWN : (LINE[rank] ?? LINE_UNKNOWN);
  const length = passes.reduce((sum, pass) => sum + pass.length, 0);
  const speed = length / Math.max(1, totalSeconds(passes));
  const n = Math.max(1, passes.length);
  const states = channels('section.*.on').map(samplingOf);
  /* A sampled state, or no state at all but whole seconds of work. */
  const interval = states.length === 0 ? 1 : Math.max(...states.map((each) => (each.regular ? each.interval : 0)));
  const ends = width * Math.sqrt(2 * n) * Math.hypot(line, (speed * interval) / Math.sqrt(12));
  const delay = ground.strips.length === 0 ? 0 : width * speed * n * (setup.machine.delays === undefined ? DELAY.unknown : DELAY.entered);
  const together = story?.usual.reduce((sum, pair) => sum + pair.length, 0) ?? 0;
  const pairs = Math.max(1, story?.usual.length ?? 1);
  return {
    all: Math.hypot(ends, delay, (2 * length * line) / n),
    pairs: (together * Math.SQRT2 * line) / Math.sqrt(pairs),
    folded: 0.4 * Math.SQRT2 * line * together,
  };
}

/** m² of overlap or gap with its bounds. */
export function around(value: number, { pairs, folded }: AreaUncertainty): Interval {
  return { value, low: Math.min(value, Math.max(0, value - folded - 2 * pairs)), high: value + 2 * pairs };
}
