import type { Span } from '../../../shared/span.ts';
import { createGround, type Ground } from '../../episodes/ground.ts';
import { coverageOf, type Coverage } from '../../field/coverage.ts';
import { passSpacings } from '../../field/pass-spacing.ts';
import { median } from '../../series/robust.ts';
import { intersectSpans, unionSpans } from '../../series/spans.ts';
import type { DetectorContext } from '../detector.ts';
import { gnssLosses, rankOfFix } from '../log-quality/gnss-losses.ts';
import { groundIn } from '../log-quality/lost-ground.ts';
import { logQualityOptions } from '../log-quality/options.ts';
import { valuesWithin } from '../log-quality/values-within.ts';
import { knownPositions } from './known-positions.ts';
import type { CoverageMessage } from './messages.ts';
import type { CoverageOptions } from './options.ts';
import { spacingStory, type SpacingStory } from './spacing.ts';

export type CoverageContext = DetectorContext<CoverageMessage, CoverageOptions>;

/** The day's work on the ground as far as positions can be trusted. */
export interface WorkedField {
  readonly ground: Ground;
  readonly coverage: Coverage;
  readonly story: SpacingStory | undefined;
  /** m, as the setup gives it, else by rows; undefined = neither. */
  readonly width: number | undefined;
  /** m by runs × row spacing, a second witness to the width. */
  readonly rowWidth: number | undefined;
  /** m of the widest section. */
  readonly sectionWidth: number;
  /** 3 corrected, 2 differential, 1 alone; undefined = not told. */
  readonly rank: number | undefined;
  /** Whether positions are good enough to tell overlap and gaps from their own wander. */
  readonly isSharp: boolean;
  /** Stretches of work without positions to be trusted, and m² of them. */
  readonly lost: readonly Span[];
  readonly lostArea: number;
}

/** m between the lines on which areas are measured; slanted over an end they average it to centimetres. */
const LINES = 1;
/** m; pauses of the receiver are bridged over a drill's width, which no gap between neighbours is counted beyond. */
const BRIDGE = 20;

export function workedField(context: CoverageContext): WorkedField | undefined {
  const { channel, channels, episodes, setup, timeline, options } = context;
  const [latitude, longitude] = [channel('gnss.lat'), channel('gnss.lon')];
  if (latitude === undefined || longitude === undefined) return undefined;
  const lost = intersectSpans(unionSpans(...gnssLosses(context, logQualityOptions).map(({ spans }) => spans)), episodes.working);
  const { machine } = setup;
  const runs = machine.towers.reduce((sum, tower) => sum + tower.runs.length, 0);
  const rowWidth = machine.rowSpacing === undefined || runs === 0 ? undefined : runs * machine.rowSpacing;
  const width = machine.workingWidth ?? rowWidth;
  const positions = knownPositions(latitude, longitude, lost, width ?? BRIDGE);
  const ground = createGround({ ...positions, sections: channels('section.*.on'), setup, timeline, episodes });
  const ranks = valuesWithin(timeline.held('gnss.fix'), episodes.working).map((fix) => rankOfFix(Math.round(fix)));
  const rank = ranks.length === 0 ? undefined : median(ranks);
  const story = spacingStory(passSpacings(ground.track, episodes.passes), rank, options);
  return {
    ground, story, width, rowWidth, rank, lost,
    coverage: coverageOf(ground.swaths(), { spacing: LINES }),
    sectionWidth: Math.max(0, ...ground.strips.map(({ left, right }) => right - left)),
    isSharp: rank === undefined ? (story?.scatter ?? 0) <= options.roughScatter : rank >= 2,
    lostArea: groundIn(context, lost).area ?? 0,
  };
}
