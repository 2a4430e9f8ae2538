import type { Channel } from '../../../shared/channel.ts';
import type { Span } from '../../../shared/span.ts';
import { samplingOf } from '../../episodes/sampling.ts';
import type { DetectorContext } from '../detector.ts';

/** A log, or a group of channels in it, and when none of its channels had a sample. */
export interface Silence {
  readonly file: string;
  readonly spans: readonly Span[];
}

type Context = Pick<DetectorContext<string, object>, 'channels'>;

/** Every channel that may be judged, whatever its name. */
export const allChannels = ({ channels }: Context): readonly Channel[] => ['*', '*.*', '*.*.*', '*.*.*.*'].flatMap(channels);

/** Stretches longer than `longest` s in which no channel of a log had a sample, by log; before its first and after its last there is no log. */
export function fileSilences(context: Context, longest: number): readonly Silence[] {
  const byFile = new Map<string, Channel[]>();
  for (const channel of allChannels(context)) byFile.set(channel.source.file, [...(byFile.get(channel.source.file) ?? []), channel]);
  return [...byFile].map(([file, channels]) => ({ file, spans: commonSilences(channels, longest) })).filter(({ spans }) => spans.length > 0);
}

/** How many of a log's busiest channels tell whether it was recording. */
const WITNESSES = 12;

/** Stretches longer than `longest` s, and five usual intervals, without a sample of any of the channels. */
export function commonSilences(channels: readonly Channel[], longest: number): readonly Span[] {
  const busiest = channels.toSorted((a, b) => b.time.length - a.time.length).slice(0, WITNESSES);
  const samplings = busiest.map(samplingOf);
  const interval = Math.min(...samplings.map((sampling) => sampling.interval).filter(Number.isFinite));
  const shortest = Math.max(longest, 5 * interval);
  let silences: Span[] | undefined;
  for (const { time } of samplings) {
    const own: Span[] = [];
    for (let i = 1; i < time.length; i++) {
      if ((time[i] as number) - (time[i - 1] as number) > shortest) own.push({ start: time[i - 1] as number, end: time[i] as number });
    }
    const [first, last] = [time[0] ?? Infinity, time.at(-1) ?? -Infinity];
    own.unshift({ start: -Infinity, end: first });
    own.push({ start: last, end: Infinity });
    silences = silences === undefined ? own : overlaps(silences, own, shortest);
  }
  return (silences ?? []).filter(({ start, end }) => Number.isFinite(start) && Number.isFinite(end));
}

function overlaps(a: readonly Span[], b: readonly Span[], shortest: number): Span[] {
  const common: Span[] = [];
  for (let i = 0, j = 0; i < a.length && j < b.length; ) {
    const [one, other] = [a[i] as Span, b[j] as Span];
    const start = Math.max(one.start, other.start);
    const end = Math.min(one.end, other.end);
    if (end - start > shortest) common.push({ start, end });
    if (one.end < other.end) i++;
    else j++;
  }
  return common;
}
