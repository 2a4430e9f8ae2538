import type { Episodes } from '../../episodes/episodes.ts';
import { median } from '../../series/robust.ts';
import { levelsOfDay } from './history.ts';
import { dayHistory } from './levels.ts';
import type { SpeedOptions } from './options.ts';
import type { WheelWay } from './wheel.ts';
import { ratioWindows } from './windows.ts';

/** The controller's own figure against pulses × the constant in the setup. */
export interface EntryComparison {
  /** ln(controller ÷ pulses × constant). */
  readonly difference: number;
  /** When the two parted, s; undefined = they did not. Either the number in the controller was changed, or pulses were lost to one of them. */
  readonly changed: number | undefined;
}

/** Both come from the same pulses, so that slip cancels and a changed entry shows sharply. A test speed is no entry: it never moves. */
export function entryCompared(controller: WheelWay, judged: WheelWay, { steady, working }: Episodes, options: SpeedOptions): EntryComparison | undefined {
  const windows = ratioWindows({ wheel: controller.speed, ground: judged.speed, lag: 0, steady, working }, options)
    .filter(({ start, end, lifted }) => !lifted && !isConstant(controller.speed.subarray(start, end)));
  if (windows.length < options.fewestWindows) return undefined;
  const { base } = dayHistory(levelsOfDay(windows, options), options.sameLevel);
  return { difference: median(windows.map(({ logRatio }) => logRatio)), changed: base.length === 2 ? base[1]?.start : undefined };
}

const isConstant = (values: Float64Array): boolean => values.every((value) => value === values[0]);
