import type { DetectorContext } from '../detector.ts';
import type { Applied } from './applied.ts';
import type { RateMessage } from './messages.ts';
import type { RateOptions } from './options.ts';
import type { ProductDay } from './product-day.ts';
import type { PerTurnStory } from './regimes.ts';
import type { WorkedGround } from './worked-ground.ts';

export type RateContext = DetectorContext<RateMessage, RateOptions>;

/** Everything known of one product's rate. */
export interface RateCase {
  readonly day: ProductDay;
  readonly story: PerTurnStory;
  /** One for each regime of the story. */
  readonly applied: readonly Applied[];
  readonly ground: WorkedGround | undefined;
}

export const subjectOf = ({ day }: RateCase): string => `tank.${day.track.tank.id}`;
