import { FAN_TARGETS, RISE, STEP, TAIL, TAIL_START, TOWERS, firstArrival } from './machine.ts';
import type { ProductPhysics } from './machine.ts';
import { dayLength, faultsOf } from './plan.ts';
import type { DayPlan } from './plan.ts';
import type { Commands, Edge } from './sections.ts';

/** How far each tower's stream is open at the openers, 0–1, per step; and the steps by which the meter is ahead of it. */
export interface Gates {
  readonly open: readonly Float32Array[];
  /** Steps from meter to half flow, per tower and step. */
  readonly lag: readonly Uint8Array[];
  /** Open time ÷ commanded time: what a stop lets drip counts as part of the turns. */
  readonly excess: number;
}

/** Commanded edges → streams at the openers: transport delay by fan speed, linear rise, exponential tail. */
export function openGates(plan: DayPlan, commands: Commands, product: ProductPhysics, fan: 0 | 1, rpm: Float32Array): Gates {
  const open: Float32Array[] = [];
  const lag: Uint8Array[] = [];
  const full = FAN_TARGETS[fan] as number;
  let opened = 0;
  let commanded = 0;
  for (let tower = 0; tower < TOWERS.length; tower++) {
    const edges = actualEdges(plan, commands, tower);
    const arrivals = edges.map((edge) => {
      const share = (rpm[Math.min(rpm.length - 1, Math.round(edge.time / STEP))] as number) / full;
      return { on: edge.on, time: edge.time + firstArrival(tower, product, share) + (edge.on ? 0 : TAIL_START) };
    });
    const gate = new Float32Array(rpm.length);
    const steps = new Uint8Array(rpm.length);
    let state = 0;
    let rising = false;
    let next = 0;
    for (let i = 0; i < gate.length; i++) {
      let time = (i - 1) * STEP;
      const end = i * STEP;
      while (time < end) {
        const arrival = arrivals[next];
        const until = arrival !== undefined && arrival.time < end ? Math.max(time, arrival.time) : end;
        const length = until - time;
        state = rising ? Math.min(1, state + length / RISE) : state * Math.exp(-length / TAIL);
        time = until;
        if (arrival !== undefined && arrival.time < end) {
          rising = arrival.on;
          next++;
        } else break;
      }
      if (state < 1e-3) state = 0;
      gate[i] = state;
      opened += state;
      steps[i] = Math.round((firstArrival(tower, product, Math.max(0.4, (rpm[i] as number) / full)) + RISE / 2) / STEP);
    }
    for (const [j, edge] of edges.entries()) if (edge.on) commanded += ((edges[j + 1]?.time ?? gate.length * STEP) - edge.time) / STEP;
    open.push(gate);
    lag.push(steps);
  }
  return { open, lag, excess: commanded > 0 ? opened / commanded : 1 };
}

/** What the clutch of a tower really does: crossed wires, stuck clutches. */
function actualEdges(plan: DayPlan, commands: Commands, tower: number): readonly Edge[] {
  let source = tower;
  for (const fault of faultsOf(plan, 'section-crossed')) {
    const [a, b] = fault.sections;
    if (tower === a - 1) source = b - 1;
    else if (tower === b - 1) source = a - 1;
  }
  const edges = commands.edges[source] ?? [];
  const stuck = faultsOf(plan, 'section-stuck').filter((fault) => fault.section === tower + 1);
  return stuck.reduce<readonly Edge[]>((list, fault) => {
    const start = Math.max(0, fault.start);
    const end = Math.min(dayLength(plan), fault.end);
    const stateAt = (time: number): boolean => list.findLast((edge) => edge.time <= time)?.on ?? false;
    const anyOn = fault.on ? master(commands).filter((edge) => edge.time > start && edge.time < end) : [];
    return [
      ...list.filter((edge) => edge.time <= start),
      { time: start, on: fault.on && (master(commands).findLast((edge) => edge.time <= start)?.on ?? false) },
      ...anyOn,
      ...(Number.isFinite(fault.end) ? [{ time: end, on: stateAt(end) }] : []),
      ...list.filter((edge) => edge.time > end),
    ];
  }, edges);
}

/** Edges of the meter drive itself: on while any section is. A stuck clutch still stops with the shaft. */
function master(commands: Commands): readonly Edge[] {
  const all = commands.edges.flatMap((list, section) => list.map((edge) => ({ ...edge, section }))).sort((a, b) => a.time - b.time);
  const on = new Set<number>();
  const result: Edge[] = [];
  for (const edge of all) {
    const before = on.size > 0;
    if (edge.on) on.add(edge.section);
    else on.delete(edge.section);
    if (on.size > 0 !== before) result.push({ time: edge.time, on: on.size > 0 });
  }
  return result;
}

