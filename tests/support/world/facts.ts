import type { ProductFlow } from './flow.ts';
import { ROW_SPACING, RUNS_PER_TOWER, STEP } from './machine.ts';
import { clockOf, dayLength } from './plan.ts';
import type { DayPlan, Facts } from './plan.ts';
import type { Commands } from './sections.ts';
import type { Track } from './track.ts';

/** What really happened, read off the simulation. */
export function factsOf(plan: DayPlan, track: Track, commands: Commands, flows: readonly ProductFlow[], hectares: Float64Array, weighed: (tank: number) => Float32Array): Facts {
  const step = (seconds: number): number => Math.max(0, Math.min(track.steps - 1, Math.round(seconds / STEP)));
  const end = dayLength(plan);
  return {
    at: clockOf(plan),
    hectares: (from = 0, to = end) => (hectares[step(to)] as number) - (hectares[step(from)] as number),
    dispensed: (tank, from = 0, to = end) => {
      const flow = flows.find((candidate) => candidate.tank === tank);
      return flow === undefined ? 0 : (flow.dispensed[step(to)] as number) - (flow.dispensed[step(from)] as number);
    },
    shown: (tank, time) => weighed(tank)[Math.round(time)] ?? Number.NaN,
    rowMetres: (run, from, to) => {
      const on = commands.on[Math.floor((run - 1) / RUNS_PER_TOWER)];
      let metres = 0;
      for (let i = step(from); i < step(to); i++) metres += (on?.[i] ?? 0) * Math.max(0, track.speed[i] as number) * STEP;
      return metres;
    },
    dry: (tank) => flows.find((flow) => flow.tank === tank)?.dry ?? Number.NaN,
    entries: () => track.stretches.length,
    edges: (from = 0, to = end) => commands.edges.flat().filter((edge) => edge.time >= from && edge.time < to).length,
  };
}

/** ha of one row of so many metres. */
export const rowHectares = (metres: number): number => (metres * ROW_SPACING) / 1e4;
