import type { Span } from '../../../shared/span.ts';
import { quantity } from '../../../shared/text.ts';
import { joinSpans, totalSeconds } from '../../series/spans.ts';
import { cautions } from '../cautions.ts';
import type { FindingDraft } from '../detector.ts';
import type { SpeedCase, SpeedContext } from './context.ts';
import { gapEvidence } from './evidence.ts';
import { ratioOver, type PulseGaps } from './pulse-gaps.ts';

/** Pulses that went missing, or came double, in bursts. */
export function gapFindings(context: SpeedContext, subject: SpeedCase, gaps: PulseGaps): readonly FindingDraft[] {
  return ([['missing', gaps.missing], ['doubled', gaps.doubled]] as const).flatMap(([kind, spans]) => {
    const dead = spans.some(({ start, end }) => end - start > 2 * context.options.longestGap);
    return spans.length >= context.options.fewestGaps || dead ? [gapFinding(context, subject, gaps.ground, kind, spans)] : [];
  });
}

/** Gaps closer than this are one episode, s. */
const SAME_EPISODE = 300;

function gapFinding({ say, options, setup }: SpeedContext, { way, channels }: SpeedCase, ground: Float64Array, kind: 'missing' | 'doubled', spans: readonly Span[]): FindingDraft {
  const span = { start: spans[0]?.start ?? 0, end: spans.at(-1)?.end ?? 0 };
  const ratio = ratioOver(way.speed, ground, span, options.slowest);
  const metres = spans.reduce((sum, gap) => sum + ground.subarray(gap.start, gap.end).reduce((way, step) => way + (step || 0), 0), 0);
  const seconds = quantity.duration(totalSeconds(spans));
  const count = String(spans.length);
  const doubled = kind === 'doubled';
  const dead = !doubled && spans.length < options.fewestGaps;
  const width = setup.machine.workingWidth;
  const first = quantity.clock(span.start);
  const known = Number.isFinite(ratio.low) && Number.isFinite(ratio.high);
  return {
    code: 'speed.pulses-missing',
    subject: 'wheel',
    severity: dead || spans.length >= 3 * options.fewestGaps ? 'action' : 'watch',
    verdict: 'proved',
    title: say(doubled ? 'gapTitleDoubled' : 'gapTitle', { count }),
    span,
    episodes: joinSpans(spans, SAME_EPISODE),
    measure: { value: ratio.value, low: known ? ratio.low : ratio.value, high: known ? ratio.high : ratio.value, unit: 'ratio', expected: 1 },
    consequence: {
      ...(width === undefined ? {} : { areaHa: (metres * width) / 1e4 }),
      text: say(doubled ? 'gapCostDoubled' : 'gapCost', { metres: quantity.length(metres, 0) }),
    },
    explanation: dead ? say('gapDead', { first, seconds }) : say(doubled ? 'gapWhyDoubled' : 'gapWhy', { first, last: quantity.clock(span.end), count, seconds }),
    excludes: [say('gapNotStops')],
    cannotTell: say('gapCannot'),
    decidingCheck: say('gapCheck'),
    cautions: [cautions.K1, cautions.K9],
    channels,
    evidence: [gapEvidence({ say }, way.speed, ground, spans)],
  };
}
