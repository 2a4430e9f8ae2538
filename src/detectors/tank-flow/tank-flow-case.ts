import type { DetectorContext } from '../detector.ts';
import type { ProductDay } from '../rate/product-day.ts';
import type { WorkedGround } from '../rate/worked-ground.ts';
import { tankName } from '../scale/wording.ts';
import type { TankFlowMessage } from './messages.ts';
import type { TankFlowOptions } from './options.ts';

export type TankFlowContext = DetectorContext<TankFlowMessage, TankFlowOptions>;

export interface TankCase {
  readonly day: ProductDay;
  readonly all: readonly ProductDay[];
  readonly ground: WorkedGround | undefined;
}

export const nameOf = ({ track }: ProductDay): string => tankName(track.tank);
export const asSentence = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);
