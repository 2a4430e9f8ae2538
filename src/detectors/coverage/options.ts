/** Thresholds of the field check; SI, shares as ratios. */
export interface CoverageOptions {
  /** Pass spacing off the width by more, as a ratio, is told; beyond `widthAction` something is to be done. */
  readonly widthLimit: number;
  readonly widthAction: number;
  /** Share of the covered area sown twice, or left bare, beyond what cannot be helped. */
  readonly watchShare: number;
  readonly actionShare: number;
  /** m by which antenna and openers may be off to the side, and along. */
  readonly sideLimit: number;
  readonly aftLimit: number;
  /** Pairs of passes further than this from the usual spacing, as a share, are last narrow passes or obstacles. */
  readonly usualWithin: number;
  /** Pairs to either side that show a side offset, and pairs that show a spacing. */
  readonly fewestSidePairs: number;
  readonly fewestPairs: number;
  /** Pass ends that tell a distance from a delay, and m/s over which their speeds must spread. */
  readonly fewestEnds: number;
  readonly speedSpread: number;
  /** Overlaps and gaps wider than this share of the drill are no matter of pass spacing. */
  readonly narrowShare: number;
  /** s; a corner of a headland lap is driven within this time. */
  readonly cornerSeconds: number;
  /** m; a section off for longer, over ground that stays bare, was not a point row. */
  readonly leftOffMetres: number;
  /** m², smaller left-off ground is a remark. */
  readonly leftOffArea: number;
  /** m; spacings that scatter more than this say that the positions do, when the receiver does not say how good it is. */
  readonly roughScatter: number;
}

export const coverageOptions: CoverageOptions = {
  /* One row of 60 is 1.7 % (trade.md F07); a steep side hill shortens a level spacing by 0.3 %. */
  widthLimit: 0.01,
  widthAction: 0.05,
  /* Overlap beyond geometry: good below 2 %, act above 5 % of the area (common practice, no source). */
  watchShare: 0.02,
  actionShare: 0.05,
  /* Half a row of 0.3 m; steering keeps to one side by a few centimetres. */
  sideLimit: 0.15,
  /* ON/OFF edges: good within 1 m (common practice, no source). */
  aftLimit: 1,
  usualWithin: 0.15,
  fewestSidePairs: 4,
  fewestPairs: 4,
  /* 30 edges with some speed between them; common practice asks for 1.5 km/h of it, but the interval knows better. */
  fewestEnds: 30,
  speedSpread: 0.2,
  narrowShare: 0.15,
  cornerSeconds: 120,
  /* 60 s at 8 km/h: point rows and obstacles are shorter (common practice, no source). */
  leftOffMetres: 150,
  leftOffArea: 1000,
  roughScatter: 0.3,
};
