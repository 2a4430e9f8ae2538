import type { XyEvidence } from '../../../shared/evidence.ts';
import { quantity } from '../../../shared/text.ts';
import { cautions } from '../cautions.ts';
import type { FindingDraft } from '../detector.ts';
import { lineFit } from '../../series/regression.ts';
import { aftFit, type AftFit } from './aft-fit.ts';
import type { CoverageContext, WorkedField } from './worked-field.ts';

/** The section control's distance from antenna to openers against the entered one; only when the ends tell it from the delays. */
export function aftFinding(context: CoverageContext, field: WorkedField): FindingDraft | undefined {
  const { say, setup, options, episodes } = context;
  const entered = setup.machine.antennaToOpeners?.aft;
  if (entered === undefined || field.width === undefined) return undefined;
  const fit = aftFit(context, field, options);
  if (fit === undefined || fit.speedSpread < options.speedSpread) return undefined;
  const { value, low, high } = fit.aft;
  if (!(low > entered + options.aftLimit || high < entered - options.aftLimit)) return undefined;
  const off = value - entered;
  const ends = 2 * episodes.passes.length;
  const area = ends * Math.abs(off) * field.width;
  const words = {
    aft: quantity.length(value, 1), entered: quantity.length(entered, 1), low: quantity.length(low, 1), high: quantity.length(high, 1),
    count: String(fit.ends.length), spread: quantity.speed(fit.speedSpread), metres: quantity.length(Math.abs(off), 1),
    /* With a greater distance than true, the control waits for openers that are further ahead. */
    early: say(off < 0 ? 'aftEarly' : 'aftLate'), area: quantity.area(area),
  };
  const span = { start: episodes.passes[0]?.start ?? 0, end: episodes.passes.at(-1)?.end ?? 0 };
  return {
    code: 'geometry.offset-aft',
    subject: 'machine',
    severity: Math.abs(off) > 2 * options.aftLimit ? 'action' : 'watch',
    verdict: 'consistent',
    title: say('aftTitle', words),
    span,
    episodes: [span],
    measure: { value, low, high, unit: 'm', expected: entered },
    consequence: { areaHa: area / 1e4, text: say('aftCost', words) },
    correction: { setting: say('aftSetting'), old: `${entered.toFixed(2)} m`, new: `${value.toFixed(2)} m` },
    explanation: say('aftWhy', words),
    excludes: [say('aftNotDelay'), say('aftNotBoundary')],
    cannotTell: say('aftCannot'),
    decidingCheck: say('aftCheck'),
    cautions: [cautions.K1, cautions.K9],
    channels: ['gnss.lat', 'gnss.lon', 'gnss.speed', ...context.channels('section.*.on').map(({ id }) => id)],
    evidence: [aftChart(context, fit, off)],
  };
}

/** The ends with the line through them, and where it would lie if the entry were right. */
function aftChart({ say }: CoverageContext, { ends }: AftFit, off: number): XyEvidence {
  const [speeds, apart] = [ends.map(({ speed }) => speed), ends.map((end) => end.apart)];
  const { slope } = lineFit(speeds, apart);
  return {
    kind: 'xy', title: say('aftChart'), x: { label: say('speedLabel'), unit: 'm/s' }, y: { label: say('apartLabel'), unit: 'm' },
    series: [{ label: say('aftPoints'), x: speeds, y: apart, style: 'points', role: 'subject' }],
    lines: [{ label: say('levelFound'), slope, intercept: 2 * off }, { label: say('aftLine'), slope, intercept: 0 }],
  };
}
