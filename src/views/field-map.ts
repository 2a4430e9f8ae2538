import type { Pack } from '../../shared/column-pack.ts';
import type { Day } from '../../shared/day.ts';
import type { FieldMapMeta, MapPatch } from '../../shared/day-views.ts';
import type { Finding } from '../../shared/finding.ts';
import type { Setup } from '../../shared/setup.ts';
import type { Episodes } from '../episodes/episodes.ts';
import type { Timeline } from '../episodes/timeline.ts';
import { coverageOf } from '../field/coverage.ts';
import { openerPath } from '../field/openers.ts';
import type { Patch } from '../field/patches.ts';
import { swathsOf, type Swaths } from '../field/swath.ts';
import { antennaTrack } from '../field/track.ts';
import { stripsOf } from './strips.ts';

/** Smaller places are summed, not drawn: m², and how many are worth listing. */
const SMALLEST_PATCH = 10;
const MOST_PATCHES = 400;

/** The field as driven and sown; undefined without positions. */
export function fieldMap(day: Pick<Day, 'channels'>, setup: Setup, timeline: Timeline, episodes: Pick<Episodes, 'working'>, findings: readonly Finding[]): Pack<FieldMapMeta> | undefined {
  const latitude = day.channels.find(({ id }) => id === 'gnss.lat');
  const longitude = day.channels.find(({ id }) => id === 'gnss.lon');
  if (latitude === undefined || longitude === undefined) return undefined;
  const track = antennaTrack(latitude, longitude);
  if (track.time.length === 0) return undefined;
  const mount = setup.machine.antennaToOpeners ?? { aft: 0, right: 0 };
  const path = openerPath(track, mount);
  const logged = [...new Set(day.channels.flatMap(({ id }) => /^section\.(.+)\.on$/.exec(id)?.[1] ?? []))];
  const strips = stripsOf(setup, timeline, episodes, logged);
  const swaths = swathsOf(path, strips);
  const coverage = swaths.count === 0 ? undefined : coverageOf(swaths, { smallestPatch: SMALLEST_PATCH });
  const { workingWidth } = setup.machine;
  return {
    meta: {
      origin: track.plane.origin,
      ...(workingWidth === undefined ? {} : { width: workingWidth }),
      ...(coverage === undefined ? {} : { areas: { covered: coverage.area / 1e4, overlap: coverage.overlap.total / 1e4, missed: coverage.missed.total / 1e4 } }),
      patches: (coverage?.patches ?? []).slice(0, MOST_PATCHES).map((patch) => mapPatch(patch, swaths)),
      places: findings.flatMap((finding) => (finding.places ?? []).map((place) => ({
        finding: finding.id, kind: place.kind, text: place.text,
        points: place.coordinates.map(([lon, lat]) => rounded(track.plane.toPlane(lat, lon))),
      }))),
    },
    columns: {
      time: path.time, east: Float32Array.from(path.east), north: Float32Array.from(path.north), heading: Float32Array.from(path.heading), broken: path.broken,
      pieceTime: swaths.time, corner: Float32Array.from(swaths.corners),
    },
  };
}

function mapPatch({ kind, between, area, width, outline, swaths }: Patch, { time }: Swaths): MapPatch {
  return { kind, between, area, width, time: Math.max(...swaths.map((swath) => time[swath] ?? 0)), outline: outline.map(rounded) };
}

const rounded = ([east, north]: readonly [number, number]): readonly [number, number] => [Math.round(east * 100) / 100, Math.round(north * 100) / 100];
