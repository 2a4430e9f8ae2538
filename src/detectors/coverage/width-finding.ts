import { formatNumber, quantity } from '../../../shared/text.ts';
import { cautions } from '../cautions.ts';
import type { FindingDraft } from '../detector.ts';
import { spacingHistogram } from './evidence.ts';
import type { CoverageContext, WorkedField } from './worked-field.ts';

/** Pass spacing against the width; undefined = within limits, not sure, or nothing to compare with. */
export function widthFinding(context: CoverageContext, field: WorkedField): FindingDraft | undefined {
  const { say, setup, options } = context;
  const { story, width, rowWidth } = field;
  const histogram = spacingHistogram(context, field);
  if (story === undefined || width === undefined || histogram === undefined || story.usual.length < options.fewestPairs) return undefined;
  const wanted = setup.machine.intendedOverlap?.passes ?? 0;
  const { value, low, high } = story.spacing;
  const expected = (width - wanted) / width;
  const [ratio, least, most] = [value / width, low / width, high / width];
  if (!(most < expected - options.widthLimit || least > expected + options.widthLimit)) return undefined;
  const rowsSay = rowsOf(field, value + wanted, options.widthLimit);
  /* Rows and width agree, so the passes are what is off: that is overlap or a gap, not a width. */
  if (rowsSay === 'width') return undefined;
  const isLess = ratio < expected;
  const deviation = Math.abs(ratio - expected);
  const pairs = story.usual;
  const length = pairs.reduce((sum, pair) => sum + pair.length, 0);
  /* What the entered width does to area and rate if the passes were driven at the drill's own. */
  const over = formatNumber(100 * Math.abs(width / (value + wanted) - 1), 1);
  const worked = quantity.area(field.coverage.applied);
  const strip = quantity.area(length * width * deviation);
  const words = {
    spacing: quantity.length(value, 2), low: quantity.length(low, 2), high: quantity.length(high, 2), width: quantity.length(width, 2),
    percent: formatNumber(100 * deviation, 1), over, direction: say(isLess ? 'narrower' : 'wider'), count: String(pairs.length), area: worked, overlap: strip, missed: strip,
    wanted: wanted === 0 ? '' : say('widthWanted', { overlap: quantity.length(wanted, 2) }),
  };
  const span = { start: context.episodes.passes[0]?.start ?? 0, end: context.episodes.passes.at(-1)?.end ?? 0 };
  return {
    code: 'coverage.width',
    subject: 'field',
    severity: rowsSay === 'spacing' && deviation > options.widthAction ? 'action' : 'watch',
    verdict: 'consistent',
    title: say('widthTitle', words),
    span,
    episodes: [span],
    measure: { value: ratio, low: least, high: most, unit: 'ratio', expected },
    consequence: { areaHa: field.coverage.applied / 1e4, text: say(isLess ? 'widthCostMore' : 'widthCostLess', words) },
    ...(rowsSay === 'spacing' && rowWidth !== undefined
      ? { correction: { setting: say('widthSetting'), old: `${formatNumber(width, 3)} m`, new: `${formatNumber(rowWidth, 3)} m` } } : {}),
    explanation: say('widthWhy', words) + rowsText(context, field, rowsSay),
    excludes: [say('widthNotSpeed'), say('widthNotContour'), ...(story.right === undefined ? [] : [say('widthNotSide')])],
    cannotTell: say('widthCannot'),
    decidingCheck: say('widthCheck'),
    cautions: [cautions.K3, cautions.K9],
    channels: ['gnss.lat', 'gnss.lon'],
    evidence: [histogram],
  };
}

/** Which of the two runs × row spacing agree with. */
function rowsOf({ width, rowWidth }: WorkedField, spacing: number, limit: number): 'width' | 'spacing' | undefined {
  if (rowWidth === undefined || width === undefined) return undefined;
  if (Math.abs(rowWidth / width - 1) < limit / 2) return 'width';
  return Math.abs(rowWidth / spacing - 1) < limit ? 'spacing' : undefined;
}

function rowsText({ say, setup: { machine } }: CoverageContext, { rowWidth }: WorkedField, rowsSay: 'width' | 'spacing' | undefined): string {
  if (rowsSay !== 'spacing' || rowWidth === undefined || machine.rowSpacing === undefined) return '';
  return say('widthRows', { runs: String(Math.round(rowWidth / machine.rowSpacing)), row: quantity.length(machine.rowSpacing, 3), rows: quantity.length(rowWidth, 2) });
}
