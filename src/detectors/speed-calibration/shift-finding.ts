import { quantity } from '../../../shared/text.ts';
import { cautions } from '../cautions.ts';
import type { FindingDraft } from '../detector.ts';
import { asPercent, asRatio, type SpeedCase, type SpeedContext } from './context.ts';
import { ratioEvidence } from './evidence.ts';
import { effectText } from './off-finding.ts';
import { misreadingsIn, rateEffect } from './rate-effect.ts';
import type { Step } from './shifts.ts';

/** A step of the ratio that the wheel, its target or its setting made. */
export function shiftFinding(context: SpeedContext, subject: SpeedCase, step: Step): FindingDraft {
  const { say, options } = context;
  const { story } = subject;
  const end = story.shifts.find(({ time }) => time > step.time)?.time ?? step.after.end;
  const span = { start: step.time, end };
  const isOff = step.is.low > options.limit || step.is.high < -options.limit;
  const byEntry = subject.entryChanged !== undefined && Math.abs(subject.entryChanged - step.time) < 10 * options.windowSeconds;
  const sure = step.cause === 'lifted' || step.cause === 'tooth' || byEntry;
  /* The ground that was put out wrong lies after the step when it spoilt the ratio, before it when it mended it. */
  const wrong = isOff ? { span, logRatio: step.is.logRatio } : { span: story.firstSpan, logRatio: step.was.logRatio };
  const effect = rateEffect(context, misreadingsIn(wrong.span, wrong.logRatio, story.slips), subject.ground.speed, story.windows);
  const common = {
    subject: 'wheel',
    severity: isOff && (sure || Math.abs(Math.log(step.ratio.value)) > options.patchStep) ? 'action' : 'watch',
    verdict: sure ? 'proved' : 'consistent',
    span,
    episodes: [span],
    consequence: effectText(say, effect, Math.exp(wrong.logRatio), asPercent(wrong.logRatio)),
    channels: subject.channels,
    evidence: ratioEvidence(context, story, [{ ...story.firstSpan, estimate: step.was }, { ...span, estimate: step.is }], [span]),
  } as const;
  return step.tooth === undefined ? { ...common, ...shiftWords(context, step, byEntry, isOff) } : { ...common, ...toothWords(context, step, step.tooth) };
}

type Words = Pick<FindingDraft, 'code' | 'title' | 'measure' | 'explanation' | 'excludes' | 'cannotTell' | 'decidingCheck' | 'cautions'>;

function shiftWords({ say }: SpeedContext, step: Step, byEntry: boolean, isOff: boolean): Words {
  const { ratio, was, is } = step;
  const percent = asPercent(Math.log(ratio.value));
  const clock = quantity.clock(step.time);
  const lifted = step.cause === 'lifted';
  return {
    code: 'speed.calibration-shift',
    title: say('shiftTitle', { percent, clock }),
    measure: { ...ratio, unit: 'ratio', expected: 1 },
    explanation: [
      say('shiftWhy', {
        clock, earliest: quantity.clock(step.earliest), latest: quantity.clock(step.latest), was: asRatio(was.logRatio), is: asRatio(is.logRatio),
        ratio: asRatio(Math.log(ratio.value)), low: asRatio(Math.log(ratio.low)), high: asRatio(Math.log(ratio.high)),
      }),
      ...(byEntry ? [say('shiftEntry')] : lifted ? [say('shiftLifted')] : []),
      isOff ? say('shiftIsOff', { percent: asPercent(is.logRatio) }) : say('shiftCameRight'),
    ].join(' '),
    excludes: [byEntry ? say('shiftNotWheel') : lifted ? say('shiftNotSoil') : say('shiftNotSlip', { percent }), say('notTurns')],
    ...(byEntry ? {} : { cannotTell: say(lifted ? 'shiftCannotLifted' : 'shiftCannot') }),
    decidingCheck: byEntry ? say('shiftEntryCheck', { clock }) : say('shiftCheck'),
    cautions: [cautions.K9, cautions.K1],
  };
}

function toothWords({ say }: SpeedContext, step: Step, { teeth, lost }: NonNullable<Step['tooth']>): Words {
  const clock = quantity.clock(step.time);
  const [left, all] = [String(teeth - lost), String(teeth)];
  return {
    code: 'speed.pulses-missing',
    title: say('toothTitle', { lost: String(lost), teeth: all, clock }),
    measure: { value: Math.exp(step.is.logRatio), low: Math.exp(step.is.low), high: Math.exp(step.is.high), unit: 'ratio', expected: Math.exp(step.was.logRatio) },
    explanation: say('toothWhy', { clock, is: asRatio(step.is.logRatio), ratio: asRatio(Math.log(step.ratio.value)), left, teeth: all }),
    excludes: [say('toothNotSlip'), say('notTurns')],
    cannotTell: say('toothCannot'),
    decidingCheck: say('toothCheck'),
    cautions: [cautions.K1, cautions.K9],
  };
}
