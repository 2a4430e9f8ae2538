import { formatNumber } from '../../../shared/text.ts';
import type { DetectorContext } from '../detector.ts';
import type { GroundSpeed } from './ground.ts';
import type { SpeedMessage } from './messages.ts';
import type { SpeedOptions } from './options.ts';
import type { WheelStory } from './story.ts';
import type { WheelWay } from './wheel.ts';

export type SpeedContext = DetectorContext<SpeedMessage, SpeedOptions>;

/** What every finding of this check is made from. */
export interface SpeedCase {
  readonly story: WheelStory;
  readonly way: WheelWay;
  readonly ground: GroundSpeed;
  readonly channels: readonly string[];
  /** The controller's own figure is this far from pulses × entered constant, as a ratio; 0 = agrees or not logged. */
  readonly controllerOff: number;
  /** When the number in the controller was changed, s; undefined = it was not. */
  readonly entryChanged: number | undefined;
}

/** ln ratio → `1.0638`. */
export const asRatio = (log: number): string => formatNumber(Math.exp(log), 4);
/** ln ratio → size of the deviation in percent, `6.4`. */
export const asPercent = (log: number): string => formatNumber(Math.abs(100 * Math.expm1(log)), 1);
export const asDirection = (log: number): string => (log > 0 ? 'high' : 'low');
