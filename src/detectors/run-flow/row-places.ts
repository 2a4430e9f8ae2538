import type { MapEvidence } from '../../../shared/evidence.ts';
import type { Place } from '../../../shared/finding.ts';
import type { Span } from '../../../shared/span.ts';
import { openerPath, placeAt, type OpenerPath } from '../../field/openers.ts';
import { simplified } from '../../field/simplify.ts';
import { antennaTrack } from '../../field/track.ts';
import { rowSpacing } from './cost.ts';
import type { FlowLog } from './flow-log.ts';
import type { RunFlowContext } from './story.ts';

/** Lines on the ground where some runs went, and the drill's way around them. */
export interface RowPlaces {
  readonly places: readonly Place[];
  readonly map: MapEvidence;
}

/** s between points, and m by which a drawn line may differ from the way. */
const EVERY = 2;
const TOLERANCE = 0.3;

export interface RowPlacesQuestion {
  readonly tower: number;
  /** Machine numbers; the first and the last row are drawn. */
  readonly runs: readonly number[];
  readonly spans: readonly Span[];
  readonly title: string;
  readonly label: (run: number) => string;
  readonly pathLabel: string;
  readonly text: (run: number) => string;
}

/** Undefined without positions or row spacing. Seed falls where the openers were when it left the run: the transport time is below a few metres and not taken off. */
export function rowPlaces(context: RunFlowContext, log: FlowLog, question: RowPlacesQuestion): RowPlaces | undefined {
  const path = drillPath(context);
  const spacing = rowSpacing(context);
  if (path === undefined || spacing === undefined) return undefined;
  const numbers = context.setup.machine.towers.flatMap(({ runs }) => runs);
  const first = Math.min(...numbers);
  const last = Math.max(...numbers);
  const lateral = (run: number): number => (run - (first + last) / 2) * spacing;
  const open = openSpans(log, question.tower, question.spans);
  const drawn = question.runs.length > 2 ? [question.runs[0] as number, question.runs.at(-1) as number] : question.runs;
  const rows = drawn.flatMap((run) => open.flatMap((span) => {
    const line = simplified(wayOf(path, span, lateral(run)), TOLERANCE);
    return line.length < 2 ? [] : [{ run, line }];
  }));
  if (rows.length === 0) return undefined;
  const { plane } = path;
  return {
    places: rows.map(({ run, line }): Place => ({ kind: 'line', coordinates: line.map(([east, north]) => plane.fromPlane(east, north)), text: question.text(run) })),
    map: {
      kind: 'map', title: question.title, origin: plane.origin, areas: [],
      lines: [
        ...open.map((span) => ({ label: question.pathLabel, role: 'path' as const, points: simplified(wayOf(path, span, 0), TOLERANCE) })).filter(({ points }) => points.length > 1),
        ...rows.map(({ run, line }) => ({ label: question.label(run), role: 'subject' as const, points: line })),
      ],
    },
  };
}

const paths = new WeakMap<object, OpenerPath | undefined>();

/** Worked out once per day. */
function drillPath(context: RunFlowContext): OpenerPath | undefined {
  const latitude = context.channel('gnss.lat');
  const longitude = context.channel('gnss.lon');
  if (latitude === undefined || longitude === undefined) return undefined;
  if (!paths.has(latitude)) paths.set(latitude, openerPath(antennaTrack(latitude, longitude), context.setup.machine.antennaToOpeners ?? { aft: 0, right: 0 }));
  return paths.get(latitude);
}

function wayOf(path: OpenerPath, { start, end }: Span, right: number): readonly (readonly [number, number])[] {
  const points: [number, number][] = [];
  for (let time = start; time <= end; time += EVERY) {
    const place = placeAt(path, time);
    if (place !== undefined) points.push([place.east + right * Math.cos(place.heading), place.north - right * Math.sin(place.heading)]);
  }
  return points;
}

function openSpans(log: FlowLog, tower: number, spans: readonly Span[]): readonly Span[] {
  const open = log.towers[tower]?.open ?? new Uint8Array(0);
  const found: Span[] = [];
  for (const span of spans) {
    let from = -1;
    const last = Math.min(log.cells, Math.ceil(span.end / log.step));
    for (let k = Math.max(0, Math.floor(span.start / log.step)); k <= last; k++) {
      const on = k < last && open[k] === 1;
      if (on && from < 0) from = k;
      if (!on && from >= 0) {
        found.push({ start: from * log.step, end: k * log.step });
        from = -1;
      }
    }
  }
  return found;
}
