import { quantity } from '../../../shared/text.ts';
import { cautions } from '../cautions.ts';
import type { FindingDraft } from '../detector.ts';
import { fieldPicture, sideChart } from './evidence.ts';
import type { CoverageContext, WorkedField } from './worked-field.ts';

/** Gaps that are wide and narrow by turns: antenna and openers do not sit in one line as entered. */
export function sideFinding(context: CoverageContext, field: WorkedField): FindingDraft | undefined {
  const { say, setup, options } = context;
  const { story } = field;
  if (story?.right === undefined) return undefined;
  const { value, low, high } = story.right;
  const entered = setup.machine.antennaToOpeners?.right ?? 0;
  if (!(low > entered + options.sideLimit || high < entered - options.sideLimit)) return undefined;
  const off = value - entered;
  const half = story.usual.filter(({ opposite }) => opposite).reduce((sum, { length }) => sum + length, 0) / 2;
  const strip = quantity.area(half * 2 * Math.abs(off));
  const aside = (metres: number): string => say(metres >= 0 ? 'sideRight' : 'sideLeft', { metres: quantity.length(Math.abs(metres), 2) });
  const words = {
    right: aside(value), low: aside(low), high: aside(high), entered: entered === 0 ? say('sideNone') : `${aside(entered)} is`,
    gap: quantity.length(2 * Math.abs(value), 1), wide: quantity.length(story.spacing.value + 2 * value, 2), narrow: quantity.length(story.spacing.value - 2 * value, 2),
    count: String(story.usual.length), missed: strip, overlap: strip, metres: quantity.length(Math.abs(off), 2),
  };
  const span = { start: context.episodes.passes[0]?.start ?? 0, end: context.episodes.passes.at(-1)?.end ?? 0 };
  return {
    code: 'geometry.offset-side',
    subject: 'machine',
    severity: 'watch',
    verdict: 'consistent',
    title: say('sideTitle', words),
    span,
    episodes: [span],
    measure: { value, low, high, unit: 'm', expected: entered },
    consequence: { areaHa: (half * 2 * Math.abs(off)) / 1e4, text: say('sideCost', words) },
    correction: { setting: say('sideSetting'), old: `${entered.toFixed(2)} m`, new: `${value.toFixed(2)} m` },
    explanation: say('sideWhy', words),
    excludes: [say('sideNotWidth'), say('sideNotDrift')],
    cannotTell: say('sideCannot'),
    decidingCheck: say('sideCheck'),
    cautions: [cautions.K3, cautions.K9],
    channels: ['gnss.lat', 'gnss.lon'],
    evidence: [sideChart(context, story), fieldPicture(context, field, [])],
  };
}
