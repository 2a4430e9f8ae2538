import { RUNS, RUNS_PER_TOWER, STEP, STEPS_PER_SECOND, TANKS, TOWERS } from './machine.ts';
import type { Air } from './fans.ts';
import type { ProductFlow } from './flow.ts';
import { during, faultsOf } from './plan.ts';
import type { DayPlan } from './plan.ts';
import type { Random } from './random.ts';
import type { Track } from './track.ts';

export interface RunSignals {
  /** Seeds counted in the second centred on each whole second, per run; NaN = no reading. */
  readonly counts: readonly Float32Array[];
  /** Fixed share of each run in its tower (mean 1 per tower) and of each sensor. */
  readonly share: Float64Array;
  readonly efficiency: Float64Array;
}

/** A tilted tower head favours the runs on its low side: 2 % at 7 degrees. Runs leave it all round. */
const TILT_EFFECT = 0.02 / ((7 * Math.PI) / 180);
const COS = Array.from({ length: RUNS_PER_TOWER }, (_, r) => Math.cos((2 * Math.PI * r) / RUNS_PER_TOWER));
const SIN = Array.from({ length: RUNS_PER_TOWER }, (_, r) => Math.sin((2 * Math.PI * r) / RUNS_PER_TOWER));
/** s that a sensor is blind after a seed. */
const DEAD_TIME = 0.0006;

/** Splits each tower's stream over its runs and counts it. What a run loses its tower mates get. */
export function countSeeds(plan: DayPlan, track: Track, flows: readonly ProductFlow[], air: Air, random: Random): RunSignals {
  const counted = flows.filter((flow) => TANKS[flow.tank - 1]?.counted === true);
  const first = counted[0];
  const seconds = Math.floor((track.steps - 1) / STEPS_PER_SECOND);
  const share = shares(random, first?.plan.spread ?? first?.product.spread ?? 0.06);
  const efficiency = Float64Array.from({ length: RUNS }, () => 0.93 + 0.03 * random.normal());
  const fano = first?.product.fano ?? 1.5;
  const faults = {
    losses: faultsOf(plan, 'run-loss'), gains: faultsOf(plan, 'run-gain'), silent: faultsOf(plan, 'run-silent'), stuck: faultsOf(plan, 'run-stuck'),
    ghosts: faultsOf(plan, 'run-ghost'), towers: faultsOf(plan, 'tower-loss'), dust: faultsOf(plan, 'dust'), seeds: faultsOf(plan, 'mass-per-turn'),
  };
  const counts: Float32Array[] = Array.from({ length: RUNS }, () => new Float32Array(seconds + 1));
  const loss = new Float64Array(RUNS_PER_TOWER);

  for (let tower = 0; tower < TOWERS.length; tower++) {
    const losses = faults.losses.filter((fault) => Math.floor((fault.run - 1) / RUNS_PER_TOWER) === tower);
    const gains = faults.gains.filter((fault) => Math.floor((fault.run - 1) / RUNS_PER_TOWER) === tower);
    const blocks = faults.towers.filter((fault) => fault.tower === tower + 1);
    for (let second = 0; second <= seconds; second++) {
      const time = second;
      let seeds = seedRate(counted, faults.seeds, tower, second, track.steps);
      for (const fault of blocks) if (during(fault, time)) seeds *= 1 - (1 - fault.left) * Math.min(1, (time - fault.start) / fault.fade) ** 0.25;
      const rpm = air.rpm[0][second * STEPS_PER_SECOND] as number;
      let seen = farTowerLoss(tower, rpm);
      for (const fault of faults.dust) seen *= 1 - fault.loss * (second / seconds);
      const pitch = track.pitch[second * STEPS_PER_SECOND] as number;
      const roll = track.roll[second * STEPS_PER_SECOND] as number;
      const lift = redistribute(losses, time, tower, share, loss);
      for (let r = 0; r < RUNS_PER_TOWER; r++) {
        const run = tower * RUNS_PER_TOWER + r;
        let mean = (seeds / RUNS_PER_TOWER) * (share[run] as number) * (loss[r] === 0 ? lift : 1 - (loss[r] as number));
        mean *= (efficiency[run] as number) * seen * (1 + TILT_EFFECT * (pitch * (COS[r] as number) + roll * (SIN[r] as number)));
        for (const fault of gains) if (fault.run === run + 1 && during(fault, time)) mean *= gainAt(fault, time);
        (counts[run] as Float32Array)[second] = random.counts(mean / (1 + DEAD_TIME * mean), fano);
      }
    }
  }
  for (const fault of faults.ghosts) {
    const values = counts[fault.run - 1] as Float32Array;
    for (let s = 0; s <= seconds; s++) if (during(fault, s) && (air.rpm[0][s * STEPS_PER_SECOND] as number) > 500) values[s] = (values[s] as number) + random.poisson(fault.rate);
  }
  for (const fault of faults.stuck) fillSpan(counts[fault.run - 1] as Float32Array, fault, () => fault.value);
  for (const fault of faults.silent) {
    for (let run = fault.runs[0]; run <= fault.runs[1]; run++) fillSpan(counts[run - 1] as Float32Array, fault, () => (fault.missing ? Number.NaN : 0));
  }
  return { counts, share, efficiency };
}

/** Seeds per second reaching a tower, mean over the second centred on `second`. */
function seedRate(
  flows: readonly ProductFlow[], lots: readonly { readonly tank: number; readonly seedMass?: number; readonly start: number; readonly end: number }[],
  tower: number, second: number, steps: number,
): number {
  let seeds = 0;
  for (const flow of flows) {
    const arrival = flow.arrival[tower] as Float32Array;
    let mass = 0;
    for (let j = -2; j <= 2; j++) mass += arrival[Math.max(0, Math.min(steps - 1, second * STEPS_PER_SECOND + j))] as number;
    if (mass === 0) continue;
    let seedMass = (flow.plan.seedGrams ?? 38) * 1e-6;
    for (const lot of lots) if (lot.tank === flow.tank && lot.seedMass !== undefined && during(lot, second)) seedMass = lot.seedMass;
    seeds += (mass * STEP) / seedMass;
  }
  return seeds;
}

/** Fills `loss` for a tower's runs and returns the factor its healthy runs gain by conservation. */
function redistribute(losses: readonly { readonly run: number; readonly loss: number; readonly fade?: number; readonly start: number; readonly end: number }[], time: number, tower: number, share: Float64Array, loss: Float64Array): number {
  loss.fill(0);
  let lost = 0;
  for (const fault of losses) {
    if (!during(fault, time)) continue;
    const r = (fault.run - 1) % RUNS_PER_TOWER;
    const fade = fault.fade ?? 1;
    loss[r] = fault.loss * Math.min(1, (time - fault.start + 1e-3) / fade);
  }
  let healthy = 0;
  for (let r = 0; r < RUNS_PER_TOWER; r++) {
    const part = share[tower * RUNS_PER_TOWER + r] as number;
    if (loss[r] === 0) healthy += part;
    else lost += part * (loss[r] as number);
  }
  return healthy > 0 ? 1 + lost / healthy : 1;
}

function shares(random: Random, spread: number): Float64Array {
  const result = Float64Array.from({ length: RUNS }, () => Math.max(0.5, 1 + spread * random.normal()));
  for (let tower = 0; tower < TOWERS.length; tower++) {
    let sum = 0;
    for (let r = 0; r < RUNS_PER_TOWER; r++) sum += result[tower * RUNS_PER_TOWER + r] as number;
    for (let r = 0; r < RUNS_PER_TOWER; r++) result[tower * RUNS_PER_TOWER + r] = ((result[tower * RUNS_PER_TOWER + r] as number) * RUNS_PER_TOWER) / sum;
  }
  return result;
}

/** With the fan well below its speed the far towers are fed in slugs and counted low (S07: −14 % at 2,850 rpm, near towers −4 %). */
function farTowerLoss(tower: number, rpm: number): number {
  const short = Math.max(0, Math.min(1, (0.92 - rpm / 3600) / (0.92 - 2850 / 3600)));
  const most = [0.14, 0.09, 0.04, 0.04, 0.09, 0.14][tower] ?? 0;
  return 1 - most * short;
}

function gainAt(fault: { readonly gain: number; readonly drift?: number; readonly start: number }, time: number): number {
  if (fault.drift === undefined) return fault.gain;
  return 1 + (fault.gain - 1) * Math.min(1, (time - Math.max(0, fault.start)) / fault.drift);
}

function fillSpan(values: Float32Array, span: { readonly start: number; readonly end: number }, value: () => number): void {
  for (let s = 0; s < values.length; s++) if (during(span, s)) values[s] = value();
}
