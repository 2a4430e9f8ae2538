import type { DayPlan } from './plan.ts';
import { buildWorld } from './simulate.ts';
import type { World } from './world.ts';
import { c0, c1, c4 } from './days/clean.ts';
import { s01 } from './days/s01.ts';
import { s02 } from './days/s02.ts';
import { s04 } from './days/s04.ts';
import { s06 } from './days/s06.ts';
import { s07 } from './days/s07.ts';
import { s08 } from './days/s08.ts';
import { s09 } from './days/s09.ts';
import { s10 } from './days/s10.ts';
import { s11 } from './days/s11.ts';
import { s12 } from './days/s12.ts';
import { further } from './days/further.ts';
import { moreClean } from './days/more-clean.ts';
import { threeFaults } from './days/three-faults.ts';
import { variants } from './days/variants.ts';

export type { World, TrueEvent } from './world.ts';
export type { Truth, ExpectedFinding } from './truth.ts';

/** A synthetic day that can be made again from its seed. */
export interface Scenario {
  readonly id: string;
  readonly title: string;
  readonly build: (seed: number) => World;
}

export const plans: readonly DayPlan[] = [s01, s02, s04, s06, s07, s08, s09, s10, s11, s12, ...variants, ...further, ...threeFaults, c0, c1, c4, ...moreClean];

export const scenarios: readonly Scenario[] = plans.map((plan) => ({ id: plan.id, title: plan.title, build: (seed) => remembered(plan, seed) }));

/** Days last built, oldest first: tests of many detectors look at the same ones. A day holds 20 to 60 MB. */
const built = new Map<string, World>();
const MOST_REMEMBERED = 12;

function remembered(plan: DayPlan, seed: number): World {
  const key = `${plan.id} ${seed}`;
  const world = built.get(key) ?? buildWorld(plan, seed);
  built.delete(key);
  built.set(key, world);
  const oldest = built.keys().next().value;
  if (built.size > MOST_REMEMBERED && oldest !== undefined) built.delete(oldest);
  return world;
}

export function scenario(id: string): Scenario {
  const found = scenarios.find((candidate) => candidate.id === id);
  if (found === undefined) throw new Error(`No synthetic day '${id}'; there are ${scenarios.map((s) => s.id).join(', ')}.`);
  return found;
}
