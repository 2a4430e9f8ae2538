import type { Channel } from '../../../shared/channel.ts';
import type { Product, Setup, Tank } from '../../../shared/setup.ts';
import type { Timeline } from '../../episodes/timeline.ts';

/** What is needed to follow a tank; a detector's context is one. */
export interface TrackSource {
  readonly channel: (id: string) => Channel | undefined;
  readonly channels: (glob: string) => readonly Channel[];
  readonly timeline: Timeline;
  readonly setup: Setup;
}

/** What one tank's scale and meter did, second by second; the common ground of the checks on scale, rate and tank. */
export interface TankTrack {
  readonly tank: Tank;
  readonly product?: Product;
  /** Id of the meter that feeds from this tank. */
  readonly meter: string;
  /** kg, scale reading in each second; NaN = unknown. */
  readonly mass: Float64Array;
  /**
   * Turns of the meter that really fed in each second: shaft turns × share of the runs switched on; NaN = unknown.
   * Absent when neither turns nor speed of the meter are logged.
   */
  readonly feed?: Float64Array;
  /** `feed` summed up to the start of each second (one value more); unknown seconds add nothing. */
  readonly fed?: Float64Array;
  /** rad, nose up positive; absent when not logged. */
  readonly pitch?: Float64Array;
  /** Channels the track was made of. */
  readonly channels: readonly string[];
}

const tracksOf = new WeakMap<Timeline, readonly TankTrack[]>();

/** Every tank with a scale reading, by its number; computed once per day. */
export function tankTracks(source: TrackSource): readonly TankTrack[] {
  const known = tracksOf.get(source.timeline);
  if (known !== undefined) return known;
  const ids = [...source.channels('tank.*.mass'), ...source.channels('tank.*.cell.*')].map(({ id }) => id.split('.')[1] ?? '');
  const tracks = [...new Set(ids)].flatMap((id) => trackOf(id, source));
  tracksOf.set(source.timeline, tracks);
  return tracks;
}

function trackOf(id: string, source: TrackSource): readonly TankTrack[] {
  const { setup, timeline } = source;
  const whole = source.channel(`tank.${id}.mass`) === undefined ? undefined : timeline.mean(`tank.${id}.mass`);
  const cells = whole === undefined ? source.channels(`tank.${id}.cell.*`).map((cell) => cell.id) : [];
  const mass = whole ?? sumOf(cells.flatMap((cell) => timeline.mean(cell) ?? []));
  if (mass === undefined) return [];
  const tank = setup.machine.tanks.find((entry) => entry.id === id) ?? { id };
  const product = setup.job.products.find((entry) => entry.tank === id);
  const meter = tank.meter ?? id;
  const shaft = shaftTurns(meter, source);
  const feed = shaft === undefined ? undefined : withSections(shaft.turns, source);
  const pitch = source.channel('pitch') === undefined ? undefined : timeline.mean('pitch');
  return [{
    tank, meter, mass,
    ...(product === undefined ? {} : { product }),
    ...(feed === undefined ? {} : { feed, fed: runningSum(feed) }),
    ...(pitch === undefined ? {} : { pitch }),
    channels: [...(whole === undefined ? cells : [`tank.${id}.mass`]), ...(shaft === undefined ? [] : [shaft.channel])],
  }];
}

/** A tank whose cells are logged but not their sum. */
function sumOf(parts: readonly Float64Array[]): Float64Array | undefined {
  const [first, ...rest] = parts;
  return first?.map((value, k) => rest.reduce((sum, part) => sum + (part[k] as number), value));
}

/** Turns of a meter's shaft in each second: from its turn counter, else from its speed. */
function shaftTurns(meter: string, { channel, timeline }: TrackSource): { readonly turns: Float64Array; readonly channel: string } | undefined {
  const counterId = `meter.${meter}.turns`;
  const counter = channel(counterId) === undefined ? undefined : timeline.counter(counterId);
  if (counter !== undefined) {
    return { turns: Float64Array.from({ length: timeline.length }, (_, k) => Math.max(0, (counter[k + 1] as number) - (counter[k] as number))), channel: counterId };
  }
  const speedId = `meter.${meter}.speed`;
  const speed = channel(speedId) === undefined ? undefined : timeline.mean(speedId);
  return speed === undefined ? undefined : { turns: speed.map((rpm) => Math.max(0, rpm) / 60), channel: speedId };
}

/**
 * A section whose clutch is off takes its share of the product out of every turn of a common shaft; where each section has a
 * drive of its own, the logged turns are fewer already. Which of the two this cart is shows in turns per metre; likewise whether the
 * shaft stops with the last section or turns on for nothing.
 */
function withSections(shaft: Float64Array, source: TrackSource): Float64Array {
  const share = shareOn(source);
  if (share === undefined) return shaft;
  let [turned, fed] = [0, 0];
  for (let k = 0; k < shaft.length; k++) {
    const turns = shaft[k] as number;
    if (!(turns > 0)) continue;
    turned += turns;
    if ((share[k] as number) > 0) fed += turns;
  }
  /* Sections that read off most of the time this meter turns are not its sections. */
  if (fed < 0.5 * turned) return shaft;
  const speed = speedOf(source);
  const { isCommon, turnsOn } = speed === undefined ? { isCommon: false, turnsOn: false } : driveOf(shaft, share, speed);
  let off = 0;
  return shaft.map((turns, k) => {
    const on = share[k] as number;
    off = on === 0 ? off + 1 : 0;
    if (Number.isNaN(turns)) return turns;
    if (off > 0 && (turnsOn || off > RUN_OUT)) return 0;
    return on > 0 && isCommon ? turns * on : turns;
  });
}

/** s after the last section went off in which a shaft may still run out, and in which it shows whether it does. */
const RUN_OUT = 3;

/** Whether the turns per metre stay up while some of the sections are off, and while all of them are. */
function driveOf(shaft: Float64Array, share: Float64Array, speed: Float64Array): { readonly isCommon: boolean; readonly turnsOn: boolean } {
  let [fullTurns, fullWay, partTurns, partWay, partWayOn, offTurns, offWay] = [0, 0, 0, 0, 0, 0, 0];
  let off = 0;
  for (let k = 1; k < shaft.length; k++) {
    const turns = shaft[k] as number;
    const way = speed[k] as number;
    const on = share[k] as number;
    off = on === 0 ? off + 1 : 0;
    if (!(turns >= 0 && way > 0.5) || on !== share[k - 1]) continue;
    if (on === 1) {
      fullTurns += turns;
      fullWay += way;
    } else if (on > 0) {
      partTurns += turns;
      partWay += way;
      partWayOn += way * on;
    } else if (off <= RUN_OUT) {
      offTurns += turns;
      offWay += way;
    }
  }
  const perMetre = fullWay === 0 ? 0 : fullTurns / fullWay;
  return {
    isCommon: partTurns > 0 && Math.abs(partTurns - perMetre * partWay) < Math.abs(partTurns - perMetre * partWayOn),
    turnsOn: offTurns > 0.4 * perMetre * offWay,
  };
}

function speedOf({ channel, timeline }: TrackSource): Float64Array | undefined {
  const id = ['wheel.speed', 'gnss.speed', 'drive.speed', 'ground.speed'].find((name) => channel(name) !== undefined);
  return id === undefined ? undefined : timeline.mean(id);
}

/** Share of the runs whose section is commanded on, per second; a section whose state is unknown counts as on. */
function shareOn({ channels, timeline, setup }: TrackSource): Float64Array | undefined {
  const sections = channels('section.*.on').flatMap(({ id }) => {
    const state = timeline.held(id);
    const section = id.split('.')[1] ?? '';
    const runs = setup.machine.towers.filter((tower) => tower.section === section).reduce((sum, tower) => sum + tower.runs.length, 0);
    return state === undefined ? [] : [{ state, runs }];
  });
  if (sections.length === 0) return undefined;
  const mapped = sections.some(({ runs }) => runs > 0);
  const weights = sections.map(({ runs }) => (mapped ? runs : 1));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const share = new Float64Array(timeline.length);
  for (let k = 0; k < share.length; k++) {
    let on = 0;
    for (let s = 0; s < sections.length; s++) if ((sections[s]?.state[k] as number) !== 0) on += weights[s] as number;
    share[k] = on / total;
  }
  return share;
}

function runningSum(perSecond: Float64Array): Float64Array {
  const sum = new Float64Array(perSecond.length + 1);
  for (let k = 0; k < perSecond.length; k++) {
    const value = perSecond[k] as number;
    sum[k + 1] = (sum[k] as number) + (value > 0 ? value : 0);
  }
  return sum;
}
