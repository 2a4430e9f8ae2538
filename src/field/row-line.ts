import type { Setup } from '../../shared/setup.ts';
import type { Span } from '../../shared/span.ts';
import { placeAt, type OpenerPath } from './openers.ts';
import { simplified, type Point } from './simplify.ts';

/** m; a line on the ground is drawn to this. */
const TOLERANCE = 0.1;

/** m to the right of the drill's middle at which a run's row lies; runs are numbered from the left (common practice, no source). */
export function runOffset({ machine }: Setup, run: number): number | undefined {
  const runs = machine.towers.flatMap((tower) => tower.runs);
  const spacing = machine.rowSpacing ?? (machine.workingWidth === undefined ? undefined : machine.workingWidth / runs.length);
  if (spacing === undefined || !runs.includes(run)) return undefined;
  return (run - (Math.min(...runs) + Math.max(...runs)) / 2) * spacing;
}

/**
 * Where the row `aside` m right of the drill's middle was sown during a span: one line per unbroken stretch, in degrees
 * as GeoJSON has them.
 */
export function rowLines(path: OpenerPath, aside: number, span: Span): readonly (readonly (readonly [longitude: number, latitude: number])[])[] {
  const lines: Point[][] = [[]];
  const put = (time: number): void => {
    const place = placeAt(path, time);
    if (place !== undefined) lines.at(-1)?.push([place.east + aside * Math.cos(place.heading), place.north - aside * Math.sin(place.heading)]);
  };
  put(span.start);
  for (let i = 0; i < path.time.length; i++) {
    const time = path.time[i] as number;
    if (time <= span.start || time >= span.end) continue;
    if (path.broken[i] === 1) lines.push([]);
    put(time);
  }
  put(span.end);
  return lines.filter(({ length }) => length > 1).map((points) => simplified(points, TOLERANCE).map(([east, north]) => path.plane.fromPlane(east, north)));
}
