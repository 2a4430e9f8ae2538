import { toIso } from '../../shared/clock.ts';
import type { Day } from '../../shared/day.ts';
import type { Finding } from '../../shared/finding.ts';
import { matchesGlob } from '../../shared/glob.ts';
import { renderText, type Reading } from '../../shared/text.ts';
import { UsageError } from '../core/errors.ts';
import { exportedUnit, selectColumns, type Selection } from './export-selection.ts';

/** 1e-7° is 11 mm: as fine as NMEA 2000 sends it. */
const DECIMALS = 7;
const ONE_SECOND = 1;

type Position = readonly [number, number];

/**
 * The day on the ground as GeoJSON (RFC 7946, WGS 84): a point per step (1 s unless told otherwise) with the selected channels as
 * properties, and a line or area per place of a finding. Positions that cannot be (0,0 or beyond 90°) are left out and counted.
 */
export function exportGeoJson(day: Day, findings: readonly Finding[], selection: Selection): string {
  const position = selectColumns(day, { ...selection, channels: 'gnss.lat,gnss.lon' }, ONE_SECOND);
  const [latitude, longitude] = [position.find((column) => column.channel.id === 'gnss.lat'), position.find((column) => column.channel.id === 'gnss.lon')];
  if (latitude === undefined || longitude === undefined) throw new UsageError('no-position', 'This day has no position to put on a map.', 'A log with gnss.lat and gnss.lon is needed.');
  const columns = selectColumns(day, selection, ONE_SECOND).filter((column) => !matchesGlob('gnss.l*', column.channel.id));
  const units = columns.map((column) => exportedUnit(column.channel));
  let leftOut = 0;
  const points: object[] = [];
  latitude.time.forEach((time, i) => {
    const place = positionAt(latitude.value[i] as number, longitude.value[i] as number);
    if (place === undefined) {
      if (!Number.isNaN(latitude.value[i] as number)) leftOut += 1;
      return;
    }
    const values = columns.flatMap((column, k) => {
      const value = column.value[i] as number;
      return Number.isNaN(value) || value === undefined ? [] : [[`${column.channel.id} [${units[k]?.unit ?? ''}]`, Number((units[k]?.convert(value) ?? value).toPrecision(8))]];
    });
    points.push(feature({ type: 'Point', coordinates: place }, { kind: 'sample', time: toIso(day.start + time), ...Object.fromEntries(values) as object }));
  });
  const reading: Reading = { units: 'metric', zone: 'UTC', dayStart: day.start };
  const places = findings.flatMap((finding) => (finding.places ?? []).map((place) => feature(
    place.kind === 'line' ? { type: 'LineString', coordinates: place.coordinates.map(rounded) } : { type: 'Polygon', coordinates: [closed(place.coordinates.map(rounded))] },
    { kind: 'finding', code: finding.code, subject: finding.subject, severity: finding.severity, title: renderText(finding.title, reading), start: toIso(day.start + finding.span.start), end: toIso(day.start + finding.span.end) },
  )));
  return `${JSON.stringify({ type: 'FeatureCollection', features: [...points, ...places], positionsLeftOut: leftOut })}\n`;
}

const feature = (geometry: object, properties: object): object => ({ type: 'Feature', geometry, properties });
const rounded = ([longitude, latitude]: Position): Position => [Number(longitude.toFixed(DECIMALS)), Number(latitude.toFixed(DECIMALS))];

function positionAt(latitude: number, longitude: number): Position | undefined {
  if (!(Math.abs(latitude) <= 90) || !(Math.abs(longitude) <= 180) || (latitude === 0 && longitude === 0)) return undefined;
  return rounded([longitude, latitude]);
}

/** Rings end where they begin and run anticlockwise round their area (RFC 7946, 3.1.6). */
function closed(ring: readonly Position[]): readonly Position[] {
  const first = ring[0];
  const last = ring[ring.length - 1];
  if (first === undefined || last === undefined) return ring;
  const whole = first[0] === last[0] && first[1] === last[1] ? ring : [...ring, first];
  let twiceArea = 0;
  for (let i = 1; i < whole.length; i++) {
    const [x1, y1] = whole[i - 1] as Position;
    const [x2, y2] = whole[i] as Position;
    twiceArea += x1 * y2 - x2 * y1;
  }
  return twiceArea < 0 ? whole.toReversed() : whole;
}
