import type { Interval } from '../../../shared/span.ts';
import { formatNumber, quantity } from '../../../shared/text.ts';
import { cautions } from '../cautions.ts';
import type { FindingDraft } from '../detector.ts';
import { fieldPicture, placesOf, spacingHistogram } from './evidence.ts';
import { spanOfPatches } from './patch-times.ts';
import type { Tally } from './tally.ts';
import type { CoverageContext, WorkedField } from './worked-field.ts';

/** Overlap beyond what cannot be helped; `avoidable` in m². */
export function overlapFinding(context: CoverageContext, field: WorkedField, tally: Tally, { value, low, high }: Interval): FindingDraft {
  const { say, options } = context;
  const { coverage, story, width } = field;
  const patches = tally.places.map(({ patch }) => patch);
  const mass = massOn(context, value);
  const mostlyEnds = tally.atEnds > 0.5 * value;
  const words = {
    area: quantity.area(value), low: quantity.area(low), high: quantity.area(high), percent: formatNumber((100 * value) / coverage.area, 1),
    total: quantity.area(tally.total), covered: quantity.area(coverage.area), geometry: tally.unavoidable > SMALL ? say('overlapGeometry', { area: quantity.area(tally.unavoidable) }) : '',
    meant: tally.meant > 0 ? say('overlapMeant', { area: quantity.area(tally.meant) }) : '',
    between: quantity.area(value - tally.atEnds), ends: quantity.area(tally.atEnds),
  };
  const spacing = story === undefined || width === undefined ? '' : say('overlapSpacing', { spacing: quantity.length(story.spacing.value, 2), width: quantity.length(width, 2) });
  const agrees = widthAgrees(context, field);
  const histogram = spacingHistogram(context, field);
  const span = spanOfPatches(field, patches);
  return {
    code: 'coverage.overlap',
    subject: 'field',
    severity: low > options.actionShare * coverage.area ? 'action' : 'watch',
    verdict: mostlyEnds || agrees.length === 0 ? 'consistent' : 'proved',
    title: say('overlapTitle', words),
    span,
    episodes: [span],
    measure: { value: value / 1e4, low: low / 1e4, high: high / 1e4, unit: 'ha', expected: 0 },
    consequence: { areaHa: value / 1e4, ...(mass === undefined ? {} : { massKg: mass }), text: mass === undefined ? say('overlapCost', words) : say('overlapCostMass', { ...words, mass: quantity.mass(mass) }) },
    explanation: say('overlapWhy', words) + spacing,
    excludes: [...agrees, say('overlapNotLoss')],
    cannotTell: say(mostlyEnds ? 'overlapCannotEnds' : 'overlapCannot'),
    decidingCheck: say(mostlyEnds ? 'overlapCheckEnds' : 'overlapCheck'),
    cautions: [cautions.K9],
    channels: ['gnss.lat', 'gnss.lon', ...context.channels('section.*.on').map(({ id }) => id)],
    evidence: [fieldPicture(context, field, patches), ...(histogram === undefined ? [] : [histogram])],
    places: placesOf(context, field, patches),
  };
}

/** m²; less is 0.00 ha. */
const SMALL = 50;

/** kg of all products at their set rates on m². */
function massOn({ setup }: CoverageContext, area: number): number | undefined {
  const rates = setup.job.products.flatMap(({ targetRate }) => targetRate ?? []);
  return rates.length === 0 ? undefined : rates.reduce((sum, rate) => sum + rate, 0) * area;
}

/** Rows as a second witness that the width is right; none when they do not say so. */
export function widthAgrees({ say, setup: { machine } }: CoverageContext, { width, rowWidth }: WorkedField): readonly string[] {
  if (width === undefined || rowWidth === undefined || machine.rowSpacing === undefined || Math.abs(rowWidth / width - 1) > 0.005) return [];
  return [say('overlapNotWidth', { runs: String(Math.round(rowWidth / machine.rowSpacing)), row: quantity.length(machine.rowSpacing, 3), width: quantity.length(width, 2) })];
}
