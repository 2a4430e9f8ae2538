import type { Span } from '../../../shared/span.ts';
import type { Episodes } from '../../episodes/episodes.ts';
import type { FlowLog } from './flow-log.ts';

/** s between a command and its effect on the flow. */
const COMMAND_REACH = 8;

interface WithSwitches {
  readonly context: { readonly episodes: Pick<Episodes, 'switches'> };
  readonly log: FlowLog;
}

/** Low from another section's OFF to its ON: a crossed wire, which the section check names. */
export function answersToOther({ context, log }: WithSwitches, tower: number, { start, end }: Span): boolean {
  const own = log.towers[tower]?.section;
  const near = (time: number, on: boolean): readonly string[] =>
    context.episodes.switches.filter((edge) => edge.section !== own && edge.on === on && edge.time > time - COMMAND_REACH && edge.time < time + 1).map(({ section }) => section);
  const back = new Set(near(end, true));
  return near(start, false).some((section) => back.has(section));
}
