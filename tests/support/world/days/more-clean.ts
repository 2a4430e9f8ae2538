import type { DayPlan } from '../plan.ts';
import { cleanTruth } from './clean.ts';
import { workHours, workday } from './workday.ts';

const WHEAT = { crop: 'wheat', target: 120, seedGrams: 38, start: 0 } as const;

/** Days with nothing wrong that look wrong to simple rules. */
export const moreClean: readonly DayPlan[] = [
  workday({
    id: 'C2', title: 'Two products, fills with the fans running',
    tanks: { 1: WHEAT, 2: { crop: 'starter', target: 50, start: 100 } },
    agenda: [
      { do: 'park', until: '08:35', fans: true, fills: [{ tank: 1, mass: 5900, at: '08:05', minutes: 12 }, { tank: 2, mass: 2900, at: '08:20', minutes: 6 }] },
      { do: 'seed', until: '11:10' },
      { do: 'park', until: '11:30', fans: true, fills: [{ tank: 1, mass: 4200, at: '11:13', minutes: 9 }, { tank: 2, mass: 700, at: '11:23', minutes: 3 }] },
      { do: 'seed', until: '13:20' },
      { do: 'park', until: '13:30' },
    ],
    truth: cleanTruth([1, 2]),
  }),
  workday({
    id: 'C3', title: 'Point rows and an angled boundary', land: { boundaryAngle: Math.PI / 6, headlandLaps: 2, passLength: 420 },
    faults: [1, 2, 3, 4, 5, 6].map((section) => ({ kind: 'section-off' as const, section, times: 14, shortest: 5, longest: 25 })),
    truth: cleanTruth([1]),
  }),
  workday({
    id: 'C5', title: 'Early start, oil already warm, meters boosted at every start', ...workHours(6), weather: { airStart: 1, airEnd: 8, oilStart: 48 },
    faults: [{ kind: 'start-boost', tank: 1, factor: 1.3, seconds: 2 }],
    truth: cleanTruth([1]),
  }),
  workday({
    id: 'C6', title: 'Changing speed, short stops, single samples lost',
    agenda: [
      { do: 'park', until: '08:30', fills: [{ tank: 1, mass: 5900, at: '08:05', minutes: 12 }] },
      { do: 'seed', until: '09:02', wavering: 1 }, { do: 'pause', seconds: 12 }, { do: 'seed', until: '09:31', kmh: 6.5 }, { do: 'pause', seconds: 45 },
      { do: 'seed', until: '10:12', wavering: 1.2 }, { do: 'pause', seconds: 8 }, { do: 'seed', until: '11:10', kmh: 9 },
      { do: 'park', until: '11:30', fills: [{ tank: 1, mass: 4000, at: '11:15', minutes: 8 }] },
      { do: 'seed', until: '12:05', kmh: 7 }, { do: 'pause', seconds: 150 }, { do: 'seed', until: '13:20', wavering: 1 },
      { do: 'park', until: '13:30' },
    ],
    faults: [{ kind: 'samples-lost', every: 400 }],
    truth: cleanTruth([1]),
  }),
  workday({
    id: 'C7', title: 'Hoses primed, catch test, road with a test speed left on',
    agenda: [
      { do: 'park', until: '08:20', fills: [{ tank: 1, mass: 5900, at: '08:05', minutes: 12 }] },
      { do: 'park', until: '08:25', fans: true }, { do: 'prime', seconds: 8, kmh: 8 },
      { do: 'road', until: '08:50', metres: 2800, testSpeed: 8 },
      { do: 'seed', until: '11:10' },
      { do: 'park', until: '11:30', fills: [{ tank: 1, mass: 4000, at: '11:15', minutes: 8 }] },
      { do: 'seed', until: '13:20' },
      { do: 'park', until: '13:30' },
    ],
    truth: cleanTruth([1]),
  }),
  workday({
    id: 'C8', title: 'Peas in the wind on a side hill', tanks: { 1: { crop: 'pea', target: 200, seedGrams: 220, start: 0 } }, land: { side: 0.06, grade: 0.04 }, attitude: true,
    agenda: [
      { do: 'park', until: '08:30', fills: [{ tank: 1, mass: 5950, at: '08:05', minutes: 12 }] },
      { do: 'seed', until: '10:35' },
      { do: 'park', until: '11:00', fills: [{ tank: 1, mass: 5300, at: '10:42', minutes: 11 }] },
      { do: 'seed', until: '12:55' },
      { do: 'park', until: '13:30' },
    ],
    faults: [{ kind: 'scale-noise', tank: 1, factor: 1.8 }],
    truth: cleanTruth([1]),
  }),
  workday({
    id: 'C9', title: 'Two tanks of wheat hand over, meters following a map', ...workHours(8),
    tanks: { 1: { ...WHEAT, start: 0, standIn: 4 }, 4: { crop: 'wheat', target: 120, seedGrams: 38, start: 850, waits: true } },
    agenda: [
      { do: 'park', until: '08:30', fills: [{ tank: 1, mass: 4300, at: '08:05', minutes: 9 }] },
      { do: 'seed', until: '11:20' },
      { do: 'park', until: '11:45', fills: [{ tank: 1, mass: 4000, at: '11:25', minutes: 8 }] },
      { do: 'seed', until: '13:20' },
      { do: 'park', until: '13:30' },
    ],
    faults: [
      { kind: 'target', tank: 1, from: '09:10', to: '09:40', factor: 0.85, prescribed: true },
      { kind: 'target', tank: 1, from: '12:10', to: '12:35', factor: 1.15, prescribed: true },
    ],
    truth: cleanTruth([]),
  }),
  workday({
    id: 'C10', title: 'Key off at noon: counters from zero, logs silent, one fill without ticket', from: '08:00', to: '14:00',
    agenda: [
      { do: 'park', until: '08:30', fills: [{ tank: 1, mass: 5900, at: '08:05', minutes: 12 }] },
      { do: 'seed', until: '11:20' },
      { do: 'park', until: '11:30', fills: [{ tank: 1, mass: 2600, at: '11:22', minutes: 5, ticket: false }] },
      { do: 'park', until: '12:00', engine: false },
      { do: 'seed', until: '13:50' },
      { do: 'park', until: '14:00' },
    ],
    faults: [{ kind: 'log-gap', file: 'cart', from: '11:31', to: '11:55' }, { kind: 'log-gap', file: 'tractor', from: '11:31', to: '11:56' }, { kind: 'counter-reset', from: '11:55' }],
    truth: cleanTruth([1]),
  }),
  workday({
    id: 'C11', title: 'Tyre grows as the tank empties',
    faults: [{ kind: 'wheel-factor', from: '08:30', to: '11:10', factor: 1.006, last: 0.998 }, { kind: 'wheel-factor', from: '11:30', to: '13:20', factor: 1.005, last: 0.999 }],
    truth: cleanTruth([1]),
  }),
];
