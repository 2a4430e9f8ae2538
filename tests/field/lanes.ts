import { openerPath, type Mount, type OpenerPath } from '../../src/field/openers.ts';
import { localPlane, type LocalPlane } from '../../src/field/plane.ts';
import { antennaTrack } from '../../src/field/track.ts';
import { swathsOf, type Strip } from '../../src/field/swath.ts';
import { coverageOf, type Coverage, type CoverageOptions } from '../../src/field/coverage.ts';

export type Corner = readonly [east: number, north: number];

const plane = localPlane(52, -106);

/** Antenna positions each second along a polyline at a speed in m/s; pauses between lanes. */
export function trackAlong(lanes: readonly (readonly Corner[])[], speed = 2, noise: () => number = () => 0, pause = 60) {
  const rows: [number, number, number][] = [];
  const spans: { start: number; end: number }[] = [];
  let time = 0;
  for (const lane of lanes) {
    const start = time;
    for (let c = 1; c < lane.length; c++) {
      const [ea, na] = lane[c - 1] ?? [0, 0];
      const [eb, nb] = lane[c] ?? [0, 0];
      /* Whole seconds, so that every corner has a sample of its own. */
      const seconds = Math.max(1, Math.round(Math.hypot(eb - ea, nb - na) / speed));
      for (let t = c === 1 ? 0 : 1; t <= seconds; t++) {
        const share = t / seconds;
        rows.push([time + t, ea + (eb - ea) * share + noise(), na + (nb - na) * share + noise()]);
      }
      time += seconds;
    }
    spans.push({ start, end: time });
    time += pause;
  }
  const times = Float64Array.from(rows, ([t]) => t);
  const places = rows.map(([, e, n]) => plane.fromPlane(e, n));
  return {
    track: antennaTrack({ time: times, value: Float64Array.from(places, ([, lat]) => lat) }, { time: times, value: Float64Array.from(places, ([lon]) => lon) }, plane),
    spans,
  };
}

export function pathAlong(lanes: readonly (readonly Corner[])[], options: { readonly speed?: number; readonly noise?: () => number; readonly mount?: Mount } = {}): { readonly path: OpenerPath; readonly spans: readonly { readonly start: number; readonly end: number }[]; readonly plane: LocalPlane } {
  const { track, spans } = trackAlong(lanes, options.speed, options.noise);
  return { path: openerPath(track, options.mount ?? { aft: 0, right: 0 }), spans, plane };
}

/** Coverage of lanes driven with one section of a width, on all along each lane. */
export function coverageAlong(lanes: readonly (readonly Corner[])[], width: number, options: CoverageOptions & { readonly noise?: () => number } = {}): Coverage {
  const { path, spans } = pathAlong(lanes, options);
  const strip: Strip = { id: '1', left: -width / 2, right: width / 2, on: spans };
  return coverageOf(swathsOf(path, [strip]), options);
}

/** Lane turned round (0, 0) by an angle clockwise. */
export function turned(lane: readonly Corner[], angle: number): Corner[] {
  return lane.map(([e, n]) => [e * Math.cos(angle) + n * Math.sin(angle), n * Math.cos(angle) - e * Math.sin(angle)]);
}
