import { STEP } from './machine.ts';
import { during, faultsOf } from './plan.ts';
import type { DayPlan } from './plan.ts';
import { wander } from './random.ts';
import type { Random } from './random.ts';
import type { Track } from './track.ts';

export const ORIGIN = { latitude: 0.5, longitude: -30 } as const;

/* WGS 84 (NIMA TR8350.2): a = 6,378,137 m, f = 1/298.257223563. */
const A = 6_378_137;
const E2 = (2 - 1 / 298.257223563) / 298.257223563;
const SIN2 = Math.sin((ORIGIN.latitude * Math.PI) / 180) ** 2;
/** m per degree at the origin, from the meridian and prime-vertical radii. */
export const METRES_PER_DEGREE = {
  latitude: ((A * (1 - E2)) / (1 - E2 * SIN2) ** 1.5) * (Math.PI / 180),
  longitude: (A / Math.sqrt(1 - E2 * SIN2)) * Math.cos((ORIGIN.latitude * Math.PI) / 180) * (Math.PI / 180),
} as const;

export interface GnssSignals {
  readonly latitude: Float64Array;
  readonly longitude: Float64Array;
  readonly speed: Float32Array;
  readonly course: Float32Array;
  readonly fix: Float32Array;
  readonly hdop: Float32Array;
  readonly satellites: Float32Array;
}

/** Receiver at the antenna, 5 Hz: white and wandering position error, speed one step late. */
export function receive(plan: DayPlan, track: Track, random: Random): GnssSignals {
  const n = track.steps;
  const signals: GnssSignals = {
    latitude: new Float64Array(n), longitude: new Float64Array(n), speed: new Float32Array(n), course: new Float32Array(n),
    fix: new Float32Array(n).fill(4), hdop: new Float32Array(n), satellites: new Float32Array(n),
  };
  const driftEast = wander(random, 0.02, 300);
  const driftNorth = wander(random, 0.02, 300);
  const sky = wander(random, 1, 600);
  const degradedEast = wander(random, 1, 60);
  const degradedNorth = wander(random, 1, 60);
  const freezes = faultsOf(plan, 'gnss-freeze');
  const degraded = faultsOf(plan, 'gnss-degraded');
  let course = 0;
  let frozen = -1;
  for (let i = 0; i < n; i++) {
    const time = i * STEP;
    /* 0.2 s lag. */
    const late = Math.max(0, i - 1);
    const forward = (track.speed[late] as number) * Math.cos(track.pitch[late] as number);
    const heading = (track.heading[late] as number) + (forward < 0 ? Math.PI : 0);
    const noise = 0.035;
    const along = Math.abs(forward) + noise * random.normal();
    const across = noise * random.normal();
    if (Math.abs(forward) > 0.15) course = heading + Math.atan2(across * 0.5, Math.max(0.3, along));
    const bad = degraded.find((fault) => during(fault, time));
    const extraEast = bad === undefined ? 0 : bad.sd * degradedEast(STEP);
    const extraNorth = bad === undefined ? 0 : bad.sd * degradedNorth(STEP);
    const east = (track.east[i] as number) + driftEast(STEP) + 0.02 * random.normal() + extraEast;
    const north = (track.north[i] as number) + driftNorth(STEP) + 0.02 * random.normal() + extraNorth;
    const view = sky(STEP);
    if (freezes.some((fault) => during(fault, time))) frozen = frozen < 0 ? Math.max(0, i - 1) : frozen;
    else frozen = -1;
    if (frozen >= 0) {
      for (const values of Object.values(signals) as Float32Array[]) values[i] = values[frozen] as number;
      continue;
    }
    signals.latitude[i] = ORIGIN.latitude + north / METRES_PER_DEGREE.latitude;
    signals.longitude[i] = ORIGIN.longitude + east / METRES_PER_DEGREE.longitude;
    signals.speed[i] = Math.max(0, Math.abs(forward) > 0.15 ? along : Math.hypot(along, across) * 0.5);
    signals.course[i] = ((course % (2 * Math.PI)) + 2 * Math.PI) % (2 * Math.PI);
    signals.fix[i] = bad === undefined ? 4 : 1;
    signals.hdop[i] = Math.round((bad === undefined ? 0.8 + 0.07 * view : 2.5 + 0.4 * view) * 100) / 100;
    signals.satellites[i] = Math.round(16 + view * 1.2 - (bad === undefined ? 0 : 8));
  }
  return signals;
}
