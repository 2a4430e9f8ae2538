import { tiltOfLoads, unevenness } from '../scale/level.ts';
import { defaults } from '../scale/options.ts';
import type { ScaleStory } from '../scale/scale-story.ts';
import { spanByTickets, type ScaleSpan } from '../scale/span-by-tickets.ts';
import { spanSeverity } from '../scale/span-finding.ts';

/** What a kilogram by the scale is worth. */
export interface ScaleTruth {
  /** Indicated ÷ true, with its relative standard uncertainty. */
  readonly ratio: number;
  readonly uncertainty: number;
  /** What the weigh tickets say, when there are any. */
  readonly tickets?: ScaleSpan;
  /** rad, typical tilt of the ground the scale was read on. */
  readonly tilt: number;
}

/** Relative: a scale nobody checked is taken to lie within ±1 %, all values alike (±1 %/√3; trade.md c.5, common practice). */
const UNCHECKED = 0.01 / Math.sqrt(3);

/**
 * Without tickets a scale is believed as scales usually are. Tickets that know better, or prove it off, replace that; weaker ones
 * are combined with it, each by its weight.
 */
export function scaleTruth({ track, flowing, books, lostAt }: ScaleStory): ScaleTruth {
  const { tilt } = unevenness(track, flowing);
  const unchecked = { ratio: 1, uncertainty: UNCHECKED, tilt };
  const sound = books.matched.filter(({ fills }) => lostAt === undefined || fills.every(({ end }) => end < lostAt));
  const span = spanByTickets(sound, tiltOfLoads(track, sound, flowing), defaults.span.level);
  if (span === undefined) return unchecked;
  if (spanSeverity(span, defaults.span) !== undefined || span.uncertainty < UNCHECKED) return { ratio: span.ratio, uncertainty: span.uncertainty / span.ratio, tickets: span, tilt };
  const weight = 1 / span.uncertainty ** 2;
  const usual = 1 / UNCHECKED ** 2;
  return { ratio: (span.ratio * weight + usual) / (weight + usual), uncertainty: 1 / Math.sqrt(weight + usual), tickets: span, tilt };
}
