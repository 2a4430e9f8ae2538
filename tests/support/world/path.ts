import { createFarm, liftAt, lowerAt } from './land.ts';
import type { Farm, Lane } from './land.ts';
import { AFT, STEP, WIDTH } from './machine.ts';
import { clockOf, dayLength } from './plan.ts';
import type { DayPlan, Task } from './plan.ts';
import { wander } from './random.ts';
import type { Random } from './random.ts';
import { ACCELERATION, createTractor } from './tractor.ts';
import type { Tractor } from './tractor.ts';
import { PARKED, PASS, ROAD, TURN } from './track.ts';
import type { Stretch, Track } from './track.ts';

const KMH = 1 / 3.6;
const TURN_SPEED = 6.4 * KMH;
const ROAD_SPEED = 12.5 * KMH;
/** m before a lane's first boundary at which the antenna is lined up. */
const RUN_IN = 24;

type TaskOf<D extends Task['do']> = Extract<Task, { readonly do: D }>;

/** The driver's place in the work, kept from task to task. */
interface Work {
  lane: number;
  inLane: boolean;
}

interface Driver {
  readonly plan: DayPlan;
  readonly farm: Farm;
  readonly tractor: Tractor;
  readonly stretches: Stretch[];
  readonly work: Work;
  readonly at: (clock: string) => number;
  /** Unsteadiness of the foot, m/s, and of the steering, m. */
  readonly foot: (seconds: number) => number;
  readonly hand: (seconds: number) => number;
  readonly random: Random;
}

/** Drives the day's agenda. */
export function drive(plan: DayPlan, random: Random): Track {
  const farm = createFarm(plan);
  const stretches: Stretch[] = [];
  const first = farm.lane(0);
  const tractor = createTractor(dayLength(plan), stretches, farm, { east: first.east - 60, north: first.north - 70, heading: 0 });
  const driver: Driver = {
    plan, farm, tractor, stretches, random, at: clockOf(plan), work: { lane: 0, inLane: false },
    foot: wander(random, 0.083, 20), hand: wander(random, plan.land?.steering ?? 0.02, 25),
  };
  for (const task of plan.agenda) perform(driver, task);
  park(driver, { do: 'park', until: plan.to, fans: true });
  tractor.standUntil(Number.POSITIVE_INFINITY);
  return tractor.track;
}

function perform(driver: Driver, task: Task): void {
  switch (task.do) {
    case 'park': return park(driver, task);
    case 'road': return road(driver, task);
    case 'seed': return seed(driver, task);
    case 'stuck': return stuck(driver, task);
    case 'prime': return prime(driver, task);
    case 'pause': return driver.tractor.standUntil(driver.tractor.time() + task.seconds);
  }
}

/** Comes to a stand, still in work when in a lane. */
function stop({ tractor }: Driver, end: number): void {
  tractor.standUntil(Math.min(end, tractor.time() + Math.max(0, tractor.state.speed) / (2 * ACCELERATION) + STEP));
}

function park(driver: Driver, task: TaskOf<'park'>): void {
  const { state, standUntil } = driver.tractor;
  const end = driver.at(task.until);
  stop(driver, end);
  state.activity = PARKED;
  state.working = 0;
  state.fansOn = task.fans === true ? 1 : 0;
  state.engineOn = task.engine === false ? 0 : 1;
  standUntil(end);
  state.engineOn = 1;
  state.fansOn = 1;
}

/** Out and back along a track beside the fields, so that the day goes on where it was. */
function road(driver: Driver, task: TaskOf<'road'>): void {
  const { tractor } = driver;
  const end = driver.at(task.until);
  tractor.state.activity = ROAD;
  tractor.state.testSpeed = task.testSpeed === undefined ? Number.NaN : task.testSpeed * KMH;
  const home = { east: tractor.state.east, north: tractor.state.north };
  tractor.goTo(home.east - 30, home.north - task.metres / 2, ROAD_SPEED, end);
  tractor.goTo(home.east, home.north, ROAD_SPEED, end);
  tractor.state.testSpeed = Number.NaN;
  tractor.state.activity = PARKED;
  tractor.standUntil(end);
}

/** Parked, the meters turned at a made-up speed to fill the hoses or for a catch test. */
function prime({ tractor }: Driver, task: TaskOf<'prime'>): void {
  tractor.state.activity = PARKED;
  tractor.state.testSpeed = task.kmh * KMH;
  tractor.standUntil(tractor.time() + task.seconds);
  tractor.state.testSpeed = Number.NaN;
}

/** Stuck in a wet hole: wheels spin, then backwards with the tool still down. */
function stuck(driver: Driver, task: TaskOf<'stuck'>): void {
  const { tractor } = driver;
  const end = driver.at(task.until);
  stop(driver, end);
  tractor.state.spinning = 0.95;
  tractor.standUntil(Math.min(end, tractor.time() + 90));
  tractor.state.spinning = 0;
  const target = tractor.state.along - task.back;
  while (!tractor.done() && tractor.state.along > target && tractor.time() < end) {
    tractor.state.speed = -0.5;
    tractor.coast();
  }
  tractor.state.speed = 0;
  tractor.standUntil(end);
}

function enterLane({ farm, tractor, stretches, work }: Driver): void {
  const lane = farm.lane(work.lane);
  work.inLane = true;
  tractor.state.stretch = stretches.push(lane.stretch) - 1;
  tractor.state.along = (tractor.state.east - lane.east) * Math.sin(lane.heading) + (tractor.state.north - lane.north) * Math.cos(lane.heading);
}

/** From the end of one lane to the line of the next, lifted. */
function changeLane(driver: Driver): void {
  const { farm, tractor, work } = driver;
  const { state } = tractor;
  const lane = farm.lane(work.lane);
  const next = farm.lane(work.lane + 1);
  state.activity = TURN;
  state.working = 0;
  state.stretch = -1;
  /* How far to the right the next lane lies, here and now. */
  const right = (next.east - state.east) * Math.cos(lane.heading) - (next.north - state.north) * Math.sin(lane.heading);
  const isOpposite = Math.cos(next.heading - lane.heading) < -0.99;
  const beside = right + next.bend(0) * -1;
  if (isOpposite && Math.abs(beside) < 25) {
    const radius = Math.abs(beside) / 2;
    tractor.turn(Math.sign(beside) * Math.PI, radius, TURN_SPEED);
  } else lineUp(driver, next, Number.POSITIVE_INFINITY);
  work.lane++;
  state.heading = next.heading;
  enterLane(driver);
}

function lineUp({ tractor }: Driver, lane: Lane, end: number): void {
  const back = (metres: number): [number, number] => [lane.east - Math.sin(lane.heading) * metres, lane.north - Math.cos(lane.heading) * metres];
  tractor.goTo(...back(RUN_IN + 22), 2, end);
  tractor.goTo(...back(RUN_IN), 2, end);
}

function seed(driver: Driver, task: TaskOf<'seed'>): void {
  const { plan, farm, tractor, work, random } = driver;
  const { state } = tractor;
  const end = task.until === undefined ? dayLength(plan) : driver.at(task.until);
  const waver = task.wavering === undefined ? undefined : wander(random, task.wavering * KMH, 240);
  const begun = tractor.time();
  const from = (task.kmh ?? 8) * KMH;
  const to = (task.kmhEnd ?? task.kmh ?? 8) * KMH;
  const slowEvery = task.slowExits === undefined ? 0 : Math.floor(92 / task.slowExits);
  let hectares = 0;
  let lanes = 0;
  if (!work.inLane) {
    const lane = farm.lane(work.lane);
    state.activity = TURN;
    state.working = 0;
    lineUp(driver, lane, end);
    if (tractor.time() >= end) return;
    state.heading = lane.heading;
    enterLane(driver);
  }
  while (!tractor.done() && tractor.time() < end) {
    const lane = farm.lane(work.lane);
    const openers = state.along - AFT;
    if (openers > liftAt(lane)) {
      changeLane(driver);
      if (++lanes === task.passes) break;
      continue;
    }
    state.activity = PASS;
    state.working = openers > lowerAt(lane) ? 1 : 0;
    const isSlowExit = slowEvery > 0 && work.lane % slowEvery === 1 && openers > lane.length - 2.3;
    const share = Math.min(1, (tractor.time() - begun) / Math.max(1, end - begun));
    const steady = from + (to - from) * share;
    const wanted = waver === undefined ? steady : Math.max(4.5 * KMH, Math.min(9 * KMH, steady + waver(STEP)));
    tractor.accelerate(isSlowExit ? 5.5 * KMH : wanted + driver.foot(STEP));
    follow(driver, lane);
    if (openers >= 0 && openers <= lane.length) hectares += (state.speed * STEP * WIDTH) / 1e4;
    if (task.hectares !== undefined && hectares >= task.hectares) break;
  }
}

/** One step along the lane, antenna on its line but for the steering. */
function follow({ tractor, hand }: Driver, lane: Lane): void {
  const { state } = tractor;
  const slope = (lane.bend(state.along + 0.5) - lane.bend(state.along - 0.5));
  state.along += tractor.stepLength() / Math.hypot(1, slope);
  const right = lane.bend(state.along) + hand(STEP);
  state.east = lane.east + Math.sin(lane.heading) * state.along + Math.cos(lane.heading) * right;
  state.north = lane.north + Math.cos(lane.heading) * state.along - Math.sin(lane.heading) * right;
  state.heading = lane.heading + Math.atan(slope);
  tractor.record();
}
