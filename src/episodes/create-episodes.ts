import type { Day } from '../../shared/day.ts';
import type { Setup } from '../../shared/setup.ts';
import type { Episodes } from './episodes.ts';
import { fillsOf } from './filling.ts';
import { once, oncePerKey } from './memo.ts';
import { meteringSpans } from './metering.ts';
import { motionOf } from './motion.ts';
import { parkedSpans } from './parked.ts';
import { passesOf } from './passes.ts';
import { quietReadings } from './quiet.ts';
import { scaleJumps } from './scale-jumps.ts';
import { sectionSwitches } from './section-switching.ts';
import { steadySpans } from './steady.ts';
import { tankScale } from './tank-scale.ts';
import type { Timeline } from './timeline.ts';
import { turningSpans } from './turning.ts';
import { workOf } from './working.ts';

/** The day's stretches of meaning, each computed when first asked for. */
export function createEpisodes(day: Pick<Day, 'channels'>, setup: Setup, timeline: Timeline): Episodes {
  const { channels } = day;
  const motion = once(() => motionOf(timeline, setup));
  const metering = oncePerKey((meter) => meteringSpans(timeline, meter));
  const parked = once(() => parkedSpans(motion()));
  const turning = once(() => turningSpans(motion()));
  const work = once(() => workOf(timeline, channels, motion(), metering));
  const passes = once(() => passesOf(work(), turning(), motion()));
  const steady = once(() => steadySpans(timeline, motion()));
  const switches = once(() => sectionSwitches(channels));

  const scale = oncePerKey((tank) => tankScale(timeline, channels, tank, parked()));
  const jumps = oncePerKey((tank) => {
    const itsScale = scale(tank);
    return itsScale === undefined ? [] : scaleJumps(itsScale, parked());
  });
  const fills = oncePerKey((tank) => {
    const itsScale = scale(tank);
    return itsScale === undefined ? [] : fillsOf({ tank, scale: itsScale, parked: parked(), jumps: jumps(tank) });
  });
  const quiet = oncePerKey((tank) => {
    const itsScale = scale(tank);
    if (itsScale === undefined) return [];
    const meter = setup.machine.tanks.find(({ id }) => id === tank)?.meter ?? tank;
    return quietReadings({ scale: itsScale, parked: parked(), metering: metering(meter), fills: fills(tank), jumps: jumps(tank) });
  });

  return {
    get working() { return work().working; },
    get passes() { return passes(); },
    get turning() { return turning(); },
    get steady() { return steady(); },
    get parked() { return parked(); },
    get switches() { return switches(); },
    fills, quiet, metering,
  };
}
