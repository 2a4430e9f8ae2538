import type { Span } from '../../shared/span.ts';

export interface HysteresisOptions {
  /** A span begins when the value is beyond this. */
  readonly enter: number;
  /** It ends when the value is back at this or better; on the good side of `enter`, or equal to it. */
  readonly leave: number;
  readonly side: 'below' | 'above';
  /** Shorter spans are not reported. Default 0: only empty ones are dropped. */
  readonly shortestSeconds?: number;
  /** A pause between samples longer than this ends a span at the last sample before it. Default: no limit. */
  readonly longestGapSeconds?: number;
}

/**
 * Where a sampled value is beyond a limit, with two thresholds so that noise at the limit makes one span, not fifty.
 * A span runs from the sample that enters to the sample that leaves; a NaN sample ends it there, and the last sample
 * ends it too. `time` never decreases. One pass, nothing allocated per sample.
 */
export function hysteresisSpans(
  time: ArrayLike<number>,
  value: ArrayLike<number>,
  options: HysteresisOptions,
): Span[] {
  const { shortestSeconds = 0, longestGapSeconds = Infinity } = options;
  const sign = options.side === 'below' ? 1 : -1;
  const enter = sign * options.enter;
  const leave = sign * options.leave;
  const spans: Span[] = [];
  let start = Number.NaN;
  let before = Number.NaN;

  const close = (end: number): void => {
    if (end > start && end - start >= shortestSeconds) spans.push({ start, end });
    start = Number.NaN;
  };

  for (let i = 0; i < time.length; i++) {
    const t = time[i] as number;
    const x = sign * (value[i] as number);
    let inside = !Number.isNaN(start);
    if (inside && t - before > longestGapSeconds) {
      close(before);
      inside = false;
    }
    if (inside && !(x < leave)) close(t);
    else if (!inside && x < enter) start = t;
    before = t;
  }
  if (!Number.isNaN(start)) close(before);
  return spans;
}
