import type { Channel } from '../../../shared/channel.ts';
import { keepSamples } from './log-loss.ts';
import type { ExpectedFinding } from './truth.ts';
import type { World } from './world.ts';

/** A stretch of a day as a day of its own, e.g. the shipped sample. `from` and `to` in seconds of the whole day; only findings that begin inside stay expected. */
export function cutWorld(world: World, from: number, to: number): World {
  const shifted = (value: ExpectedFinding['start']): ExpectedFinding['start'] => (value === undefined ? undefined : { value: value.value - from, tolerance: value.tolerance });
  const expected = world.truth.expected
    .filter((finding) => finding.start === undefined || (finding.start.value >= from && finding.start.value < to))
    .map((finding): ExpectedFinding => {
      const { start, end, areaHa, massKg, ...rest } = finding;
      const isWhole = areaHa !== undefined && end !== undefined && end.value <= to;
      const movedStart = shifted(start);
      const movedEnd = end === undefined || end.value > to ? undefined : shifted(end);
      return Object.assign({}, rest, movedStart === undefined ? {} : { start: movedStart }, movedEnd === undefined ? {} : { end: movedEnd }, isWhole ? { areaHa, ...(massKg === undefined ? {} : { massKg }) } : {});
    });
  return {
    ...world,
    channels: world.channels.map((channel): Channel => keepSamples(channel, (time) => time >= from && time <= to, -from)),
    dayStart: world.dayStart + from,
    duration: to - from,
    truth: { ...world.truth, expected },
    events: world.events.filter((event) => event.start < to && event.end > from).map((event) => Object.assign({}, event, { start: Math.max(0, event.start - from), end: Math.min(to, event.end) - from })),
    clocks: { cart: cutClock(world.clocks.cart, from), tractor: cutClock(world.clocks.tractor, from) },
  };
}

const cutClock = (clock: World['clocks']['cart'], from: number): World['clocks']['cart'] => ({ ...clock, offset: clock.offset + (clock.driftPerHour * from) / 3600 });
