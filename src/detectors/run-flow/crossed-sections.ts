import type { Span } from '../../../shared/span.ts';
import type { DrillView } from './run-cases.ts';
import type { FlowEpisode } from './run-episodes.ts';

/** s between a command and its effect on the flow. */
const COMMAND_REACH = 8;

/** Sections whose OFF and ON, seconds before, frame a low stretch of a tower they do not command: a crossed wire. */
export function framingSections({ context, log }: Pick<DrillView, 'context' | 'log'>, tower: number, { start, end }: Span): readonly string[] {
  const own = log.towers[tower]?.section;
  const near = (time: number, on: boolean): readonly string[] =>
    context.episodes.switches.filter((edge) => edge.section !== own && edge.on === on && edge.time > time - COMMAND_REACH && edge.time < time + 1).map(({ section }) => section);
  const back = new Set(near(end, true));
  return [...new Set(near(start, false))].filter((section) => back.has(section));
}

export const answersToOther = (view: Pick<DrillView, 'context' | 'log'>, tower: number, span: Span): boolean => framingSections(view, tower, span).length > 0;

/** s from seven tenths to one tenth: a clutch that opens lets a tail of about 2 s arrive, a plug takes 3–30 s (trade.md F45). */
const AT_ONCE_SECONDS = 2;
const NOTHING = 0.1;

/** A tower went from normal to nothing between two neighbouring cells, or did not come on with its command. */
export function fellAtOnce({ drill, towers, log }: Pick<DrillView, 'drill' | 'towers' | 'log'>, tower: number, episode: FlowEpisode): boolean {
  const flow = towers[tower];
  const cells = drill.towers[tower]?.judged.cells;
  const cell = cells?.[episode.from];
  if (flow === undefined || cells === undefined || cell === undefined || episode.ratio.value >= NOTHING) return false;
  const ratio = (k: number): number => (flow.all[k] as number) / (flow.others[k] as number);
  if (!wasSeen(cells, episode.from, cell)) return ratio(cell) < NOTHING;
  let between = 0;
  for (let k = cell - 5; k < cell + 20; k++) if (ratio(k) > NOTHING && ratio(k) < 0.7) between++;
  return between * log.step <= Math.max(AT_ONCE_SECONDS, log.step) && [1, 2, 3].some((back) => ratio(cell - back) > 0.7);
}

/** Whether the cells right before were judged too, so that the fall itself was seen. */
const wasSeen = (cells: Int32Array, entry: number, cell: number): boolean => entry > 2 && (cells[entry - 3] as number) === cell - 3;
