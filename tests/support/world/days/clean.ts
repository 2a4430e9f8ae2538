import type { DayPlan, Facts } from '../plan.ts';
import type { Truth } from '../truth.ts';

/** Nothing may be flagged. */
export const cleanTruth = (tanks: readonly number[], exact: (facts: Facts) => Record<string, number> = () => ({})) => (facts: Facts): Truth => ({
  clean: true, expected: [], mustNot: [{ code: '.*' }], may: [],
  exact: {
    areaHa: facts.hectares(),
    ...Object.fromEntries(tanks.map((tank) => [`tank${tank}.appliedKgPerHa`, facts.dispensed(tank) / facts.hectares()])),
    ...exact(facts),
  },
});

/** An ordinary wheat day. */
export const c0: DayPlan = {
  id: 'C0', title: 'Plain wheat day',
  date: '2031-05-04', from: '07:20', to: '14:30',
  tanks: { 1: { crop: 'wheat', target: 120, seedGrams: 38, start: 0 } },
  agenda: [
    { do: 'park', until: '07:55', fills: [{ tank: 1, mass: 5800, at: '07:30', minutes: 11 }] },
    { do: 'road', until: '08:30', metres: 3000 },
    { do: 'seed', until: '11:40' },
    { do: 'park', until: '12:15', fills: [{ tank: 1, mass: 4600, at: '11:50', minutes: 9 }] },
    { do: 'seed', until: '14:25' },
    { do: 'park', until: '14:30' },
  ],
  truth: cleanTruth([1], () => ({ wheelRatio: 0.995 })),
};

/** Grades to 12 %, side slopes to 8 %, contour passes. */
export const c1: DayPlan = {
  id: 'C1', title: 'Hills',
  date: '2031-05-05', from: '07:30', to: '14:30',
  tanks: { 1: { crop: 'wheat', target: 120, seedGrams: 38, start: 0 } },
  land: { grade: 0.12, side: 0.08, contour: 6 },
  slip: { mean: -0.002, sd: 0.006, drive: 0.1 },
  agenda: [
    { do: 'park', until: '08:10', fills: [{ tank: 1, mass: 6000, at: '07:40', minutes: 12 }] },
    { do: 'seed', until: '11:15' },
    { do: 'park', until: '11:45', fills: [{ tank: 1, mass: 4900, at: '11:22', minutes: 10 }] },
    { do: 'seed', until: '14:25' },
    { do: 'park', until: '14:30' },
  ],
  truth: cleanTruth([1], () => ({ wheelRatio: 0.998 })),
};

/** Few seeds per second, many point rows, changing speed. */
export const c4: DayPlan = {
  id: 'C4', title: 'Tiny seed, low rate',
  date: '2031-05-06', from: '08:00', to: '17:30',
  tanks: { 4: { crop: 'canola', target: 2.6, seedGrams: 5.8, start: 0, spread: 0.12 } },
  slip: { mean: -0.003, sd: 0.008, drive: 0.1 },
  agenda: [
    { do: 'park', until: '08:20', fills: [{ tank: 4, mass: 400, at: '08:05', minutes: 8 }] },
    { do: 'seed', until: '12:30', kmh: 7.6, wavering: 1.1 },
    { do: 'park', until: '12:55' },
    { do: 'seed', until: '17:20', kmh: 7.4, wavering: 1.3 },
    { do: 'park', until: '17:30' },
  ],
  faults: [
    { kind: 'dust', loss: 0.02 },
    ...[1, 2, 3, 4, 5, 6].map((section) => ({ kind: 'section-off' as const, section, times: section < 3 ? 12 : 11, shortest: 4, longest: 25 })),
  ],
  truth: cleanTruth([4], () => ({ wheelRatio: 0.997, seedsPerM2: 45 })),
};
