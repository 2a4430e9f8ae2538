import { counted } from '../../../shared/verdict.ts';
import { defineDetector, type DetectorOutcome } from '../detector.ts';
import { productDays } from '../rate/product-day.ts';
import { workedGround } from '../rate/worked-ground.ts';
import { crossings, reportCrossing } from './crossed.ts';
import { messages } from './messages.ts';
import { defaults } from './options.ts';
import { tankPressures } from './pressure.ts';
import { reportPressures } from './pressure-finding.ts';
import { reportRunsOn } from './runs-on.ts';
import { reportStops } from './stop-finding.ts';

export const tankFlow = defineDetector({
  meta: {
    id: 'tank-flow',
    title: 'Tanks and their flow',
    docs: {
      what: 'Whether every tank gave product while its meter turned and none while it stood, whether it held its pressure, and whether meters and tanks belong together.',
      why: 'Product that hangs over a turning meter leaves 0.24 ha bare every minute while the controller shows the rate; a lid not shut thins a whole load.',
      how: 'The turns promise kilograms: where the scale lags behind them by more than bounce and wander, or the runs of a counted product fall silent while the meter feeds, product hung or was out. Counts after the meter stopped, beyond the hoses’ emptying, are a leak. Pressure is compared at equal fan speed (p ∝ rpm²), with the tank’s own best hours and the fan’s other tanks.',
      fooledBy: 'Rates so low that the scale cannot follow, for products that are not counted; vibration that all sensors count; a gauge line that is blocked rather than a tank that leaks.',
      source: 'Fan laws: process-heating.com, nrmurphy.com; flowing grain and entry: extension bulletins behind cautions K5 and K7; thresholds: common practice, no source.',
    },
    codes: ['tank.bridged', 'tank.ran-out', 'tank.runs-on', 'tank.pressure-low', 'tank.pressure-zero-off', 'tank.meter-crossed'],
    requires: ['tank.*.mass|tank.*.cell.*|tank.*.pressure'],
    messages,
  },
  defaults,
  detect: (context): DetectorOutcome => {
    const ground = workedGround(context, context.episodes);
    const days = productDays(context);
    const crossed = crossings(days, context.options.crossed);
    for (const crossing of crossed) reportCrossing(crossing, context);
    const confused = new Set(crossed.flatMap(({ day, other }) => [day, other]));
    for (const day of days) {
      /* With the wrong meter every tank seems to hang or to run on. */
      if (confused.has(day)) continue;
      reportStops({ day, all: days, ground }, context);
      reportRunsOn({ day, all: days, ground }, context);
    }
    const pressures = tankPressures(context);
    reportPressures(pressures, ground, context);
    const unseen = [
      ...(days.every(({ track }) => track.fed === undefined) ? ['No turns of a meter are logged, so flow could not be followed.'] : []),
      ...(pressures.length === 0 ? ['No tank pressure with a fan speed is logged.'] : []),
    ];
    if (unseen.length === 2) return { status: 'not-logged', why: unseen.join(' ') };
    return { status: 'ran', why: unseen.length === 0 ? context.say('followed', { flows: counted(days.length, 'tank'), pressures: counted(pressures.length, 'tank') }) : unseen.join(' ') };
  },
});
