import { around, type AreaUncertainty } from './area-uncertainty.ts';
import type { Tally } from './tally.ts';
import type { CoverageContext, WorkedField } from './worked-field.ts';

/** Spacing and areas with their intervals. What a finding would explain away (m²) widens them downwards. */
export function measureField({ measure, episodes }: CoverageContext, field: WorkedField, tallies: { readonly overlap: Tally; readonly missed: Tally }, uncertainty: AreaUncertainty, explained: number): void {
  const { story, coverage: { area }, width, lostArea } = field;
  /* Too few neighbours give no bounds, and a number without them is no measurement. */
  if (story !== undefined && Number.isFinite(story.spacing.low) && Number.isFinite(story.spacing.high)) measure({ name: 'pass.spacing', subject: 'field', ...story.spacing, unit: 'm', n: story.usual.length });
  if (width === undefined || area === 0) return;
  measure({ name: 'area.covered', subject: 'field', ...inHectares({ value: area, low: area - 2 * uncertainty.all, high: area + 2 * uncertainty.all + lostArea }), n: episodes.passes.length });
  for (const [name, { total }] of [['area.overlap', tallies.overlap], ['area.missed', tallies.missed]] as const) {
    const { value, low, high } = around(total, uncertainty);
    measure({ name, subject: 'field', ...inHectares({ value, low: Math.max(0, low - explained), high }), n: Math.max(1, story?.usual.length ?? 1) });
  }
}

const inHectares = ({ value, low, high }: { readonly value: number; readonly low: number; readonly high: number }) =>
  ({ value: value / 1e4, low: low / 1e4, high: high / 1e4, unit: 'ha' });
