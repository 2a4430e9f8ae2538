import type { Span } from '../../shared/span.ts';
import { hysteresisSpans } from '../series/hysteresis.ts';
import { contains } from '../series/spans.ts';
import type { Fill } from './episodes.ts';
import type { ScaleJump } from './scale-jumps.ts';
import { levelOf, WANDER_TIME, type TankScale } from './tank-scale.ts';

/*
 * A fill is a rise of the scale that is a ramp (trade.md F19: 100–2,000 kg/min; by hand less), is large against what tilt, wind and people do, and stays.
 * The thresholds are common practice, no source, unless one is named.
 */
/** kg/s, over 20 s, at which a rise is looked at and at which it has ended. */
const RISING = 0.4;
const RISEN = 0.15;
const REACH = 10;
/** kg; a smaller rise is wander, and does not link two loads. */
const LEAST_RAMP = 20;
/** kg, standing: more than a person on the frame. */
const LEAST_STANDING = 80;
/** kg and share of the load, moving: tilt and slope swing 2.7 % of the load between 7° up and down (0.15 %/deg and 1 − cos, trade.md F17). */
const LEAST_MOVING = 150;
const LEAST_MOVING_SHARE = 0.04;
/** kg across a pause of the log of at least this many seconds. */
const LEAST_UNSEEN = 200;
const LONG_PAUSE = 60;
/** Standard uncertainties a fill must exceed. */
const LEAST_SIGMAS = 5;
/** A rise within 5 s is somebody's key (zero, tare) or foot, not product (F12: 1–5 s): its middle three fifths take at most 3 s. */
const LONGEST_JUMP = 5;
const MOST_OF_RISE = 0.85;
const MIDDLE_OF_RISE = [0.2, 0.8] as const;
/** s; pauses of the auger, standing and moving. */
const PAUSE_STANDING = 90;
const PAUSE_MOVING = 20;
/** s of level read on either side, at most, and the least that will do. */
const LEVEL = 120;
const SHORTEST_LEVEL = 8;
/** kg, slow wander of a moving scale (trade.md f.1: 5–35). */
const WANDER_MOVING = 25;
/** Share of the rise that must still be there one to two minutes later, and already be missing as long before. */
const STAYS = 0.4;

interface TankDay {
  readonly tank: string;
  readonly scale: TankScale;
  readonly parked: readonly Span[];
  readonly jumps: readonly ScaleJump[];
}

export function fillsOf(day: TankDay): readonly Fill[] {
  const { scale, parked } = day;
  const ramps = joinRamps(rampsOf(scale.calm).filter((ramp) => !isJump(ramp, day)), parked).flatMap((ramp) => fillOn(day, ramp));
  const unseen = pausesOf(scale.mass).flatMap((pause) => fillDuring(day, pause));
  return [...ramps, ...unseen.filter((each) => !ramps.some((ramp) => ramp.start < each.end && each.start < ramp.end))]
    .toSorted((a, b) => a.start - b.start);
}

function rampsOf(calm: Float64Array): Span[] {
  const seconds = new Float64Array(calm.length);
  const rise = new Float64Array(calm.length).fill(Number.NaN);
  for (let k = 0; k < seconds.length; k++) seconds[k] = k;
  for (let k = REACH; k + REACH < rise.length; k++) rise[k] = ((calm[k + REACH] as number) - (calm[k - REACH] as number)) / (2 * REACH);
  return hysteresisSpans(seconds, rise, { enter: RISING, leave: RISEN, side: 'above' })
    .filter(({ start, end }) => (calm[end + REACH] ?? Number.NaN) - (calm[start - REACH] ?? Number.NaN) >= LEAST_RAMP);
}

/** All of the rise came at one stroke: a minute after a fill it is not its last part. */
function isJump({ start, end }: Span, { scale: { calm }, jumps }: TankDay): boolean {
  const rise = (calm[end + REACH] ?? Number.NaN) - (calm[start - REACH] ?? Number.NaN);
  return jumps.some(({ time, step }) => time >= start && time <= end && step > MOST_OF_RISE * rise);
}

function joinRamps(ramps: readonly Span[], parked: readonly Span[]): Span[] {
  const joined: Span[] = [];
  for (const ramp of ramps) {
    const last = joined.at(-1);
    const pause = last === undefined ? Infinity : ramp.start - last.end;
    const stands = last !== undefined && contains(parked, last.end) && contains(parked, ramp.start);
    if (last !== undefined && pause < (stands ? PAUSE_STANDING : PAUSE_MOVING)) joined[joined.length - 1] = { start: last.start, end: ramp.end };
    else joined.push(ramp);
  }
  return joined;
}

function fillOn({ tank, scale, parked, jumps }: TankDay, ramp: Span): Fill[] {
  const { calm } = scale;
  const rough = { before: levelOf(scale, ramp.start - LEVEL / 4, ramp.start), after: levelOf(scale, ramp.end, ramp.end + LEVEL / 4) };
  const span = edgesOf(calm, ramp, rough.before.mass, rough.after.mass);
  if (span === undefined) return [];
  const moving = !parked.some(({ start, end }) => start <= span.start + 5 && span.end - 5 <= end);
  const before = levelBeside({ scale, parked, jumps }, span.start, -1, moving);
  const after = levelBeside({ scale, parked, jumps }, span.end, 1, moving);
  if (before.seconds < SHORTEST_LEVEL || after.seconds < SHORTEST_LEVEL) return [];
  const step = after.mass - before.mass;
  const least = moving ? Math.max(LEAST_MOVING, LEAST_MOVING_SHARE * after.mass) : LEAST_STANDING;
  const drift = moving ? WANDER_MOVING : scale.wander * Math.sqrt(1 - Math.exp(-(span.end - span.start + LEVEL / 2) / WANDER_TIME));
  const uncertainty = Math.hypot(before.uncertainty, after.uncertainty, Math.SQRT2 * drift, scale.sway * step);
  if (!(step >= least) || step < LEAST_SIGMAS * uncertainty) return [];
  if (riseTime(calm, span, before.mass, step) <= 0.6 * LONGEST_JUMP || !stays(calm, span, before.mass, step, moving)) return [];
  return [{ ...span, tank, before: before.mass, after: after.mass, uncertainty, ...(moving ? { moving } : {}) }];
}

/** From the last second at the old level to the first at the new one. */
function edgesOf(calm: Float64Array, ramp: Span, before: number, after: number): Span | undefined {
  const margin = Math.min(30, Math.max(10, 0.03 * (after - before)));
  const half = (before + after) / 2;
  let middle = Math.max(0, Math.floor(ramp.start));
  while (middle < ramp.end + REACH && !((calm[middle] as number) >= half)) middle++;
  if (!(after > before) || middle >= calm.length) return undefined;
  let start = middle;
  while (start > 0 && start > ramp.start - REACH && (calm[start] as number) > before + margin) start--;
  let end = middle;
  while (end < calm.length - 1 && end < ramp.end + REACH && (calm[end] as number) < after - margin) end++;
  return { start, end: end + 1 };
}

/** The level next to a fill: of the standing time there, or of a minute of driving, carried to the fill along its slope. */
function levelBeside(day: Pick<TankDay, 'scale' | 'parked' | 'jumps'>, edge: number, side: -1 | 1, moving: boolean) {
  const { scale, parked, jumps } = day;
  const stop = parked.find(({ start, end }) => start <= edge + 5 && edge - 5 <= end);
  let reach = moving || stop === undefined ? LEVEL / 2 : Math.min(LEVEL, side < 0 ? edge - stop.start : stop.end - edge);
  for (const { time } of jumps) {
    const away = (time - edge) * side - LONGEST_JUMP;
    if (away > 0 && away < reach) reach = away;
  }
  if (!moving && reach < SHORTEST_LEVEL) reach = LEVEL / 4;
  return side < 0 ? levelOf(scale, edge - reach, edge - 2) : levelOf(scale, edge + 2, edge + reach);
}

/** Seconds in which the reading goes through the middle of the step. */
function riseTime(calm: Float64Array, { start, end }: Span, before: number, step: number): number {
  let first = end;
  let last = start;
  for (let k = Math.max(0, start - 1); k < Math.min(calm.length, end + 2); k++) {
    const share = ((calm[k] as number) - before) / step;
    if (share > MIDDLE_OF_RISE[0] && share < MIDDLE_OF_RISE[1]) {
      first = Math.min(first, k);
      last = Math.max(last, k);
    }
  }
  return last < first ? 0 : last - first + 1;
}

/** A swing over a hill or a bump comes back; product stays, less what is metered meanwhile. */
function stays(calm: Float64Array, { start, end }: Span, before: number, step: number, moving: boolean): boolean {
  const later = middleReading(calm, end + 60, end + 120);
  if (later - before < STAYS * step) return false;
  if (!moving) return true;
  const earlier = middleReading(calm, start - 120, start - 60);
  return !(before + step - earlier < STAYS * step);
}

function middleReading(calm: Float64Array, from: number, to: number): number {
  const known = calm.subarray(Math.max(0, from), Math.max(0, to)).filter((each) => !Number.isNaN(each)).sort();
  return known[known.length >> 1] ?? Number.NaN;
}

/** Stretches of a minute or more without a reading. */
function pausesOf(mass: Float64Array): Span[] {
  const pauses: Span[] = [];
  let last = -1;
  for (let k = 0; k < mass.length; k++) {
    if (Number.isNaN(mass[k] as number)) continue;
    if (last >= 0 && k - last > LONG_PAUSE) pauses.push({ start: last + 1, end: k });
    last = k;
  }
  return pauses;
}

/** Loaded while nothing was logged: the reading after the pause is far higher, and not a plain zero. */
function fillDuring({ tank, scale }: TankDay, { start, end }: Span): Fill[] {
  const before = levelOf(scale, start - LEVEL / 2, start);
  const after = levelOf(scale, end, end + LEVEL / 2);
  const step = after.mass - before.mass;
  const uncertainty = Math.hypot(before.uncertainty, after.uncertainty, Math.SQRT2 * WANDER_MOVING, scale.sway * step);
  const zeroed = Math.abs(after.mass) <= Math.max(LEAST_STANDING / 2, 4 * after.uncertainty);
  const least = Math.max(LEAST_UNSEEN, LEAST_MOVING_SHARE * after.mass, LEAST_SIGMAS * uncertainty);
  return step >= least && !zeroed ? [{ start, end, tank, before: before.mass, after: after.mass, uncertainty }] : [];
}
