import { PRODUCTS, STEP, TANKS, TOWERS, WIDTH } from './machine.ts';
import type { ProductPhysics } from './machine.ts';
import type { Air } from './fans.ts';
import { openGates } from './gates.ts';
import type { Gates } from './gates.ts';
import { during, faultsOf, fillsOf } from './plan.ts';
import type { DayPlan, TankPlan } from './plan.ts';
import { wander } from './random.ts';
import type { Random } from './random.ts';
import type { Commands } from './sections.ts';
import type { Track } from './track.ts';
import type { WheelSignals } from './wheel.ts';

/** One product from tank to openers. */
export interface ProductFlow {
  /** 1–4 */
  readonly tank: number;
  readonly plan: TankPlan;
  readonly product: ProductPhysics;
  /** Shaft speed in turns per second and cumulative turns, per step. */
  readonly turnRate: Float32Array;
  readonly turns: Float64Array;
  /** kg/m², the setpoint the controller follows. */
  readonly target: Float32Array;
  /** kg in the tank, and kg that left it since second 0, per step. */
  readonly mass: Float64Array;
  readonly dispensed: Float64Array;
  /** kg/s at the openers per tower. */
  readonly arrival: readonly Float32Array[];
  /** First second at which the tank was dry; NaN = never. */
  readonly dry: number;
}

interface Running {
  readonly tank: number;
  readonly plan: TankPlan;
  readonly product: ProductPhysics;
  readonly gates: Gates;
  readonly turnRate: Float32Array;
  readonly turns: Float64Array;
  readonly target: Float32Array;
  readonly mass: Float64Array;
  readonly dispensed: Float64Array;
  /** kg/s of one tower's segment at the meter, per step. */
  readonly segment: Float32Array;
  rate: number;
  shaft: number;
  stock: number;
  out: number;
  total: number;
  dry: number;
  wasDry: boolean;
  takeover: number;
  /** What goes wrong with this product. */
  readonly faults: ReturnType<typeof productFaults>;
}

const productFaults = (plan: DayPlan, tank: number) => {
  const own = <T extends { readonly tank: number }>(list: readonly T[]): readonly T[] => list.filter((fault) => fault.tank === tank);
  return {
    fills: own(fillsOf(plan)), targets: own(faultsOf(plan, 'target')), calibrations: own(faultsOf(plan, 'mass-per-turn')), bridges: own(faultsOf(plan, 'bridge')),
    pressures: own(faultsOf(plan, 'pressure-loss')), stalls: own(faultsOf(plan, 'meter-stall')), hunting: own(faultsOf(plan, 'meter-hunting')), boosts: own(faultsOf(plan, 'start-boost')), runsOn: own(faultsOf(plan, 'runs-on')),
  };
};

const RESPONSE = 0.6;
/** s */
const AIR_INERTIA = 10;
/** kg below which the meter pockets no longer fill evenly. */
const SPUTTER = 3;

/** Meters all products: setpoint × entered width × indicated speed ÷ entered kg per turn; what flows is turns × true kg per turn. */
export function meterProducts(plan: DayPlan, track: Track, wheel: WheelSignals, commands: Commands, air: Air, random: Random): readonly ProductFlow[] {
  const n = track.steps;
  const running: Running[] = Object.entries(plan.tanks).map(([tank, tankPlan]) => {
    const fan = TANKS[Number(tank) - 1]?.fan ?? 0;
    const product = PRODUCTS[tankPlan.crop];
    return {
      tank: Number(tank), plan: tankPlan, product, gates: openGates(plan, commands, product, fan, smoothed(air.rpm[fan])),
      turnRate: new Float32Array(n), turns: new Float64Array(n), target: new Float32Array(n), mass: new Float64Array(n), dispensed: new Float64Array(n),
      segment: new Float32Array(n), rate: 0, shaft: 0, stock: tankPlan.start, out: 0, total: 0, dry: Number.NaN, wasDry: false, takeover: Number.POSITIVE_INFINITY,
      faults: productFaults(plan, Number(tank)),
    };
  });
  const width = plan.entered?.width ?? WIDTH;
  const blocked = faultsOf(plan, 'tower-loss').filter((fault) => fault.stall !== undefined);
  const keep = Math.exp(-STEP / RESPONSE);
  let started = Number.NEGATIVE_INFINITY;
  const sputter = wander(random, 0.35, 1.5);

  for (let i = 0; i < n; i++) {
    const time = i * STEP;
    const test = track.testSpeed[i] as number;
    const speed = Number.isNaN(test) ? wheel.indicated[i] as number : test;
    const share = commands.share[i] as number;
    if (share > 0 && (i === 0 || commands.share[i - 1] === 0)) started = time;
    for (const p of running) {
      const { faults } = p;
      for (const fill of faults.fills) if (during(fill, time)) p.stock += (fill.mass / (fill.end - fill.start)) * STEP;
      let target = p.plan.target * 1e-4;
      for (const fault of faults.targets) if (during(fault, time)) target *= fault.factor;
      p.target[i] = target;
      const isActive = activeNow(p, running, time);
      const entered = p.product.massPerTurn * (p.plan.enteredFactor ?? 1);
      let wanted = isActive ? (target * width * speed) / entered : 0;
      for (const fault of faults.hunting) if (during(fault, time)) wanted *= 1 + fault.amplitude * Math.sin((2 * Math.PI * time) / fault.period);
      for (const fault of faults.boosts) if (during(fault, time) && time < started + fault.seconds) wanted *= fault.factor;
      for (const fault of faults.stalls) if (during(fault, time)) wanted = 0;
      p.rate = wanted + (p.rate - wanted) * keep;
      p.shaft = wanted * share + (p.shaft - wanted * share) * keep;
      p.turnRate[i] = p.shaft < 1e-4 ? 0 : p.shaft;
      p.turns[i] = (i > 0 ? p.turns[i - 1] as number : 0) + p.shaft * STEP;

      let kgPerTurn = p.product.massPerTurn;
      for (const fault of faults.calibrations) if (during(fault, time)) kgPerTurn *= drifted(fault, time, n * STEP);
      for (const fault of faults.pressures) if (during(fault, time)) kgPerTurn *= fault.flow;
      let feed = p.stock <= 0 ? 0 : p.stock < SPUTTER ? Math.max(0, Math.min(1, 0.5 + sputter(STEP))) : 1;
      for (const fault of faults.bridges) feed *= bridged(fault, time);
      const segment = (p.rate * kgPerTurn * feed) / TOWERS.length / p.gates.excess;
      p.segment[i] = segment;
      let out = 0;
      for (let tower = 0; tower < TOWERS.length; tower++) {
        let stalled = false;
        for (const f of blocked) if (f.tower === tower + 1 && time > f.start + (f.stall ?? 0) && time < f.end) stalled = true;
        if (stalled) continue;
        const later = Math.min(n - 1, i + ((p.gates.lag[tower] as Uint8Array)[i] as number));
        out += ((p.gates.open[tower] as Float32Array)[later] as number) * segment;
      }
      for (const fault of faults.runsOn) if (during(fault, time) && share === 0 && track.fansOn[i] === 1 && p.stock > 0) out += fault.flow;
      const taken = Math.min(Math.max(0, p.stock), out * STEP);
      p.stock -= taken;
      p.total += taken;
      if (p.stock <= 0.01 && p.total > 0 && !p.wasDry) {
        p.wasDry = true;
        if (Number.isNaN(p.dry)) p.dry = time;
      } else if (p.stock > 20) p.wasDry = false;
      p.mass[i] = p.stock;
      p.dispensed[i] = p.total;
    }
  }
  return running.map((p) => ({
    tank: p.tank, plan: p.plan, product: p.product, turnRate: p.turnRate, turns: p.turns, target: p.target, mass: p.mass, dispensed: p.dispensed, dry: p.dry,
    arrival: TOWERS.map((_, tower) => arrivals(p, tower, p.faults.runsOn, track, commands)),
  }));
}

/** A stand-in tank waits until the other is dry; the dry one stops 2 s after its stand-in took over. */
function activeNow(p: Running, running: readonly Running[], time: number): boolean {
  if (p.plan.standIn !== undefined) {
    if (p.stock > 20) p.takeover = Number.POSITIVE_INFINITY;
    else if (p.wasDry && !Number.isFinite(p.takeover)) p.takeover = time + 8;
    return time < p.takeover;
  }
  if (p.plan.waits !== true) return true;
  const other = running.find((candidate) => candidate.plan.standIn === p.tank);
  return other !== undefined && time >= other.takeover;
}

function arrivals(p: Running, tower: number, trickles: readonly { readonly flow: number; readonly start: number; readonly end: number }[], track: Track, commands: Commands): Float32Array {
  const open = p.gates.open[tower] as Float32Array;
  const lag = p.gates.lag[tower] as Uint8Array;
  const result = new Float32Array(open.length);
  for (let i = 0; i < result.length; i++) {
    const source = Math.max(0, i - (lag[i] as number));
    let flow = (open[i] as number) * (p.segment[source] as number);
    for (const fault of trickles) {
      if (during(fault, source * STEP) && commands.share[source] === 0 && track.fansOn[source] === 1 && (p.mass[source] as number) > 0) flow += fault.flow / TOWERS.length;
    }
    result[i] = flow;
  }
  return result;
}

/** The short dips of a lift do not reach the particles under way. */
function smoothed(rpm: Float32Array): Float32Array {
  const keep = Math.exp(-STEP / AIR_INERTIA);
  let value = 0;
  return rpm.map((now) => (value = now > value && value < 0.8 * now ? now : now + (value - now) * keep));
}

function drifted(fault: { readonly start: number; readonly end: number; readonly factor: number; readonly drift?: boolean }, time: number, day: number): number {
  if (fault.drift !== true) return fault.factor;
  const start = Math.max(0, fault.start);
  return 1 + (fault.factor - 1) * Math.min(1, (time - start) / (Math.min(day, fault.end) - start));
}

/** Fades out, hangs, falls in. */
function bridged(fault: { readonly start: number; readonly end: number; readonly fade: number; readonly collapse: number; readonly collapseSeconds: number }, time: number): number {
  if (time < fault.start || time >= fault.end + fault.collapseSeconds) return 1;
  if (time >= fault.end) return fault.collapse;
  return Math.max(0, 1 - (time - fault.start) / fault.fade);
}
