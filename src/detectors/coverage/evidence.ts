import type { HistogramEvidence, MapEvidence, XyEvidence } from '../../../shared/evidence.ts';
import type { Place } from '../../../shared/finding.ts';
import { quantity } from '../../../shared/text.ts';
import { ringInDegrees } from '../../field/outline.ts';
import type { Patch } from '../../field/patches.ts';
import { simplified, type Point } from '../../field/simplify.ts';
import { firstAtOrAfter } from '../../series/resample.ts';
import type { CoverageContext, WorkedField } from './worked-field.ts';
import type { SpacingStory } from './spacing.ts';

/** More places than this are no map but a pattern; the largest come first. */
const MOST_PLACES = 60;
const BINS = 24;

/** Spacings of all usual pairs beside the width. */
export function spacingHistogram({ say, setup }: CoverageContext, { story, width }: WorkedField): HistogramEvidence | undefined {
  if (story === undefined) return undefined;
  const spacings = story.usual.map(({ spacing }) => spacing);
  const low = Math.min(...spacings, width ?? Infinity) - 0.1;
  const high = Math.max(...spacings, width ?? -Infinity) + 0.1;
  const edges = Array.from({ length: BINS + 1 }, (_, i) => low + ((high - low) * i) / BINS);
  const counts = Array.from({ length: BINS }, () => 0);
  for (const spacing of spacings) {
    const bin = Math.min(BINS - 1, Math.floor(((spacing - low) / (high - low)) * BINS));
    counts[bin] = (counts[bin] as number) + 1;
  }
  const wanted = setup.machine.intendedOverlap?.passes ?? 0;
  return {
    kind: 'histogram', title: say('histogramTitle'), label: say('histogramLabel'), unit: 'm', edges, counts,
    levels: [
      { label: say('levelFound'), value: story.spacing.value },
      ...(width === undefined ? [] : [{ label: say('levelWidth'), value: width }]),
      ...(width === undefined || wanted === 0 ? [] : [{ label: say('levelWanted'), value: width - wanted }]),
    ],
  };
}

/** Gaps after right and left turns in driving order. */
export function sideChart({ say }: CoverageContext, { usual, spacing }: SpacingStory): XyEvidence {
  const series = (side: 'right' | 'left', label: string): XyEvidence['series'][number] => {
    const own = usual.flatMap((pair, i) => (pair.opposite && pair.side === side ? [[i + 1, pair.spacing] as const] : []));
    return { label, x: own.map(([x]) => x), y: own.map(([, y]) => y), style: 'points', role: side === 'right' ? 'subject' : 'witness' };
  };
  return {
    kind: 'xy', title: say('sideChart'), x: { label: say('pairLabel'), unit: '1' }, y: { label: say('spacingLabel'), unit: 'm' },
    series: [series('right', say('turnRight')), series('left', say('turnLeft'))],
    lines: [{ label: say('levelFound'), slope: 0, intercept: spacing.value }],
  };
}

/** Passes and the places in question. */
export function fieldPicture({ say, episodes }: CoverageContext, { ground }: WorkedField, patches: readonly Patch[]): MapEvidence {
  const { track } = ground;
  const lines = episodes.passes.map(({ start, end }) => {
    const points: Point[] = [];
    for (let i = firstAtOrAfter(track.time, start); i < track.time.length && (track.time[i] as number) <= end; i++) points.push([track.east[i] as number, track.north[i] as number]);
    return simplified(points, 2).map(rounded);
  }).filter(({ length }) => length > 1);
  return {
    kind: 'map', title: say('mapTitle'), origin: track.plane.origin,
    lines: lines.map((points) => ({ label: say('mapPath'), role: 'path' as const, points })),
    areas: patches.slice(0, MOST_PLACES).map((patch) => ({ label: placeText({ say }, patch), role: 'subject' as const, points: patch.outline.map(rounded) })),
  };
}

/** The largest patches as rings in degrees. */
export function placesOf({ say }: CoverageContext, { ground }: WorkedField, patches: readonly Patch[]): readonly Place[] {
  return patches.slice(0, MOST_PLACES).map((patch) => ({ kind: 'area', coordinates: ringInDegrees(patch.outline, ground.track.plane), text: placeText({ say }, patch) }));
}

const placeText = ({ say }: Pick<CoverageContext, 'say'>, { kind, area }: Patch): string =>
  say(kind === 'overlap' ? 'placeOverlap' : 'placeMissed', { area: quantity.area(area, 3) });

const rounded = ([east, north]: Point): Point => [Math.round(east * 100) / 100, Math.round(north * 100) / 100];
