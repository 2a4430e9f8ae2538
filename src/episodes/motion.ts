import type { Setup } from '../../shared/setup.ts';
import type { Timeline } from './timeline.ts';

/** How the machine moved, second by second; NaN = unknown. */
export interface Motion {
  /** m/s: GNSS, or where it is missing or frozen the next best of ground, wheel and driveline speed. */
  readonly speed: Float64Array;
  /** m/s by GNSS alone, NaN while it is frozen; undefined = not logged. */
  readonly gnss: Float64Array | undefined;
  /** m/s by the cart's own wheel, from speed, distance or pulses; undefined = not logged. */
  readonly wheel: Float64Array | undefined;
  /** rad from north, clockwise, without jumps of a full turn; NaN at a crawl, where a course means nothing. */
  readonly course: Float64Array;
  /** rad/s, clockwise, over about 4 s. */
  readonly yawRate: Float64Array;
}

/** m/s below which a course is noise. */
const CRAWL = 0.5;
const METRES_PER_DEGREE = 111_200;
/** A position that stays put to this many degrees (2 mm) … */
const SAME_PLACE = 2e-8;
/** … for this long while something else moves is frozen, s. */
const FROZEN_AFTER = 5;

export function motionOf(timeline: Timeline, setup: Setup): Motion {
  const positions = positionsOf(timeline);
  const wheel = wheelSpeed(timeline, setup);
  const rolling = [wheel, timeline.mean('ground.speed')].filter((each) => each !== undefined);
  const others = [...rolling, timeline.mean('drive.speed')].filter((each) => each !== undefined);
  const logged = timeline.mean('gnss.speed') ?? (positions === undefined ? undefined : speedFrom(positions));
  const gnss = logged === undefined ? undefined : withoutFrozen(logged, positions, rolling);
  const speed = firstKnown(timeline.length, gnss === undefined ? others : [gnss, ...others]);
  const angles = timeline.mean('gnss.course') ?? timeline.mean('heading') ?? (positions === undefined ? undefined : courseFrom(positions));
  const course = angles === undefined ? new Float64Array(timeline.length).fill(Number.NaN) : continuous(angles, speed);
  return { speed, gnss, wheel, course, yawRate: rateOf(course, 2) };
}

/** The cart wheel's own speed, m/s per second of the day. */
export function wheelSpeed(timeline: Timeline, setup: Setup): Float64Array | undefined {
  const speed = timeline.mean('wheel.speed');
  if (speed !== undefined) return speed;
  const distance = timeline.counter('wheel.distance');
  if (distance !== undefined) return differences(distance, 1);
  const pulses = timeline.counter('wheel.pulses');
  const constant = setup.machine.wheel?.constant.pulsesPerMetre;
  return pulses === undefined || constant === undefined ? undefined : differences(pulses, 1 / constant);
}

/** What a counter gained in each second, times `factor`. */
export function differences(counter: Float64Array, factor: number): Float64Array {
  const gained = new Float64Array(Math.max(0, counter.length - 1));
  for (let k = 0; k < gained.length; k++) gained[k] = ((counter[k + 1] as number) - (counter[k] as number)) * factor;
  return gained;
}

/** Metres north and east, good enough for speeds and courses within a field. */
interface Positions {
  readonly north: Float64Array;
  readonly east: Float64Array;
  readonly lat: Float64Array;
  readonly lon: Float64Array;
}

function positionsOf(timeline: Timeline): Positions | undefined {
  const lat = timeline.mean('gnss.lat');
  const lon = timeline.mean('gnss.lon');
  if (lat === undefined || lon === undefined) return undefined;
  const first = lat.find(Number.isFinite) ?? 0;
  const shrink = Math.cos((first * Math.PI) / 180);
  return { lat, lon, north: lat.map((each) => each * METRES_PER_DEGREE), east: lon.map((each) => each * METRES_PER_DEGREE * shrink) };
}

/** Central differences over 4 s: a position noise of 0.3 m makes 0.1 m/s. */
function speedFrom({ north, east }: Positions): Float64Array {
  return north.map((_, k) => Math.hypot(slopeAt(north, k, 2), slopeAt(east, k, 2)));
}

function courseFrom({ north, east }: Positions): Float64Array {
  return north.map((_, k) => Math.atan2(slopeAt(east, k, 2), slopeAt(north, k, 2)));
}

function slopeAt(values: Float64Array, k: number, reach: number): number {
  return ((values[k + reach] ?? Number.NaN) - (values[k - reach] ?? Number.NaN)) / (2 * reach);
}

/** GNSS speed without the stretches in which the receiver repeats one position although it, or the cart's wheel, says the machine moves. */
function withoutFrozen(speed: Float64Array, positions: Positions | undefined, others: readonly Float64Array[]): Float64Array {
  if (positions === undefined) return speed;
  const { lat, lon } = positions;
  const clean = speed.slice();
  let since = 0;
  let moving = 0;
  for (let k = 1; k <= speed.length; k++) {
    const same = k < speed.length && Math.abs((lat[k] as number) - (lat[since] as number)) <= SAME_PLACE
      && Math.abs((lon[k] as number) - (lon[since] as number)) <= SAME_PLACE;
    if (same) {
      if ((speed[k] as number) > CRAWL || others.some((other) => (other[k] as number) > CRAWL)) moving++;
      continue;
    }
    if (k - since >= FROZEN_AFTER && moving >= FROZEN_AFTER - 1) clean.fill(Number.NaN, since, k);
    since = k;
    moving = 0;
  }
  return clean;
}

function firstKnown(length: number, sources: readonly Float64Array[]): Float64Array {
  const best = new Float64Array(length).fill(Number.NaN);
  for (const source of sources) {
    for (let k = 0; k < length; k++) if (Number.isNaN(best[k] as number)) best[k] = source[k] as number;
  }
  return best;
}

/** The angle without jumps, at moving speed only. Over a pause the shorter way round is taken. */
function continuous(angles: Float64Array, speed: Float64Array): Float64Array {
  const course = new Float64Array(angles.length).fill(Number.NaN);
  let last = Number.NaN;
  for (let k = 0; k < angles.length; k++) {
    const angle = angles[k] as number;
    if (!((speed[k] as number) > CRAWL) || Number.isNaN(angle)) continue;
    last = Number.isNaN(last) ? angle : last + wrapped(angle - last);
    course[k] = last;
  }
  return course;
}

const wrapped = (angle: number): number => angle - 2 * Math.PI * Math.round(angle / (2 * Math.PI));

/** Change per second between the outermost known values within `reach` s either side; NaN when they lie closer than `reach`. */
function rateOf(values: Float64Array, reach: number): Float64Array {
  const rate = new Float64Array(values.length).fill(Number.NaN);
  for (let k = 0; k < values.length; k++) {
    let from = Math.max(0, k - reach);
    let to = Math.min(values.length - 1, k + reach);
    while (from < to && Number.isNaN(values[from] as number)) from++;
    while (from < to && Number.isNaN(values[to] as number)) to--;
    if (to - from >= reach) rate[k] = ((values[to] as number) - (values[from] as number)) / (to - from);
  }
  return rate;
}
