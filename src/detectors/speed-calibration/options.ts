/** Thresholds of the wheel's check; ratios unless a unit is named. */
export interface SpeedOptions {
  /** Beyond this the constant is to be changed. */
  readonly limit: number;
  /** Good to within this. */
  readonly good: number;
  /** s; one comparison of wheel and receiver. */
  readonly windowSeconds: number;
  /** s; parts of a window, by whose scatter its steadiness is judged. */
  readonly partSeconds: number;
  /** A window is steady when its parts scatter no more than this many times the median scatter. */
  readonly unsteadyTimes: number;
  /** Fewer windows say nothing. */
  readonly fewestWindows: number;
  /** m/s */
  readonly slowest: number;
  /** s */
  readonly longestLag: number;
  /** Standard uncertainty left by one-sided slip, per share of windows that slip. */
  readonly slipBias: number;
  /** Share of windows that scatters that much by chance, without any slip. */
  readonly chanceShare: number;
  /** Windows in one near-independent unit, where passes are too few to be the units. */
  readonly windowsPerBlock: number;
  /** From this many passes on, passes are the units. */
  readonly fewestPasses: number;
  /** Levels closer than this are one level. */
  readonly sameLevel: number;
  /** Blocks a level must last to be one. */
  readonly shortestLevel: number;
  /** Steps smaller than this with nothing but the ratio to go by may be the ground. */
  readonly groundStep: number;
  /** The same for a low side shorter than `patchSeconds`, which may be a patch that the log's end cuts off. */
  readonly patchStep: number;
  readonly patchSeconds: number;
  /** Tractor slip that changes by this with the step shows that the ground changed. */
  readonly driveStep: number;
  /** A wheel that counts less than this share of the way has stopped counting; more than `doubledShare` counts double. */
  readonly missingShare: number;
  readonly doubledShare: number;
  /** s; and how many of such gaps make a finding. */
  readonly longestGap: number;
  readonly fewestGaps: number;
}

export const speedOptions: SpeedOptions = {
  /* ±1 % act, ±0.5 % good: common practice, no source. */
  limit: 0.01,
  good: 0.005,
  /* Several times slip's memory of about 10 s (common practice), short against a pass of minutes. */
  windowSeconds: 30,
  partSeconds: 5,
  /* Own simulation: half-hour logs with slip bursts of 3–12 %; leaves 0.04 % of bias at 10 % slip. */
  unsteadyTimes: 2,
  fewestWindows: 4,
  /* ISO 11783-7 hands ground speed over to wheel speed at 0.5 m/s; twice that. */
  slowest: 1,
  /* Low-cost receivers were up to 2.16 s late (Sensors 14 (2014) 23490). */
  longestLag: 4,
  /* 0.1 % per 10 % of slipping windows: own simulation. */
  slipBias: 0.01,
  chanceShare: 0.03,
  windowsPerBlock: 4,
  fewestPasses: 8,
  /* Half the acting limit, the size of slip's own wandering. */
  sameLevel: 0.005,
  /* Ten minutes of comparing: longer than a hill on a pass, which comes and goes within one. */
  shortestLevel: 5,
  /* Mean slip of a free-rolling wheel differs between grounds by this much: common practice, no source. */
  groundStep: 0.018,
  patchStep: 0.035,
  patchSeconds: 3600,
  driveStep: 0.015,
  missingShare: 0.35,
  doubledShare: 1.6,
  longestGap: 30,
  fewestGaps: 3,
};
