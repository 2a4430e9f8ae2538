import type { Setup } from '../../shared/setup.ts';
import type { Span } from '../../shared/span.ts';
import { createFloat64Builder } from '../core/column-builder.ts';
import { placeAt, type OpenerPath } from './openers.ts';

/** A part of the drill that is switched as one; m from the drill's middle, right positive. */
export interface Section {
  readonly id: string;
  readonly left: number;
  readonly right: number;
}

/** A section and when it put product down, shifted for transport delay by whoever knows it. */
export interface Strip extends Section {
  readonly on: readonly Span[];
}

/** Pieces of ground passed over within about a second each, in time order. */
export interface Swaths {
  readonly count: number;
  /** Eight numbers each: east, north of rear left, rear right, front right, front left; m on the path's plane. */
  readonly corners: Float64Array;
  /** s, middle of each piece. */
  readonly time: Float64Array;
  /** rad from north, clockwise. */
  readonly heading: Float64Array;
}

/** m; sections closer than this are one swath. */
const TOUCHING = 0.01;

/** The ground under the sections that were on. Nothing is drawn across a break in the track. */
export function swathsOf(path: OpenerPath, strips: readonly Strip[]): Swaths {
  const corners = createFloat64Builder();
  const times = createFloat64Builder();
  const headings = createFloat64Builder();
  const ordered = strips.toSorted((a, b) => a.left - b.left);
  const at = ordered.map(() => 0);
  const put = ({ east, north, heading }: { readonly east: number; readonly north: number; readonly heading: number }, aside: number): void => {
    corners.push(east + aside * Math.cos(heading));
    corners.push(north - aside * Math.sin(heading));
  };
  for (let i = 1; i < path.time.length; i++) {
    if (path.broken[i] === 1) continue;
    const start = path.time[i - 1] as number;
    const end = path.time[i] as number;
    const cuts = cutsWithin(ordered, at, start, end);
    for (let c = 1; c < cuts.length; c++) {
      const from = cuts[c - 1] as number;
      const to = cuts[c] as number;
      const groups = groupsOn(ordered, at, (from + to) / 2);
      if (groups.length === 0) continue;
      const rear = placeAt(path, from);
      const front = placeAt(path, to) ?? rear;
      if (rear === undefined || front === undefined) continue;
      for (const { left, right } of groups) {
        put(rear, left);
        put(rear, right);
        put(front, right);
        put(front, left);
        times.push((from + to) / 2);
        headings.push(front.heading);
      }
    }
  }
  return { count: times.length(), corners: corners.finish(), time: times.finish(), heading: headings.finish() };
}

/** The two ends and every switching between them; moves each strip's place in its own list along. */
function cutsWithin(strips: readonly Strip[], at: number[], start: number, end: number): readonly number[] {
  let cuts: number[] | undefined;
  let any = false;
  strips.forEach(({ on }, s) => {
    let index = at[s] as number;
    while (index < on.length && (on[index] as Span).end <= start) index++;
    at[s] = index;
    for (; index < on.length && (on[index] as Span).start < end; index++) {
      any = true;
      const span = on[index] as Span;
      if (span.start > start) (cuts ??= []).push(span.start);
      if (span.end < end) (cuts ??= []).push(span.end);
    }
  });
  if (!any) return [];
  return cuts === undefined ? [start, end] : [start, ...new Set(cuts.toSorted((a, b) => a - b)), end];
}

/** Neighbouring strips that are on at a time, merged. */
function groupsOn(strips: readonly Strip[], at: readonly number[], time: number): { left: number; right: number }[] {
  const groups: { left: number; right: number }[] = [];
  strips.forEach(({ on, left, right }, s) => {
    let index = at[s] as number;
    while (index < on.length && (on[index] as Span).end <= time) index++;
    if (!(index < on.length && (on[index] as Span).start <= time)) return;
    const last = groups.at(-1);
    if (last !== undefined && left - last.right <= TOUCHING) last.right = Math.max(last.right, right);
    else groups.push({ left, right });
  });
  return groups;
}

/**
 * The sections' places on the drill. Runs are numbered from the left (common practice, no source). By the setup's towers
 * when they name sections; else the logged sections share the width equally from left to right; without any, the whole
 * width is one section with id ''. Empty when the width is unknown.
 */
export function sectionsOf({ machine }: Setup, logged: readonly string[] = []): readonly Section[] {
  const { rowSpacing, towers } = machine;
  const runs = towers.flatMap((tower) => tower.runs);
  const spacing = rowSpacing ?? (machine.workingWidth === undefined ? undefined : machine.workingWidth / runs.length);
  const named = towers.filter((tower) => tower.section !== undefined);
  if (spacing !== undefined && named.length > 0) {
    const first = Math.min(...runs);
    const middle = (first + Math.max(...runs) + 1) / 2;
    return [...new Set(named.map((tower) => tower.section ?? ''))].map((id) => {
      const its = named.filter((tower) => tower.section === id).flatMap((tower) => tower.runs);
      return { id, left: (Math.min(...its) - middle) * spacing, right: (Math.max(...its) + 1 - middle) * spacing };
    });
  }
  const width = machine.workingWidth ?? (rowSpacing === undefined || runs.length === 0 ? undefined : rowSpacing * runs.length);
  if (width === undefined) return [];
  const ids = logged.length > 0 ? logged : [''];
  return ids.map((id, k) => ({ id, left: (k / ids.length - 0.5) * width, right: ((k + 1) / ids.length - 0.5) * width }));
}
