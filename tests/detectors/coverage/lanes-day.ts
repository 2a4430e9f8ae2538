import type { Channel } from '../../../shared/channel.ts';
import { emptySetup, type Machine } from '../../../shared/setup.ts';
import type { Unit } from '../../../shared/units.ts';
import { localPlane } from '../../../src/field/plane.ts';
import { createRandom } from '../../support/world/random.ts';
import type { TestDay } from '../../support/detector-tester.ts';

export type Corner = readonly [east: number, north: number];

export interface LanesDay {
  /** Ways worked, m east and north of 52° N 106° W; between them the machine drives straight, lifted. */
  readonly lanes: readonly (readonly Corner[])[];
  readonly machine: Partial<Machine>;
  /** m/s */
  readonly speed?: number;
  /** s between lanes. */
  readonly pause?: number;
  /** m, white, on each position. */
  readonly noise?: number;
  readonly seed?: number;
}

export const PLANE = localPlane(52, -106);

/** A day drawn with a ruler, of which every area is known: positions once a second, antenna over the openers, one section. */
export function lanesDay({ lanes, machine, speed = 2, pause = 60, noise = 0, seed = 1 }: LanesDay): TestDay {
  const random = createRandom(seed, 'lanes');
  const rows: { time: number; east: number; north: number; working: number }[] = [];
  let time = 0;
  const go = (from: Corner, to: Corner, seconds: number, working: number): void => {
    for (let t = 0; t < seconds; t++) {
      const share = t / seconds;
      rows.push({ time: time + t, east: from[0] + (to[0] - from[0]) * share, north: from[1] + (to[1] - from[1]) * share, working });
    }
    time += seconds;
  };
  lanes.forEach((lane, l) => {
    lane.slice(1).forEach((corner, c) => {
      const from = lane[c] as Corner;
      go(from, corner, Math.max(1, Math.round(Math.hypot(corner[0] - from[0], corner[1] - from[1]) / speed)), 1);
    });
    const next = lanes[l + 1];
    if (next !== undefined) go(lane.at(-1) as Corner, next[0] as Corner, pause, 0);
  });
  const last = lanes.at(-1)?.at(-1) ?? [0, 0];
  go(last, last, 30, 0);
  const places = rows.map(({ east, north }) => PLANE.fromPlane(east + noise * random.normal(), north + noise * random.normal()));
  const moved = rows.map((row, i) => {
    const next = rows[i + 1] ?? row;
    return { speed: Math.hypot(next.east - row.east, next.north - row.north), course: Math.atan2(next.east - row.east, next.north - row.north) };
  });
  const channel = (id: string, unit: Unit, value: readonly number[]): Channel => ({ id, unit, source: { file: 'lanes.csv' }, time: Float64Array.from(rows, (row) => row.time), value: Float64Array.from(value) });
  return {
    channels: [
      channel('gnss.lat', 'deg', places.map(([, lat]) => lat)), channel('gnss.lon', 'deg', places.map(([lon]) => lon)),
      channel('gnss.speed', 'm/s', moved.map((each) => each.speed)), channel('gnss.course', 'rad', moved.map(({ course }) => course - 2 * Math.PI * Math.floor(course / (2 * Math.PI)))),
      channel('implement.working', '1', rows.map(({ working }) => working)),
    ],
    duration: time,
    setup: { ...emptySetup, machine: { ...emptySetup.machine, ...machine } },
  };
}

/** North–south lanes there and back at given eastings. */
export const upAndDown = (eastings: readonly number[], length: number, south = 0): readonly (readonly Corner[])[] =>
  eastings.map((east, i) => (i % 2 === 0 ? [[east, south], [east, south + length]] : [[east, south + length], [east, south]]));
