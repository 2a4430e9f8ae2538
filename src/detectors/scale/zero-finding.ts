import { quantity } from '../../../shared/text.ts';
import { cautions } from '../cautions.ts';
import { lastReading, massTrace } from './mass-evidence.ts';
import { jump } from './mass-steps.ts';
import type { ScaleContext } from './span-finding.ts';
import type { TankTrack } from './tank-track.ts';
import { tankName } from './wording.ts';
import type { ZeroMove } from './zero-moves.ts';

/** The whole zero errors of a tank: each jump, with the curve that is right again. */
export function reportZeroMoves(track: TankTrack, moves: readonly ZeroMove[], lowest: BelowZero | undefined, context: ScaleContext): void {
  for (const move of moves) reportMove(track, move, lowest !== undefined && lowest.start > move.time ? lowest : undefined, context);
}

function reportMove(track: TankTrack, move: ZeroMove, later: BelowZero | undefined, context: ScaleContext): void {
  const { say, timeline } = context;
  const size = jump(move);
  /* A reading below zero was wrong before; setting it to zero mends it if the tank was empty. */
  const mends = move.kind === 'tare' && size > 0;
  /* A bucket tipped in raises a reading nearly as fast as a key does. */
  const tipped = move.kind === 'shift' && size > 0;
  const half = 1.96 * move.uncertainty;
  const last = lastReading(track.mass);
  const real = last.mass - size;
  const rate = track.product?.targetRate;
  const slots = {
    tank: tankName(track.tank), size: quantity.mass(Math.abs(size)), before: quantity.mass(move.before), after: quantity.mass(move.after),
    clock: quantity.clock(move.time), seconds: quantity.duration(context.options.zero.longestSeconds), side: size < 0 ? 'too little' : 'too much',
    shown: quantity.mass(last.mass), real: quantity.mass(real),
    hectares: rate === undefined ? '' : say('spanHectares', { more: size < 0 ? 'more by' : 'less by', area: quantity.area(Math.abs(size) / rate, 1) }),
    negative: later === undefined ? '' : say('zeroNegative', { lowest: quantity.mass(later.lowest) }),
  };
  const around = { start: Math.max(0, move.time - 900), end: Math.min(timeline.length, move.time + 900) };
  context.report({
    code: 'scale.zero-moved', subject: `tank.${track.tank.id}`, severity: mends ? 'info' : tipped ? 'watch' : 'action', verdict: mends ? 'cannot-tell' : tipped ? 'consistent' : 'proved',
    title: say(mends ? 'zeroTitleUp' : move.kind === 'tare' ? 'zeroTitle' : 'shiftTitle', slots),
    span: { start: move.time, end: Math.max(move.time + 1, timeline.length) }, episodes: [{ start: move.time - 2, end: move.time + 2 }],
    measure: { value: size, low: size - half, high: size + half, unit: 'kg', expected: 0 },
    consequence: { text: say(mends ? 'zeroConsequenceUp' : 'zeroConsequence', slots) },
    explanation: say(mends ? 'zeroWhyUp' : 'zeroWhy', slots),
    excludes: [say('zeroNotMeter'), say(tipped ? 'shiftNotAuger' : 'zeroNotUnloaded'), say('zeroNotCell'), say('zeroNotFrame')],
    cannotTell: say(mends ? 'zeroCannotUp' : tipped ? 'shiftCannotUp' : 'zeroCannot'),
    decidingCheck: say('zeroCheck'),
    cautions: [cautions.K7, cautions.K5, cautions.K8],
    channels: track.channels,
    evidence: [
      massTrace(`Scale of tank ${track.tank.id} around the jump`, track.mass, around, [{ start: move.time - 2, end: move.time + 2 }]),
      massTrace(`Scale of tank ${track.tank.id}, and what is really there`, track.mass, { start: 0, end: timeline.length }, [], (time, reading) => (time >= move.time ? reading - size : reading)),
    ],
  });
}

/** A stretch in which the reading is further below zero than drift explains. */
export interface BelowZero {
  readonly start: number;
  readonly end: number;
  /** kg, lowest mean over a minute. */
  readonly lowest: number;
}

/** First and last minute below `-limit`, when such minutes add up to `seconds`. */
export function belowZero(mass: Float64Array, limit: number, seconds: number): BelowZero | undefined {
  let found = 0;
  let start = -1;
  let end = -1;
  let lowest = 0;
  for (let from = 0; from + 60 <= mass.length; from += 60) {
    const known = mass.subarray(from, from + 60).filter(Number.isFinite);
    if (known.length < 30) continue;
    const mean = known.reduce((sum, value) => sum + value, 0) / known.length;
    if (mean > -limit) continue;
    found += 60;
    if (start < 0) start = from;
    end = from + 60;
    lowest = Math.min(lowest, mean);
  }
  return found >= seconds ? { start, end, lowest } : undefined;
}

/** A reading below zero that no seen jump explains. */
export function reportBelowZero(track: TankTrack, below: BelowZero, context: ScaleContext): void {
  const { say, timeline } = context;
  const slots = { tank: tankName(track.tank), size: quantity.mass(-below.lowest), lowest: quantity.mass(below.lowest), clock: quantity.clock(below.start) };
  context.report({
    code: 'scale.zero-moved', subject: `tank.${track.tank.id}`, severity: 'watch', verdict: 'consistent',
    title: say('belowTitle', slots),
    span: below, episodes: [{ start: below.start, end: below.end }],
    consequence: { text: say('belowConsequence', slots) },
    explanation: say('belowWhy', slots),
    excludes: [say('zeroNotMeter')],
    cannotTell: say('belowCannot'),
    decidingCheck: say('zeroCheck'),
    cautions: [cautions.K7, cautions.K5, cautions.K8],
    channels: track.channels,
    evidence: [massTrace(`Scale of tank ${track.tank.id}`, track.mass, { start: 0, end: timeline.length }, [below])],
  });
}
