import { AFT, STEP, TOWERS, WIDTH, halfFlowDelays } from './machine.ts';
import { PRODUCTS } from './machine.ts';
import { dayLength, faultsOf } from './plan.ts';
import type { DayPlan } from './plan.ts';
import type { Random } from './random.ts';
import { PARKED } from './track.ts';
import type { Stretch, Track } from './track.ts';

/** One commanded edge, s from the day's start. */
export interface Edge {
  readonly time: number;
  readonly on: boolean;
}

/** Commanded states of all sections. */
export interface Commands {
  readonly edges: readonly (readonly Edge[])[];
  /** Per section, the state in each step. */
  readonly on: readonly Uint8Array[];
  /** Share of the width that is on, per step. */
  readonly share: Float32Array;
}

/** Delays the operator entered, s; by default the true means over the towers of the first counted product. */
export function enteredDelays(plan: DayPlan): { readonly on: number; readonly off: number } {
  const product = PRODUCTS[Object.values(plan.tanks)[0]?.crop ?? 'wheat'];
  const delays = TOWERS.map((_, tower) => halfFlowDelays(tower, product));
  const mean = (pick: (d: { on: number; off: number }) => number): number => Math.round((delays.reduce((sum, d) => sum + pick(d), 0) / delays.length) * 10) / 10;
  return { on: plan.entered?.on ?? mean((d) => d.on), off: plan.entered?.off ?? mean((d) => d.off) };
}

/**
 * What the section control commands: each section comes on when its openers will be over unseeded ground after the entered
 * ON delay, and goes off likewise. Look-ahead uses the true antenna position: a wrong one that the control shares with
 * the setup leaves no trace in a log, whatever is wrong with `entered.aft` stands in the setup alone.
 */
export function commandSections(plan: DayPlan, track: Track, random: Random): Commands {
  const delays = enteredDelays(plan);
  const planned = plannedOff(plan, track, random);
  const share = new Float32Array(track.steps);
  const edges: Edge[][] = [];
  const on: Uint8Array[] = [];
  for (let k = 0; k < TOWERS.length; k++) {
    const states = new Uint8Array(track.steps);
    const shut = new Uint8Array(track.steps);
    for (const span of planned) if (span.section === k) shut.fill(1, Math.ceil(span.start / STEP), Math.ceil(span.end / STEP));
    const list: Edge[] = [];
    let last = 0;
    for (let i = 0; i < track.steps; i++) {
      const index = track.stretch[i] as number;
      const time = i * STEP;
      let want = 0;
      let fraction = 1;
      if (index >= 0 && track.working[i] === 1) {
        const stretch = track.stretches[index] as Stretch;
        const v = Math.max(0, track.speed[i] as number);
        const openers = (track.along[i] as number) - AFT;
        const pastEntry = openers + v * delays.on - (stretch.entry[k] as number);
        const pastExit = openers + v * delays.off - (stretch.exit[k] as number);
        want = pastEntry >= 0 && pastExit < 0 ? 1 : 0;
        /* The edge lies inside this step. */
        const past = want === 1 ? pastEntry : pastExit;
        if (want !== last && v > 0.2 && past >= 0) fraction = 1 - Math.min(1, past / (v * STEP));
        if (shut[i] === 1) want = 0;
      }
      if (isPriming(track, i)) want = 1;
      if (want !== last) list.push({ time: Math.max(0, time - STEP + fraction * STEP), on: want === 1 });
      last = want;
      states[i] = want;
      share[i] = (share[i] as number) + want / TOWERS.length;
    }
    edges.push(list);
    on.push(states);
  }
  return { edges, on, share };
}

/** Meters turned by hand at standstill. */
const isPriming = (track: Track, step: number): boolean => track.activity[step] === PARKED && !Number.isNaN(track.testSpeed[step] as number);

/** Point rows and other moments at which a section is commanded off in mid-field, at random moments while working. */
function plannedOff(plan: DayPlan, track: Track, random: Random): readonly { readonly section: number; readonly start: number; readonly end: number }[] {
  return faultsOf(plan, 'section-off').flatMap((fault) => {
    const from = Math.max(0, fault.start);
    const to = Math.min(dayLength(plan), fault.end);
    const spans: { section: number; start: number; end: number }[] = [];
    for (let tries = 0; spans.length < fault.times && tries < 400 * fault.times; tries++) {
      const start = random.between(from, to);
      const length = random.between(fault.shortest, fault.longest);
      const inField = [start - 15, start, start + length, start + length + 15].every((t) => (track.stretch[Math.round(t / STEP)] ?? -1) >= 0 && track.working[Math.round(t / STEP)] === 1);
      const isFree = spans.every((s) => start > s.end + 14 || start + length + 14 < s.start);
      if (inField && isFree && start + length < to) spans.push({ section: fault.section - 1, start, end: start + length });
    }
    return spans;
  });
}

/** True hectares per step boundary, cumulative: width commanded on × way over ground. */
export function hectaresWorked(track: Track, share: Float32Array): Float64Array {
  const total = new Float64Array(track.steps + 1);
  for (let i = 0; i < track.steps; i++) {
    const way = Math.max(0, track.speed[i] as number) * Math.cos(track.pitch[i] as number) * STEP;
    total[i + 1] = (total[i] as number) + ((share[i] as number) * WIDTH * way) / 1e4;
  }
  return total;
}
