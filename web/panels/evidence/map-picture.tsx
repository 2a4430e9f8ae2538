import { useMemo } from 'preact/hooks';
import type { MapEvidence } from '../../../shared/evidence.ts';
import { renderText } from '../../../shared/text.ts';
import { useDrawing } from '../../plot/drawing.ts';
import { useFetched } from '../../plot/fetched.ts';
import { themeColour } from '../../plot/palette.ts';
import { TableBehind } from '../../plot/table-behind.tsx';
import { fetchField, type Field } from '../map/field-store.ts';
import { paintGround } from '../map/map-painting.ts';
import { fit, toX, toY, type Sight } from '../map/map-sight.ts';
import { reading } from '../../state.ts';

const HEIGHT = 360;
const METRES_PER_DEGREE = 111_320;

type Point = readonly [number, number];

/** Where on the field: what the finding names over the ground that was driven, north up, with a scale bar. */
export function MapPicture({ evidence, day }: { readonly evidence: MapEvidence; readonly day: string }) {
  const fetched = useFetched(() => fieldOf(day), [day]);
  const field = fetched.status === 'ready' ? fetched.value : undefined;
  const units = reading.value.units;
  const shapes = useMemo(() => shapesOf(evidence, field), [evidence, field]);
  const canvas = useDrawing(HEIGHT, (pen, width) => paint(pen, fit(boundsOf(shapes, field), width, HEIGHT), shapes, field, units === 'us'), [shapes, field, units]);
  const say = (text: string): string => renderText(text, reading.value);
  const subjects = shapes.filter((shape) => shape.isSubject);
  return (
    <>
      <canvas ref={canvas} class="picture map" role="img" tabIndex={0} aria-label={`${say(evidence.title)}. North is up. Marked: ${[...new Set(subjects.map(({ label }) => say(label)))].join('; ')}.`} />
      <p class="quiet axis-name">{[...new Set(subjects.map(({ label }) => say(label)))].slice(0, 3).join('; ')}{field === undefined ? '' : '; the ground covered that day behind it'}</p>
      <TableBehind summary="The places in numbers" columns={[{ label: 'what' }, { label: 'from latitude, longitude' }, { label: 'to latitude, longitude' }]}
        rows={() => subjects.map(({ label, points }) => [say(label), degrees(evidence, points[0]), degrees(evidence, points.at(-1))])} />
    </>
  );
}

/** The ground of a day is the same for all its findings. */
const fields = new Map<string, Promise<Field | undefined>>();
function fieldOf(day: string): Promise<Field | undefined> {
  const known = fields.get(day) ?? fetchField(day);
  fields.clear();
  fields.set(day, known);
  return known;
}

interface Shape {
  readonly label: string;
  readonly isSubject: boolean;
  readonly isArea: boolean;
  readonly points: readonly Point[];
}

/** Lines and areas in metres on the field's plane; the two origins may differ by a little. */
function shapesOf({ lines, areas, origin }: MapEvidence, field: Field | undefined): readonly Shape[] {
  const east = field === undefined ? 0 : (origin.longitude - field.origin.longitude) * METRES_PER_DEGREE * Math.cos((origin.latitude * Math.PI) / 180);
  const north = field === undefined ? 0 : (origin.latitude - field.origin.latitude) * METRES_PER_DEGREE;
  const shape = (isArea: boolean) => ({ label, role, points }: { readonly label: string; readonly role: string; readonly points: readonly Point[] }): Shape =>
    ({ label, isArea, isSubject: role === 'subject', points: points.map(([e, n]) => [e + east, n + north]) });
  return [...areas.map(shape(true)), ...lines.map(shape(false))];
}

function boundsOf(shapes: readonly Shape[], field: Field | undefined): Field['bounds'] {
  let { west, east, south, north } = field?.bounds ?? { west: Infinity, east: -Infinity, south: Infinity, north: -Infinity };
  for (const [e, n] of shapes.flatMap(({ points }) => points)) [west, east, south, north] = [Math.min(west, e), Math.max(east, e), Math.min(south, n), Math.max(north, n)];
  return { west, east, south, north };
}

function degrees({ origin }: MapEvidence, point: Point | undefined): string {
  if (point === undefined) return '–';
  const latitude = origin.latitude + point[1] / METRES_PER_DEGREE;
  const longitude = origin.longitude + point[0] / (METRES_PER_DEGREE * Math.cos((origin.latitude * Math.PI) / 180));
  return `${latitude.toFixed(5)}, ${longitude.toFixed(5)}`;
}

function paint(pen: CanvasRenderingContext2D, sight: Sight, shapes: readonly Shape[], field: Field | undefined, isUs: boolean): void {
  if (field !== undefined) paintGround(pen, sight, field, undefined, { overlaps: false, misses: false });
  for (const { isArea, isSubject, points } of shapes) {
    pen.beginPath();
    points.forEach(([east, north], index) => (index === 0 ? pen.moveTo(toX(sight, east), toY(sight, north)) : pen.lineTo(toX(sight, east), toY(sight, north))));
    if (isArea) {
      pen.fillStyle = themeColour(isSubject ? '--shade' : '--mark-soft');
      pen.fill();
    }
    pen.strokeStyle = themeColour(isSubject ? '--action' : '--quiet');
    pen.lineWidth = isSubject ? 3 : 1;
    pen.stroke();
  }
  scaleBar(pen, sight, isUs);
}

function scaleBar(pen: CanvasRenderingContext2D, sight: Sight, isUs: boolean): void {
  const perMetre = isUs ? 1 / 0.3048 : 1;
  const wanted = (120 / sight.scale) * perMetre;
  const power = 10 ** Math.floor(Math.log10(wanted));
  const length = [5, 2, 1].map((step) => step * power).find((each) => each <= wanted) ?? power;
  const pixels = (length / perMetre) * sight.scale;
  pen.strokeStyle = pen.fillStyle = themeColour('--ink');
  pen.lineWidth = 2;
  pen.font = '12px system-ui, sans-serif';
  pen.textAlign = 'left';
  pen.beginPath();
  pen.moveTo(14, sight.height - 16);
  pen.lineTo(14, sight.height - 10);
  pen.lineTo(14 + pixels, sight.height - 10);
  pen.lineTo(14 + pixels, sight.height - 16);
  pen.stroke();
  pen.fillText(`${length} ${isUs ? 'ft' : 'm'}`, 22 + pixels, sight.height - 8);
  pen.beginPath();
  pen.moveTo(sight.width - 18, 34);
  pen.lineTo(sight.width - 18, 14);
  pen.moveTo(sight.width - 23, 20);
  pen.lineTo(sight.width - 18, 13);
  pen.lineTo(sight.width - 13, 20);
  pen.stroke();
  pen.textAlign = 'center';
  pen.fillText('N', sight.width - 18, 48);
}
