import type { Span } from '../../shared/span.ts';
import { indexAtOrBefore } from '../series/resample.ts';
import { unionSpans } from '../series/spans.ts';
import type { AntennaTrack } from './track.ts';
import type { Section } from './swath.ts';

/**
 * Area by distance × width, m²: what a monitor counts. Overlap is counted as often as it is driven; the difference to
 * the covered area is overlap.
 */
export interface WorkedArea {
  readonly area: number;
  /** m driven while at least one section was on. */
  readonly distance: number;
  /** s of it for which no distance was known: nothing was added for them. */
  readonly unknown: number;
}

/** From a speed in m/s per second of the day: the GNSS's Doppler speed, or the wheel's. */
export function areaBySpeed(speed: ArrayLike<number>, sections: readonly (Section & { readonly on: readonly Span[] })[]): WorkedArea {
  const distanceIn = (start: number, end: number): { readonly metres: number; readonly unknown: number } => {
    let metres = 0;
    let unknown = 0;
    for (let k = Math.max(0, Math.floor(start)); k < Math.min(speed.length, end); k++) {
      const seconds = Math.min(end, k + 1) - Math.max(start, k);
      const v = speed[k] as number;
      if (Number.isNaN(v)) unknown += seconds;
      else metres += v * seconds;
    }
    return { metres, unknown };
  };
  return areaBy(distanceIn, sections);
}

/** From positions: the way between them, which noise makes a little longer at a crawl. */
export function areaByPosition(track: AntennaTrack, sections: readonly (Section & { readonly on: readonly Span[] })[]): WorkedArea {
  const { time, east, north, broken } = track;
  const way = new Float64Array(time.length);
  for (let i = 1; i < time.length; i++) {
    const step = broken[i] === 1 ? 0 : Math.hypot((east[i] as number) - (east[i - 1] as number), (north[i] as number) - (north[i - 1] as number));
    way[i] = (way[i - 1] as number) + step;
  }
  const at = (t: number): number => {
    const i = indexAtOrBefore(time, t);
    if (i < 0) return 0;
    if (i + 1 >= time.length) return way[i] as number;
    return (way[i] as number) + (((way[i + 1] as number) - (way[i] as number)) * (t - (time[i] as number))) / ((time[i + 1] as number) - (time[i] as number));
  };
  const unknownIn = (start: number, end: number): number => {
    let unknown = Math.max(0, Math.min(end, time[0] ?? end) - start) + Math.max(0, end - Math.max(start, time.at(-1) ?? start));
    for (let i = Math.max(1, indexAtOrBefore(time, start)); i < time.length && (time[i - 1] as number) < end; i++) {
      if (broken[i] === 1) unknown += Math.max(0, Math.min(end, time[i] as number) - Math.max(start, time[i - 1] as number));
    }
    return unknown;
  };
  return areaBy((start, end) => ({ metres: at(end) - at(start), unknown: unknownIn(start, end) }), sections);
}

function areaBy(
  distanceIn: (start: number, end: number) => { readonly metres: number; readonly unknown: number },
  sections: readonly (Section & { readonly on: readonly Span[] })[],
): WorkedArea {
  let area = 0;
  for (const { left, right, on } of sections) for (const { start, end } of on) area += (right - left) * distanceIn(start, end).metres;
  let distance = 0;
  let unknown = 0;
  for (const { start, end } of unionSpans(...sections.map(({ on }) => on))) {
    const part = distanceIn(start, end);
    distance += part.metres;
    unknown += part.unknown;
  }
  return { area, distance, unknown };
}
