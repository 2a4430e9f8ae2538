import type { Episodes } from '../../episodes/episodes.ts';
import { median } from '../../series/robust.ts';
import { jump, massSteps, type MassStep, type StepOptions } from './mass-steps.ts';
import type { TankTrack } from './tank-track.ts';

export interface ZeroMove extends MassStep {
  readonly track: TankTrack;
  /** `tare`: the reading went to zero; `shift`: to another figure. */
  readonly kind: 'tare' | 'shift';
}

export interface ZeroOptions extends StepOptions {
  /** kg; a reading this close to 0 was set to zero. One scale step and the wander. */
  readonly nearZero: number;
  /** kg; an empty tank may read this much wrong (temperature, mud, dew), so zeroing it is in order. trade.md F16, from memory. */
  readonly emptyReading: number;
  /** kg; a shift to a figure other than zero must be larger: people and neighbours' fills move a reading by tens of kg. */
  readonly leastShift: number;
}

export interface ZeroMoves {
  readonly moves: readonly ZeroMove[];
  /** Zero set on a tank that read about empty: in order. */
  readonly inOrder: readonly MassStep[];
}

/** Zero changes of one tank: sudden, standing, nothing metered, nothing loaded, and no other tank with it. */
export function zeroMoves(track: TankTrack, others: readonly TankTrack[], episodes: Episodes, options: ZeroOptions): ZeroMoves {
  const steps = massSteps(track.mass, episodes.parked, options).filter((step) => isStill(track, step.time));
  const lasting = withoutReturns(steps, track);
  const moves: ZeroMove[] = [];
  const inOrder: MassStep[] = [];
  for (const step of lasting) {
    if (Math.abs(step.after) <= options.nearZero) {
      if (Math.abs(step.before) <= options.emptyReading) inOrder.push(step);
      else moves.push({ ...step, track, kind: 'tare' });
    } else if (Math.abs(jump(step)) >= options.leastShift && !isInFill(track, step.time, episodes) && !othersMoved(others, step, episodes)) {
      moves.push({ ...step, track, kind: 'shift' });
    }
  }
  return { moves, inOrder };
}

/** No turn of the meter ten seconds either side. */
function isStill({ fed }: TankTrack, time: number): boolean {
  if (fed === undefined) return true;
  const at = (k: number): number => fed[Math.min(fed.length - 1, Math.max(0, k))] as number;
  return at(time + 10) - at(time - 10) < 0.2;
}

/** Someone climbs on and off again: a step that is taken back before the meter next turns was no change of the zero. */
function withoutReturns(steps: readonly MassStep[], track: TankTrack): readonly MassStep[] {
  const gone = new Set<MassStep>();
  steps.forEach((step, index) => {
    const back = steps.slice(index + 1).find((later) => !gone.has(later) && Math.abs(jump(later) + jump(step)) < 0.15 * Math.abs(jump(step)));
    if (gone.has(step) || back === undefined || fedBetween(track, step.time, back.time) > 1) return;
    gone.add(step).add(back);
  });
  return steps.filter((step) => !gone.has(step));
}

const fedBetween = ({ fed }: TankTrack, from: number, to: number): number => (fed === undefined ? 0 : (fed[to] as number) - (fed[from] as number));

function isInFill(track: TankTrack, time: number, episodes: Episodes): boolean {
  return episodes.fills(track.tank.id).some((fill) => time > fill.start - 5 && time < fill.end + 5);
}

/** A neighbour being filled, or moving at the same moment, shifts the frame that all tanks stand on. */
function othersMoved(others: readonly TankTrack[], step: MassStep, episodes: Episodes): boolean {
  return others.some((other) => {
    if (isInFill(other, step.time, episodes)) return true;
    const change = median([...other.mass.subarray(step.time + 6, step.time + 18)].filter(Number.isFinite)) - median([...other.mass.subarray(Math.max(0, step.time - 18), Math.max(0, step.time - 6))].filter(Number.isFinite));
    return Math.abs(change) > 0.3 * Math.abs(jump(step));
  });
}
