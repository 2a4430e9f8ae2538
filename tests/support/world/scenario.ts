import type { DayPlan } from './plan.ts';
import { buildWorld } from './simulate.ts';
import type { World } from './world.ts';
import { c0, c1, c4 } from './days/clean.ts';
import { s01 } from './days/s01.ts';
import { s08 } from './days/s08.ts';

export type { World, TrueEvent } from './world.ts';
export type { Truth, ExpectedFinding } from './truth.ts';

/** A synthetic day that can be made again from its seed. */
export interface Scenario {
  readonly id: string;
  readonly title: string;
  readonly build: (seed: number) => World;
}

export const plans: readonly DayPlan[] = [s01, s08, c0, c1, c4];

export const scenarios: readonly Scenario[] = plans.map((plan) => ({ id: plan.id, title: plan.title, build: (seed) => buildWorld(plan, seed) }));

export function scenario(id: string): Scenario {
  const found = scenarios.find((candidate) => candidate.id === id);
  if (found === undefined) throw new Error(`No synthetic day '${id}'; there are ${scenarios.map((s) => s.id).join(', ')}.`);
  return found;
}
