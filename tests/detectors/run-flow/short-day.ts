import { parseSetup } from '../../../shared/setup-file.ts';
import type { Setup } from '../../../shared/setup.ts';
import type { TestDay } from '../../support/detector-tester.ts';
import type { Fault } from '../../support/world/faults.ts';
import type { Crop } from '../../support/world/machine.ts';
import type { DayPlan, Task } from '../../support/world/plan.ts';
import { buildWorld } from '../../support/world/simulate.ts';
import type { World } from '../../support/world/world.ts';

interface ShortDay {
  readonly faults?: readonly Fault[];
  readonly crop?: Crop;
  /** kg/ha and g per 1,000 seeds. */
  readonly target?: number;
  readonly seedGrams?: number;
  readonly start?: number;
  readonly spread?: number;
  readonly seed?: Omit<Extract<Task, { do: 'seed' }>, 'do' | 'until'>;
  readonly hours?: number;
  readonly plan?: Partial<DayPlan>;
}

/** A log from 08:00 with seeding from 08:05; second 0 is 08:00. */
export function shortPlan({ faults = [], crop = 'wheat', target = 120, seedGrams = 38, start = 6000, spread, seed = {}, hours = 1.5, plan = {} }: ShortDay): DayPlan {
  const end = 8 * 60 + hours * 60;
  const clock = (minutes: number): string => `${String(Math.floor(minutes / 60)).padStart(2, '0')}:${String(minutes % 60).padStart(2, '0')}`;
  return {
    id: 'short', title: 'Short day', date: '2031-05-17', from: '08:00', to: clock(end),
    tanks: { 1: { crop, target, seedGrams, start, ...(spread === undefined ? {} : { spread }) } },
    agenda: [{ do: 'park', until: '08:05' }, { do: 'seed', until: clock(end - 2), ...seed }, { do: 'park', until: clock(end) }],
    faults,
    truth: () => ({ clean: true, expected: [], mustNot: [], may: [], exact: {} }),
    ...plan,
  };
}

export const shortDay = (day: ShortDay, change: (setup: Setup) => Setup = (setup) => setup) => (seed: number): TestDay => testDay(buildWorld(shortPlan(day), seed), change);

export function testDay(world: World, change: (setup: Setup) => Setup = (setup) => setup): TestDay {
  const { setup, problems } = parseSetup(world.setup);
  if (problems.length > 0) throw new Error(problems.map(({ message }) => message).join(' '));
  return { channels: world.channels, dayStart: world.dayStart, duration: world.duration, setup: change(setup) };
}

/** Seconds from 08:00. */
export const at = (clock: string): number => {
  const [hours = 0, minutes = 0, seconds = 0] = clock.split(':').map(Number);
  return (hours - 8) * 3600 + minutes * 60 + seconds;
};

export const around = (clock: string, tolerance: number): readonly [number, number] => [at(clock) - tolerance, at(clock) + tolerance];
