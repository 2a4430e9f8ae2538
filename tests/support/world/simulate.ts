import type { Channel } from '../../../shared/channel.ts';
import type { Unit } from '../../../shared/units.ts';
import { blow, plenumPressure } from './fans.ts';
import type { Air } from './fans.ts';
import { meterProducts } from './flow.ts';
import type { ProductFlow } from './flow.ts';
import { receive } from './gnss.ts';
import { RUNS, STEP, STEPS_PER_SECOND, TANKS, TOWERS, TRUE_WHEEL_CONSTANT } from './machine.ts';
import { drive } from './path.ts';
import { clockOf, dayLength, dayStart, during, faultsOf } from './plan.ts';
import type { DayPlan, Facts } from './plan.ts';
import { createRandom, wander } from './random.ts';
import { countSeeds } from './runs.ts';
import type { RunSignals } from './runs.ts';
import { weigh, weighCells } from './scale.ts';
import { commandSections, hectaresWorked } from './sections.ts';
import type { Commands } from './sections.ts';
import { setupFile } from './setup-file.ts';
import type { Track } from './track.ts';
import { rollWheel } from './wheel.ts';
import type { WheelSignals } from './wheel.ts';
import type { World } from './world.ts';
import { loseRecords } from './log-loss.ts';
import { factsOf } from './facts.ts';

/** Everything simulated of a day, before it becomes channels. For tests of the generator itself. */
export interface Simulation {
  readonly track: Track;
  readonly wheel: WheelSignals;
  readonly commands: Commands;
  readonly air: Air;
  readonly flows: readonly ProductFlow[];
  readonly runs: RunSignals;
  readonly hectares: Float64Array;
  readonly facts: Facts;
}

export function simulate(plan: DayPlan, seed: number): Simulation {
  const random = (stream: string): ReturnType<typeof createRandom> => createRandom(seed, `${plan.id}/${stream}`);
  const track = drive(plan, random('path'));
  const wheel = rollWheel(plan, track, random('wheel'));
  const commands = commandSections(plan, track, random('sections'));
  const air = blow(plan, track, random('air'));
  const flows = meterProducts(plan, track, wheel, commands, air, random('flow'));
  const runs = countSeeds(plan, track, flows, air, random('runs'));
  const hectares = hectaresWorked(track, commands.share);
  return { track, wheel, commands, air, flows, runs, hectares, facts: factsOf(plan, track, commands, flows, hectares, (tank) => weigh(plan, track, flows.find((flow) => flow.tank === tank), tank, random(`scale${tank}`))) };
}

export function buildWorld(plan: DayPlan, seed: number): World {
  const simulation = simulate(plan, seed);
  const channels = loseRecords(plan, emit(plan, simulation, seed), createRandom(seed, `${plan.id}/loss`));
  const clock = (file: 'cart' | 'tractor'): World['clocks']['cart'] => {
    const fault = faultsOf(plan, 'clock').find((candidate) => candidate.file === file);
    return { offset: fault?.offset ?? 0, driftPerHour: fault?.driftPerHour ?? 0, zoneHours: fault?.zoneHours ?? 0 };
  };
  return {
    channels, dayStart: dayStart(plan), duration: dayLength(plan), setup: setupFile(plan), truth: plan.truth(simulation.facts),
    events: (plan.faults ?? []).map((fault) => {
      const at = clockOf(plan);
      return { start: fault.from === undefined ? 0 : at(fault.from), end: fault.to === undefined ? dayLength(plan) : at(fault.to), text: JSON.stringify(fault) };
    }),
    clocks: { cart: clock('cart'), tractor: clock('tractor') },
  };
}

function emit(plan: DayPlan, simulation: Simulation, seed: number): readonly Channel[] {
  const { track, wheel, commands, air, flows, runs } = simulation;
  const random = createRandom(seed, `${plan.id}/sensors`);
  const seconds = Math.floor((track.steps - 1) / STEPS_PER_SECOND);
  const everySecond = Float64Array.from({ length: seconds + 1 }, (_, s) => s);
  const everyStep = Float64Array.from({ length: track.steps }, (_, i) => Math.round(i * STEP * 10) / 10);
  const channels: Channel[] = [];
  const add = (file: 'cart' | 'tractor', id: string, unit: Unit, time: Float64Array, value: Float32Array | Float64Array): void => {
    channels.push({ id, unit, source: { file: `${file}.csv`, column: id }, time, value });
  };
  const sampled = (make: (step: number, second: number) => number): Float32Array => Float32Array.from({ length: seconds + 1 }, (_, s) => make(s * STEPS_PER_SECOND, s));
  const entered = plan.entered?.wheelConstant ?? TRUE_WHEEL_CONSTANT;

  const gnss = receive(plan, track, createRandom(seed, `${plan.id}/gnss`));
  add('tractor', 'gnss.lat', 'deg', everyStep, gnss.latitude);
  add('tractor', 'gnss.lon', 'deg', everyStep, gnss.longitude);
  add('tractor', 'gnss.speed', 'm/s', everyStep, gnss.speed);
  add('tractor', 'gnss.course', 'rad', everyStep, gnss.course);
  add('tractor', 'gnss.fix', '1', everySecond, sampled((i) => gnss.fix[i] as number));
  add('tractor', 'gnss.hdop', '1', everySecond, sampled((i) => gnss.hdop[i] as number));
  add('tractor', 'gnss.sats', '1', everySecond, sampled((i) => gnss.satellites[i] as number));
  add('tractor', 'drive.speed', 'm/s', everySecond, sampled((i) => wheel.drive[i] as number));
  add('tractor', 'engine.speed', 'rpm', everySecond, sampled((i) => air.engine[i] as number));
  const weather = plan.weather ?? { airStart: 8, airEnd: 17, oilStart: 25 };
  const oil = oilTemperature(track, weather.oilStart);
  add('tractor', 'oil.temperature', 'K', everySecond, sampled((_, s) => 273.15 + (oil[s] as number)));
  const airNoise = wander(random, 0.2, 600);
  add('tractor', 'air.temperature', 'K', everySecond, sampled((_, s) => 273.15 + weather.airStart + ((weather.airEnd - weather.airStart) * s) / seconds + airNoise(1)));
  if (plan.attitude === true) {
    add('tractor', 'pitch', 'rad', everySecond, sampled((i) => (track.pitch[i] as number) + 0.003 * random.normal()));
    add('tractor', 'roll', 'rad', everySecond, sampled((i) => (track.roll[i] as number) + 0.003 * random.normal()));
  }
  add('tractor', 'implement.working', '1', everySecond, sampled((i) => track.working[i] as number));

  const resets = faultsOf(plan, 'counter-reset').map((fault) => fault.start);
  const counter = (total: Float64Array, unit: number): Float64Array => Float64Array.from({ length: seconds + 1 }, (_, s) => {
    const since = resets.findLast((reset) => reset <= s);
    return Math.floor(((total[s * STEPS_PER_SECOND] as number) - (since === undefined ? 0 : total[since * STEPS_PER_SECOND] as number)) * unit) / unit;
  });
  const pulses = counter(wheel.pulses, 1);
  add('cart', 'wheel.pulses', 'count', everySecond, pulses);
  add('cart', 'wheel.speed', 'm/s', everySecond, sampled((i) => { const test = track.testSpeed[i] as number; return Number.isNaN(test) ? (wheel.indicated[i] as number) * (1 + 0.005 * random.normal()) : test; }));
  add('cart', 'wheel.distance', 'm', everySecond, pulses.map((count) => count / entered));
  const fanSensors = faultsOf(plan, 'fan-sensor');
  for (const fan of [0, 1] as const) {
    add('cart', `fan.${fan + 1}.speed`, 'rpm', everySecond, sampled((i, s) => {
      const rpm = air.rpm[fan][i] as number;
      let shown = rpm === 0 ? 0 : Math.max(0, rpm + 25 * random.normal());
      for (const fault of fanSensors) if (fault.fan === fan + 1 && during(fault, s)) shown *= fault.factor;
      return shown;
    }));
    add('cart', `fan.${fan + 1}.target`, 'rpm', everySecond, sampled((i) => air.target[fan][i] as number));
  }
  for (let tank = 1; tank <= TANKS.length; tank++) addTank(tank);
  for (let k = 0; k < TOWERS.length; k++) addSection(k);
  for (let run = 1; run <= RUNS; run++) add('cart', `run.${run}.count`, '1/s', everySecond, runs.counts[run - 1] as Float32Array);
  for (const fault of faultsOf(plan, 'level-switch')) {
    const mass = flows.find((flow) => flow.tank === fault.tank)?.mass;
    const waver = wander(random, 50, 3);
    add('cart', `tank.${fault.tank}.level`, '1', everySecond, sampled((i) => ((mass?.[i] ?? 0) + waver(1) > fault.kg ? 1 : 0)));
  }
  for (const fault of faultsOf(plan, 'alarm')) {
    add('cart', `run.${fault.run}.blocked`, '1', everySecond, sampled((_, s) => (during(fault, s) ? 1 : 0)));
  }
  return channels;

  function addTank(tank: number): void {
    const flow = flows.find((candidate) => candidate.tank === tank);
    const fan = TANKS[tank - 1]?.fan ?? 0;
    const losses = faultsOf(plan, 'pressure-loss').filter((fault) => fault.tank === tank);
    const zeros = faultsOf(plan, 'pressure-zero').filter((fault) => fault.tank === tank);
    const mass = weigh(plan, track, flow, tank, createRandom(seed, `${plan.id}/scale${tank}`));
    add('cart', `tank.${tank}.mass`, 'kg', everySecond, mass);
    if (plan.cells?.includes(tank) === true) {
      for (const [m, cell] of weighCells(plan, mass, tank, createRandom(seed, `${plan.id}/cells${tank}`)).entries()) add('cart', `tank.${tank}.cell.${m + 1}`, 'kg', everySecond, cell);
    }
    add('cart', `tank.${tank}.pressure`, 'Pa', everySecond, sampled((i, s) => {
      let pressure = plenumPressure(fan, air.rpm[fan][i] as number) * (1 + 0.02 * random.normal());
      for (const fault of losses) if (during(fault, s)) pressure *= fault.factor;
      for (const fault of zeros) if (during(fault, s)) pressure += fault.pascal;
      return pressure + 10 * random.normal();
    }));
    if (flow === undefined) return;
    const crossed = faultsOf(plan, 'meter-crossed').find((fault) => fault.tanks.includes(tank));
    const shownAs = crossed === undefined ? tank : crossed.tanks[0] === tank ? crossed.tanks[1] : crossed.tanks[0];
    add('cart', `meter.${shownAs}.speed`, 'rpm', everySecond, sampled((i) => (flow.turnRate[i] as number) * 60 * (1 + 0.004 * random.normal())));
    add('cart', `meter.${shownAs}.turns`, 'turn', everySecond, counter(flow.turns, 100));
    add('cart', `meter.${tank}.target`, 'kg/m²', everySecond, sampled((i) => flow.target[i] as number));
  }

  function addSection(k: number): void {
    const states = commands.on[k] as Uint8Array;
    const edges = commands.edges[k] ?? [];
    /* On change, to ±20 ms, and repeated every second. */
    const changes = edges
      .map((edge) => ({ time: Math.round((edge.time + random.between(-0.02, 0.02)) * 1000) / 1000, value: edge.on ? 1 : 0 }))
      .filter((change) => change.time >= 0 && change.time <= seconds);
    const time = new Float64Array(seconds + 1 + changes.length);
    const value = new Float32Array(time.length);
    let next = 0;
    for (let i = 0, s = 0; i < time.length; i++) {
      const change = changes[next];
      if (change !== undefined && (s > seconds || change.time < s)) {
        time[i] = change.time;
        value[i] = change.value;
        next++;
      } else {
        time[i] = s;
        value[i] = states[s * STEPS_PER_SECOND] as number;
        s++;
      }
    }
    add('cart', `section.${k + 1}.on`, '1', time, value);
  }
}

/** °C each second: the oil warms towards 55 °C with the engine running, in about half an hour. */
function oilTemperature(track: Track, start: number): Float32Array {
  const seconds = Math.floor((track.steps - 1) / STEPS_PER_SECOND);
  const result = new Float32Array(seconds + 1);
  let temperature = start;
  for (let s = 0; s <= seconds; s++) {
    const isRunning = track.engineOn[s * STEPS_PER_SECOND] === 1;
    temperature += ((isRunning ? 55 : 12) - temperature) / (isRunning ? 1500 : 6000);
    result[s] = temperature;
  }
  return result;
}
