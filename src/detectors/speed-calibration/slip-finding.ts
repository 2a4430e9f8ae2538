import { quantity } from '../../../shared/text.ts';
import { cautions } from '../cautions.ts';
import type { FindingDraft } from '../detector.ts';
import { asPercent, asRatio, type SpeedCase, type SpeedContext } from './context.ts';
import { ratioEvidence } from './evidence.ts';
import type { Slip } from './story.ts';
import type { RatioEstimate } from './ratio-estimate.ts';

/** The wheel read low for a while: worth knowing, nothing to repair. */
export function slipFinding(context: SpeedContext, { story, channels }: SpeedCase, slip: Slip, base: RatioEstimate): FindingDraft {
  const { say } = context;
  const { estimate } = slip;
  const span = { start: slip.start, end: slip.end };
  const percent = asPercent(estimate.logRatio - base.logRatio);
  const words = { start: quantity.clock(slip.start), end: quantity.clock(slip.end), is: asRatio(estimate.logRatio), base: asRatio(base.logRatio) };
  return {
    code: 'speed.slip',
    subject: 'wheel',
    severity: 'info',
    verdict: slip.returned ? 'consistent' : 'cannot-tell',
    title: say('slipTitle', { percent, time: quantity.duration(slip.end - slip.start) }),
    span,
    episodes: [span],
    measure: { value: Math.exp(estimate.logRatio), low: Math.exp(estimate.low), high: Math.exp(estimate.high), unit: 'ratio', expected: Math.exp(base.logRatio) },
    consequence: { text: say('slipCost', { percent }) },
    explanation: say(slip.returned ? 'slipWhy' : 'slipOpenWhy', words),
    excludes: [say('notTurns')],
    ...(slip.returned ? {} : { cannotTell: say('slipCannot') }),
    decidingCheck: say('slipCheck'),
    cautions: [cautions.K9],
    channels,
    evidence: ratioEvidence(context, story, [{ ...span, estimate }], [span]),
  };
}
