import type { Span } from '../../shared/span.ts';
import { joinSpans, spansWhere } from '../series/spans.ts';
import type { Motion } from './motion.ts';

/** m/s; noise of a standing receiver is a few cm/s (trade.md a.3). A stop is entered below the first and left above the second. */
const STILL = 0.15;
const MOVING = 0.35;
const SHORTEST = 20;
/** Single noisy seconds do not end a stop. */
const TWITCH = 3;

/** Standing still for at least 20 s: every speed that is known is near zero, and at least one is known. */
export function parkedSpans({ speed, gnss, wheel }: Motion): readonly Span[] {
  const witnesses = [gnss, wheel].filter((each) => each !== undefined);
  const sources = witnesses.length > 0 ? witnesses : [speed];
  const still = new Uint8Array(speed.length);
  let standing = false;
  for (let k = 0; k < speed.length; k++) {
    let fastest = Number.NaN;
    for (const source of sources) {
      const v = Math.abs(source[k] as number);
      if (!Number.isNaN(v) && !(v <= fastest)) fastest = v;
    }
    if (Number.isNaN(fastest)) fastest = Math.abs(speed[k] as number);
    standing = fastest < (standing ? MOVING : STILL);
    still[k] = standing ? 1 : 0;
  }
  return joinSpans(spansWhere(still), TWITCH).filter(({ start, end }) => end - start >= SHORTEST);
}
