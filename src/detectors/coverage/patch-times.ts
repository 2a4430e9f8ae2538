import type { Span } from '../../../shared/span.ts';
import type { Patch } from '../../field/patches.ts';
import type { WorkedField } from './worked-field.ts';

/** From the first to the last swath beside any of the patches: when it came about. */
export function spanOfPatches({ ground }: WorkedField, patches: readonly Patch[]): Span {
  const { time } = ground.swaths();
  const times = patches.map(({ swaths }) => time[swaths[1]] ?? 0);
  return { start: times.reduce((least, t) => Math.min(least, t), Infinity), end: times.reduce((most, t) => Math.max(most, t), 0) };
}
