import type { Channel } from '../../../shared/channel.ts';
import type { WheelConstant } from '../../../shared/setup.ts';
import type { Timeline } from '../../episodes/timeline.ts';

/** The way the wheel claims second by second, m in each second; NaN where nothing is known. */
export interface WheelWay {
  readonly speed: Float64Array;
  /** `pulses` × entered constant, or what the controller made of them. */
  readonly route: 'pulses' | 'distance' | 'speed';
  readonly channel: string;
  readonly constant?: WheelConstant;
}

export interface WheelWays {
  /** What is judged. */
  readonly judged: WheelWay;
  /** The controller's own figure, when pulses were logged as well. */
  readonly controller?: WheelWay;
}

/** The routes from the wheel to a distance that this log and this setup allow; pulses first, since they come before any setting. */
export function wheelWays(timeline: Timeline, channel: (id: string) => Channel | undefined, constant: WheelConstant | undefined): WheelWays | undefined {
  const pulses = channel('wheel.pulses') === undefined || constant === undefined ? undefined : timeline.counter('wheel.pulses');
  const controller = controllerWay(timeline, channel, constant);
  if (pulses === undefined || constant === undefined) return controller === undefined ? undefined : { judged: controller };
  const judged: WheelWay = { speed: steps(pulses, 1 / constant.pulsesPerMetre), route: 'pulses', channel: 'wheel.pulses', constant };
  return controller === undefined ? { judged } : { judged, controller };
}

/** Pulses taken as metres, when no constant was entered. */
export function bareWheelWay(timeline: Timeline): WheelWay | undefined {
  const pulses = timeline.counter('wheel.pulses');
  return pulses === undefined ? undefined : { speed: steps(pulses, 1), route: 'pulses', channel: 'wheel.pulses' };
}

function controllerWay(timeline: Timeline, channel: (id: string) => Channel | undefined, constant: WheelConstant | undefined): WheelWay | undefined {
  const entered = constant === undefined ? {} : { constant };
  if (channel('wheel.distance') !== undefined) {
    const way = timeline.counter('wheel.distance');
    if (way !== undefined) return { speed: steps(way, 1), route: 'distance', channel: 'wheel.distance', ...entered };
  }
  if (channel('wheel.speed') === undefined) return undefined;
  const speed = timeline.mean('wheel.speed');
  return speed === undefined ? undefined : { speed, route: 'speed', channel: 'wheel.speed', ...entered };
}

/** What a counter gains in each second, times `factor`. */
function steps(counter: Float64Array, factor: number): Float64Array {
  const gained = new Float64Array(counter.length - 1);
  for (let k = 0; k < gained.length; k++) gained[k] = ((counter[k + 1] as number) - (counter[k] as number)) * factor;
  return gained;
}
