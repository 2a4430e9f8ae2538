/** Thresholds of the log's own check. */
export interface LogQualityOptions {
  /** s; a position that stays put to the last digit for so long … */
  readonly frozenSeconds: number;
  /** … while the machine moves faster than this, m/s, has not been measured. */
  readonly moving: number;
  /** s; a GNSS or log silent for longer is a loss. */
  readonly silentSeconds: number;
  /** s; a correction lost for a shorter time does no harm. */
  readonly degradedSeconds: number;
  /** Position accuracy of no use above this dilution, and how much lower it must usually be. */
  readonly worstHdop: number;
  readonly usualHdop: number;
  /** s; a group of channels that is silent for longer while the log goes on. */
  readonly groupSeconds: number;
  /** m; moved over a gap by more than this, the machine did not stand. */
  readonly movedMetres: number;
  /** Lost ground from this share of the worked area on, and this many m², is worth watching. */
  readonly watchShare: number;
  readonly watchArea: number;
  /** s; smaller clock shifts are the resolution of the alignment. */
  readonly leastOffset: number;
}

export const logQualityOptions: LogQualityOptions = {
  /* A receiver reports 1 to 10 times a second and each report of a moving antenna differs by centimetres: 5 s leaves no doubt. */
  frozenSeconds: 5,
  /* ISO 11783-7 hands ground speed over to wheel speed at 0.5 m/s. */
  moving: 0.5,
  silentSeconds: 5,
  degradedSeconds: 30,
  /* Above 4 a position is of little use, below 2 good: common practice, no source. */
  worstHdop: 4,
  usualHdop: 2.5,
  groupSeconds: 30,
  movedMetres: 20,
  /* Overlap beyond 2 % of the area is where the trade begins to care (common practice); unknown ground is no better. */
  watchShare: 0.02,
  watchArea: 5000,
  /* Logs are matched to about a tenth of a second. */
  leastOffset: 0.2,
};
