/** What run-flow counts as wrong. Durations in s of judged time; ratios are flow ÷ expected flow. */
export const thresholds = {
  /** m/s; below it counts and delays no longer belong together (checks.md 8.3 gates at 1 m/s). */
  slowestSpeed: 1,
  /** Log-likelihood ratio at which a chart alarms: e^19 = 1.8e8 cells between false alarms, some 60 runs × 9 h × 10 days × 3 charts ÷ 0.3. */
  alarm: 19,
  /** A run below this share counts as blocked, above it as restricted (common practice, no source). */
  blocked: 0.25,
  /** A loss or gain whose 95 % interval reaches nearer to 1 than this is never reported. */
  leastLoss: 0.12,
  leastGain: 0.25,
  /** Any run below half for 10 s is a blockage (common practice, no source); small losses have to last. */
  shortestBlocked: 10,
  shortestRestricted: 60,
  /** A blocked run this long is something to do, not only to watch (2 passes' turn-round; common practice, no source). */
  actionBlocked: 60,
  actionRestricted: 600,
  /** Loss from which a lasting restriction is an `action`; row-to-row CV above 15 % costs yield (checks.md A-10). */
  actionLoss: 0.3,
  /** Tower mean against the drill: act above ±7 % (common practice, no source). */
  leastTowerLoss: 0.07,
  actionTowerLoss: 0.15,
  shortestTowerBlocked: 10,
  /** Without section commands in the log, point rows look like plugs; they last less than this. */
  shortestUncommanded: 120,
  shortestTowerLow: 180,
  /** A run that has been off its tower since the log began: at least this much, and an outlier of the drill's own spread at this level. */
  leastOffset: 0.15,
  leastOffsetHigh: 0.5,
  /** Smaller offsets are plumbing (hose lengths, outlet position: trade.md F46), told as `info`. */
  watchOffset: 0.25,
  offsetAlpha: 0.01,
  /** Tower offsets since the log began; 5 % cannot be told from sensor gains (trade.md e.5). */
  leastTowerOffset: 0.15,
  /** Variance of a stuck sensor against that of its kind. */
  stuckDispersion: 0.15,
  /** A fan below this share of its command explains low towers. */
  slowFan: 0.93,
} as const;

export type Thresholds = { readonly [K in keyof typeof thresholds]: number };
