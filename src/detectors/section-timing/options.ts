/** What section-timing looks at and when it speaks. */
export const sectionTimingOptions = {
  /** s; another command of the same section nearer than this spoils an edge (trade.md d.3). */
  aloneSeconds: 12,
  /** s of steady flow needed after an ON or before an OFF. */
  steadySeconds: 15,
  leastSteadySeconds: 8,
  /** s within which an OFF must have run dry: transport, tail and a reserve (trade.md d.2). */
  runDrySeconds: 11,
  /** Change of the fan after an edge that spoils it, ratio (trade.md d.3). */
  unsteady: 0.05,
  /** Change of speed and of the fan round an edge that can still be allowed for: lifting the drill slows the fan at every headland. */
  mostSpeed: 0.15,
  mostAir: 0.2,
  /** Change of the fan that moves an edge by less than a few hundredths of a second; such edges are taken alone when there are enough. */
  calmAir: 0.03,
  /** m/s */
  slowest: 1,
  /** Crossings needed for a number, and for a finding (checks.md 8.3 D4: at least 10). */
  fewestCrossings: 5,
  fewestForFinding: 10,
  /** Edges and speed spread, m/s, needed to tell time from distance (trade.md d.3: 30 edges, 1.5 km/h). */
  fewestForRegression: 30,
  leastSpeedSpread: 0.3,
  /** m at the working speed: good within 1 m, act beyond 2 m (common practice, no source). */
  goodMetres: 1,
  actMetres: 2,
  /** s; a section this much off its neighbours beyond the geometry of the hoses. */
  oddSection: 1,
  /** s of no flow although commanded on, for a finding and for an action. */
  shortestStuck: 20,
  actionStuck: 60,
  /** Commands a section must have ignored. */
  fewestIgnored: 2,
  fewestCrossed: 3,
} as const;

export type SectionTimingOptions = { readonly [K in keyof typeof sectionTimingOptions]: number };
