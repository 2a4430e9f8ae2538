/** Thresholds of the fan check; ratios unless a unit is named. */
export interface FanOptions {
  /** Share of the commanded speed that stands in for a floor nobody entered. */
  readonly shareOfTarget: number;
  /** s under the floor that count. */
  readonly shortestLow: number;
  /** s under the floor in all, from which on something is to be done. */
  readonly seriousLow: number;
  /** Back to normal this far above the floor. */
  readonly recovered: number;
  /** s in which a fan that was started comes up. */
  readonly runUp: number;
  /** Below this share of its usual speed a fan stands or is being started. */
  readonly standing: number;
  /** s over which a speed counts as sustained. */
  readonly sustained: number;
  /** K; hydraulic oil below this is cold. */
  readonly coldOil: number;
  /** Engine speed lost that matters. */
  readonly engineDrop: number;
  /** Swing of an unsteady fan, ± share of its speed; and the share of the scatter that one frequency must hold. */
  readonly swing: number;
  readonly oneFrequency: number;
  /** s; windows looked at for a swing, and how many in a row make one. */
  readonly swingWindow: number;
  readonly fewestSwings: number;
  /** s; shortest wrong reading that counts by itself, and how many short ones do together. */
  readonly shortestWrong: number;
  readonly fewestFlickers: number;
}

export const fanOptions: FanOptions = {
  /* −10 % of set for more than 10 s acts: common practice, no source. */
  shareOfTarget: 0.9,
  shortestLow: 10,
  seriousLow: 60,
  recovered: 0.01,
  /* Ramp-up within 30 s, run-down 10–60 s: common practice, no source. */
  runUp: 40,
  /* Away from a half, which a sensor with a lost target shows. */
  standing: 0.4,
  sustained: 10,
  /* 30 °C; work is done at 40–60 °C: common practice, no source. */
  coldOil: 303.15,
  engineDrop: 0.03,
  /* Hunting is ±3–10 % at 0.1–1 Hz: common practice, no source. A little less, as one-second samples flatten it. */
  swing: 0.025,
  oneFrequency: 0.5,
  swingWindow: 60,
  fewestSwings: 3,
  shortestWrong: 5,
  fewestFlickers: 10,
};
