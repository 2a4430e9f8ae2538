import type { DayPlan, Facts, Task } from '../plan.ts';
import type { ExpectedFinding, Truth } from '../truth.ts';

const clock = (hour: number, minute: number): string => `${String(hour + Math.floor(minute / 60)).padStart(2, '0')}:${String(minute % 60).padStart(2, '0')}`;

/** 5.5 h of wheat beginning at a full hour: fill, seed 160 min, fill, seed 110 min; about 61 ha. */
export function workHours(hour: number, seed: Omit<Extract<Task, { do: 'seed' }>, 'do' | 'until'> = {}): Pick<DayPlan, 'from' | 'to' | 'agenda'> {
  return {
    from: clock(hour, 0), to: clock(hour, 330),
    agenda: [
      { do: 'park', until: clock(hour, 30), fills: [{ tank: 1, mass: 5900, at: clock(hour, 5), minutes: 12 }] },
      { do: 'seed', until: clock(hour, 190), ...seed },
      { do: 'park', until: clock(hour, 210), fills: [{ tank: 1, mass: 4000, at: clock(hour, 195), minutes: 8 }] },
      { do: 'seed', until: clock(hour, 320), ...seed },
      { do: 'park', until: clock(hour, 330) },
    ],
  };
}

/** A day of 5.5 h from 08:00 with wheat in tank 1, unless told otherwise. */
export const workday = (plan: Pick<DayPlan, 'id' | 'title' | 'truth'> & Partial<DayPlan>): DayPlan => ({
  date: '2031-05-14', ...workHours(8), tanks: { 1: { crop: 'wheat', target: 120, seedGrams: 38, start: 0 } }, ...plan,
});

/** A truth whose findings are exactly these. */
export const faultTruth = (
  expected: (facts: Facts) => readonly ExpectedFinding[], may: Truth['may'] = [], mustNot: Truth['mustNot'] = [], exact: (facts: Facts) => Record<string, number> = () => ({}),
) => (facts: Facts): Truth => ({ clean: false, expected: expected(facts), may, mustNot, exact: { areaHa: facts.hectares(), ...exact(facts) } });
