import { medianOfPositive } from './typed-median.ts';

/** Judged entries `from` to `to` (exclusive) in which a run showed nothing although the drill flowed. */
export interface Vanished {
  readonly from: number;
  readonly to: number;
  /** No values at all, rather than zeros. */
  readonly missing: boolean;
}

/** Counts that should have come: 20 expected and none seen has p = 2·10⁻⁹ for Poisson counts, 10⁻⁴ at three times the variance, and lasts 4 s besides. */
const EXPECTED = 20;
const SHORTEST = 4;
/** Single stray counts do not end a stretch. */
const STRAY = 0.03;

export interface RunPresence {
  /** Counts per cell while it flows, at the drill's usual level; 0 = never showed anything. */
  readonly usual: number;
  readonly vanished: readonly Vanished[];
}

/** Looks at one run's judged entries for stretches of nothing; `drill` is the drill's level ÷ usual in each. */
export function presenceOf(counts: Float32Array, drill: Float32Array, step: number): RunPresence {
  const usual = medianOfPositive(counts);
  if (!(usual > 0)) return { usual: 0, vanished: [] };
  const vanished: Vanished[] = [];
  let from = -1;
  let expected = 0;
  let missing = 0;
  const close = (to: number): void => {
    if (from >= 0 && expected >= EXPECTED && (to - from) * step >= SHORTEST) vanished.push({ from, to, missing: missing * 2 > to - from });
    from = -1;
  };
  for (let j = 0; j < counts.length; j++) {
    const count = counts[j] as number;
    const due = usual * (drill[j] as number);
    if (count > STRAY * due) {
      close(j);
      continue;
    }
    if (from < 0) {
      from = j;
      expected = 0;
      missing = 0;
    }
    expected += due;
    if (Number.isNaN(count)) missing++;
  }
  close(counts.length);
  return { usual, vanished };
}
