import { AFT, RISE, STEP, WIDTH } from './machine.ts';
import { createFarm, liftMargin, lowerAt } from './land.ts';
import type { Farm } from './land.ts';
import { clockOf, dayLength } from './plan.ts';
import type { DayPlan, Task } from './plan.ts';
import { wander } from './random.ts';
import type { Random } from './random.ts';
import { PARKED, PASS, ROAD, TURN, createTrack } from './track.ts';
import type { Stretch, Track } from './track.ts';

const KMH = 1 / 3.6;
const ACCELERATION = 0.4;
const TURN_SPEED = 6.2 * KMH;
const ROAD_SPEED = 12.5 * KMH;

type Task1<D extends Task['do']> = Extract<Task, { readonly do: D }>;

interface Pose {
  step: number;
  east: number;
  north: number;
  heading: number;
  speed: number;
  /** Number of the pass being driven, m of the antenna past its entry boundary, and where in a turn; a task may end anywhere. */
  pass: number;
  along: number;
  inPass: boolean;
  stretch: number;
}

/** Drives the day's agenda. */
export function drive(plan: DayPlan, random: Random): Track {
  const farm = createFarm(plan);
  const seconds = dayLength(plan);
  const stretches: Stretch[] = [];
  const track = createTrack(seconds, stretches);
  const at = clockOf(plan);
  const unsteady = wander(random, 0.083, 20);
  const guidance = wander(random, 0.02, 25);
  const pose: Pose = { step: 0, east: farm.laneEast(0, 0) - 60, north: -60, heading: 0, speed: 0, pass: 0, along: 0, inPass: false, stretch: -1 };
  const state = { activity: PARKED, working: 0, fansOn: 1, engineOn: 1, spinning: 0, testSpeed: Number.NaN };

  const time = (): number => pose.step * STEP;
  const done = (): boolean => pose.step >= track.steps;

  /** Writes the present state as one step, and lets `seconds` 0.2 pass. */
  const record = (): void => {
    if (done()) return;
    const i = pose.step++;
    const [toEast, toNorth] = farm.slope(pose.east, pose.north);
    const sin = Math.sin(pose.heading);
    const cos = Math.cos(pose.heading);
    track.east[i] = pose.east;
    track.north[i] = pose.north;
    track.heading[i] = pose.heading;
    track.speed[i] = pose.speed;
    track.pitch[i] = Math.atan(toEast * sin + toNorth * cos);
    track.roll[i] = Math.atan(toEast * cos - toNorth * sin);
    track.activity[i] = state.activity;
    track.working[i] = state.working;
    track.fansOn[i] = state.fansOn;
    track.engineOn[i] = state.engineOn;
    track.spinning[i] = state.spinning;
    track.testSpeed[i] = state.testSpeed;
    track.stretch[i] = pose.stretch;
    track.along[i] = pose.along;
  };

  /** Speed moves to the wanted one as fast as the engine and brakes allow. */
  const accelerate = (wanted: number): void => {
    const change = Math.max(-2 * ACCELERATION * STEP, Math.min(ACCELERATION * STEP, wanted - pose.speed));
    pose.speed += change;
  };
  /** Horizontal m of this step: the ground may be steep. */
  const advance = (): number => pose.speed * STEP * Math.cos(pose.step > 0 ? track.pitch[pose.step - 1] as number : 0);

  const standUntil = (end: number): void => {
    while (!done() && time() < end) {
      accelerate(0);
      const length = advance();
      pose.east += Math.sin(pose.heading) * length;
      pose.north += Math.cos(pose.heading) * length;
      if (pose.inPass) pose.along += length;
      record();
    }
  };

  /** Drives to a point with a turning circle, lifted. */
  const goTo = (east: number, north: number, wanted: number, end: number): void => {
    state.working = 0;
    for (let guard = 0; guard < 50_000 && !done() && time() < end; guard++) {
      const away = Math.hypot(east - pose.east, north - pose.north);
      if (away < Math.max(1, pose.speed * STEP)) return;
      const turn = angle(Math.atan2(east - pose.east, north - pose.north) - pose.heading);
      /* Slow down rather than circle round a near target. */
      const sharp = Math.abs(turn) > 0.3 ? Math.min(wanted, 1.5) : wanted;
      accelerate(sharp);
      pose.heading += Math.max(-1, Math.min(1, turn / (0.15))) * Math.min(Math.abs(turn), (Math.max(pose.speed, 0.3) / (away < 25 ? 4 : 9)) * STEP);
      const length = advance();
      pose.east += Math.sin(pose.heading) * length;
      pose.north += Math.cos(pose.heading) * length;
      record();
    }
  };

  const road = (task: Task1<'road'>): void => {
    state.activity = ROAD;
    const end = at(task.until);
    if (task.testSpeed !== undefined) state.testSpeed = task.testSpeed * KMH;
    /* Out and back along a lane beside the fields, so that the day goes on where it was. */
    const home = { east: pose.east, north: pose.north };
    goTo(home.east - 30, home.north - task.metres / 2, ROAD_SPEED, end);
    goTo(home.east, home.north, ROAD_SPEED, end);
    state.testSpeed = Number.NaN;
    state.activity = PARKED;
    standUntil(end);
  };

  const stop = (end: number): void => {
    if (pose.speed > 0 && pose.inPass) standUntil(Math.min(end, time() + pose.speed / (2 * ACCELERATION) + STEP));
  };

  const park = (task: Task1<'park'>): void => {
    const end = at(task.until);
    stop(end);
    state.activity = PARKED;
    state.working = 0;
    state.fansOn = task.fans === true ? 1 : 0;
    state.engineOn = task.engine === false ? 0 : 1;
    standUntil(end);
    state.engineOn = 1;
    state.fansOn = 1;
  };

  const stuck = (task: Task1<'stuck'>): void => {
    const end = at(task.until);
    stop(end);
    state.spinning = 0.95;
    standUntil(Math.min(end, time() + 90));
    state.spinning = 0;
    let back = task.back;
    while (!done() && back > 0 && time() < end) {
      pose.speed = -0.5;
      const length = advance();
      pose.along += length;
      pose.north += Math.cos(pose.heading) * length;
      pose.east += Math.sin(pose.heading) * length;
      back += length;
      record();
    }
    pose.speed = 0;
    standUntil(end);
  };

  const enterPass = (): void => {
    pose.inPass = true;
    const stretch = farm.boundaries(pose.pass);
    pose.stretch = stretches.push(stretch) - 1;
    pose.along = farm.northbound(pose.pass) ? pose.north : farm.passLength - pose.north;
  };

  /** From the end of one pass to the line of the next. */
  const changeLane = (): void => {
    const end = Number.POSITIVE_INFINITY;
    state.activity = TURN;
    state.working = 0;
    pose.stretch = -1;
    const next = pose.pass + 1;
    const north = farm.northbound(pose.pass);
    const radius = Math.abs(farm.laneEast(next, pose.north) - pose.east) / 2;
    if (next % farm.passesPerField !== 0 && radius < 12) {
      /* Northbound passes turn right, southbound ones left: the next lane lies east. */
      const sense = north ? 1 : -1;
      const goal = pose.heading + sense * Math.PI;
      while (!done() && sense * (goal - pose.heading) > 0.001) {
        accelerate(TURN_SPEED);
        pose.heading += sense * Math.min(Math.abs(goal - pose.heading), (Math.max(0.3, pose.speed) * STEP) / radius);
        const length = advance();
        pose.east += Math.sin(pose.heading) * length;
        pose.north += Math.cos(pose.heading) * length;
        record();
      }
    } else {
      const run = farm.northbound(next) ? -45 : farm.passLength + 45;
      const edge = north ? farm.passLength + 25 : -25;
      goTo(pose.east + 12, edge, 2.2, end);
      goTo(farm.laneEast(next, run) - 25, edge, 2.2, end);
      goTo(farm.laneEast(next, run), run, 2.2, end);
    }
    pose.pass = next;
    pose.heading = farm.northbound(next) ? 0 : Math.PI;
    enterPass();
  };

  const seed = (task: Task1<'seed'>): void => {
    const end = task.until === undefined ? dayLength(plan) : at(task.until);
    const waver = task.wavering === undefined ? undefined : wander(random, task.wavering * KMH, 240);
    let hectares = 0;
    let passes = 0;
    let slow = 0;
    const begun = time();
    if (!pose.inPass) {
      const start = farm.northbound(pose.pass) ? -22 : farm.passLength + 22;
      const lane = farm.laneEast(pose.pass, start);
      if (Math.abs(pose.east - lane) > 1 || Math.abs(pose.north - start) > 3) goTo(lane, start, 2, end);
      pose.heading = farm.northbound(pose.pass) ? 0 : Math.PI;
      enterPass();
    }
    while (!done() && time() < end) {
      state.activity = PASS;
      const stretch = stretches[pose.stretch] as Stretch;
      const openers = pose.along - AFT;
      if (openers > farm.passLength + liftMargin(stretch)) {
        passes++;
        if (task.passes !== undefined && passes >= task.passes) break;
        changeLane();
        continue;
      }
      const isSlowExit = slow > 0 && openers > farm.passLength - 2.3;
      if (openers <= 0 && task.slowExits !== undefined) slow = pose.pass % Math.max(1, Math.floor(46 / task.slowExits)) === 1 ? 1 : 0;
      const share = Math.min(1, (time() - begun) / Math.max(1, end - begun));
      const base = (task.kmh ?? 8) + ((task.kmhEnd ?? task.kmh ?? 8) - (task.kmh ?? 8)) * share;
      const wanted = waver === undefined ? base * KMH : Math.max(4.5 * KMH, Math.min(9 * KMH, base * KMH + waver(STEP)));
      accelerate(isSlowExit ? 5.5 * KMH : wanted + unsteady(STEP));
      const length = advance();
      pose.along += length;
      steer(farm, pose, guidance(STEP));
      state.working = pose.along - AFT > lowerAt(stretch) ? 1 : 0;
      record();
      if (openers >= 0 && openers <= farm.passLength) hectares += (length * WIDTH) / 1e4;
      if (task.hectares !== undefined && hectares >= task.hectares) break;
    }
    if (pose.inPass && pose.along - AFT > farm.passLength) changeLane();
  };

  const run = (task: Task): void => {
    switch (task.do) {
      case 'park': return park(task);
      case 'road': return road(task);
      case 'seed': return seed(task);
      case 'stuck': return stuck(task);
      case 'pause': return standUntil(time() + task.seconds);
      case 'headlands': return;
    }
  };
  for (const task of plan.agenda) run(task);
  state.activity = PARKED;
  state.working = 0;
  standUntil(seconds + RISE);
  return track;
}

/** Keeps the antenna on its lane. */
function steer(farm: Farm, pose: Pose, error: number): void {
  const north = farm.northbound(pose.pass);
  const before = pose.north;
  pose.north = north ? pose.along : farm.passLength - pose.along;
  const east = farm.laneEast(pose.pass, pose.north) + error;
  const travelled = pose.north - before;
  const bend = Math.abs(travelled) < 1e-6 ? 0 : (farm.laneEast(pose.pass, pose.north) - farm.laneEast(pose.pass, before)) / travelled;
  pose.heading = (north ? 0 : Math.PI) + Math.atan(bend);
  pose.east = east;
}

function angle(value: number): number {
  return value - 2 * Math.PI * Math.round(value / (2 * Math.PI));
}
