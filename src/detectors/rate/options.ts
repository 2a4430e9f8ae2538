/** Thresholds of the rate check. */
export const defaults = {
  regimes: {
    /* Relative change of kg per turn from one load to the next worth naming: half of the 5 % at which extension advice adjusts
       (trade.md c.5). Standard uncertainties: several loads and tanks a day, all season. */
    leastStep: 0.025,
    stepSigmas: 4,
    leastDrift: 0.04,
    driftSigmas: 6,
    driftAdvantage: 1,
  },
  /* Ratio; adjust or not is ±5 % (extension criterion, trade.md c.5 R5), good is ±2 % (common practice, no source). */
  act: 0.05,
  good: 0.02,
  /* kg, standard uncertainty: the slow floor of a cart scale, below which no rate is judged by it (trade.md f.2, from memory). */
  slowFloor: 10,
  /* A check that cannot tell 5 % says so. */
  tellable: 0.05,
  /* Logged target against job sheet: agrees within 1 % (rounding), is odd from 2 % on. */
  oddTarget: 0.02,
};

export type RateOptions = typeof defaults;
