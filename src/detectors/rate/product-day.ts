import type { Product } from '../../../shared/setup.ts';
import type { Span } from '../../../shared/span.ts';
import type { Episodes } from '../../episodes/episodes.ts';
import { intersectSpans } from '../../series/spans.ts';
import { massBlocks, massLine, type MassBlock, type MassLine } from '../scale/mass-line.ts';
import { scaleStories, type ScaleSource, type ScaleStory } from '../scale/scale-story.ts';
import type { TankTrack } from '../scale/tank-track.ts';
import type { FlowStop } from '../tank-flow/flow-stops.ts';
import type { CountTrack } from './count-track.ts';
import { scaleTruth, type ScaleTruth } from './scale-truth.ts';

/** One tank's product over the day: everything the checks on rate and flow start from. Computed once per day. */
export interface ProductDay {
  readonly track: TankTrack;
  readonly story: ScaleStory;
  readonly product?: Product;
  /** kg per turn as entered in the controller. */
  readonly entered?: number;
  /** kg/m², commanded rate per second, where logged; NaN = unknown. */
  readonly commanded?: Float64Array;
  readonly stops: readonly FlowStop[];
  readonly scale: ScaleTruth;
  readonly counts?: CountTrack;
  /** From one load to the next, each with its own line where it is long enough; nothing after a load cell was lost. */
  readonly charges: readonly Charge[];
}

export interface Charge extends Span {
  /** Flowing stretches in it. */
  readonly stretches: readonly Span[];
  readonly blocks: readonly MassBlock[];
  readonly line?: MassLine;
  /** Turns fed, stops left out. */
  readonly turns: number;
  /** kg by the scale that went while the meter was not logged. */
  readonly unseen: number;
}

const daysOf = new WeakMap<object, readonly ProductDay[]>();

export function productDays(source: ScaleSource): readonly ProductDay[] {
  const known = daysOf.get(source.timeline);
  if (known !== undefined) return known;
  const days = scaleStories(source).map((story) => productDay(story, source));
  daysOf.set(source.timeline, days);
  return days;
}

function productDay(story: ScaleStory, source: ScaleSource): ProductDay {
  const { track, stops, counts } = story;
  const { setup, timeline } = source;
  const entered = setup.machine.meters.find(({ id }) => id === track.meter)?.massPerTurn;
  const targetId = `meter.${track.meter}.target`;
  const commanded = source.channel(targetId) === undefined ? undefined : timeline.held(targetId);
  return {
    track, story, stops,
    scale: scaleTruth(story),
    charges: chargesOf(story, source.episodes),
    ...(track.product === undefined ? {} : { product: track.product }),
    ...(entered === undefined ? {} : { entered }),
    ...(commanded === undefined ? {} : { commanded }),
    ...(counts === undefined ? {} : { counts }),
  };
}

function chargesOf({ track, flowing, stops, lostAt = track.mass.length }: ScaleStory, episodes: Episodes): readonly Charge[] {
  const fills = episodes.fills(track.tank.id).map(({ start, end }) => (start + end) / 2).filter((time) => time < lostAt);
  const edges = [0, ...fills, Math.min(lostAt, track.mass.length)];
  return edges.slice(1).flatMap((end, i): readonly Charge[] => {
    const start = edges[i] as number;
    const stretches = flowing.filter((stretch) => stretch.start >= start && stretch.end <= end);
    const turns = turnsIn(track, { start, end }) - stoppedTurns(track, stops, { start, end });
    if (!(turns > 0)) return [];
    const blocks = massBlocks(track, stretches);
    const line = massLine(blocks);
    return [{ start, end, stretches, blocks, turns, unseen: unseenLoss(track, blocks, line), ...(line === undefined ? {} : { line }) }];
  });
}

/** What the reading lost across holes in the log of the meter, beyond what the known turns account for. */
function unseenLoss({ feed }: TankTrack, blocks: readonly MassBlock[], line: MassLine | undefined): number {
  if (feed === undefined || line === undefined) return 0;
  let loss = 0;
  for (let i = 1; i < blocks.length; i++) {
    const [from, to] = [blocks[i - 1] as MassBlock, blocks[i] as MassBlock];
    if (from.stretch === to.stretch) continue;
    let unknown = 0;
    for (let k = from.end; k < to.start; k++) if (Number.isNaN(feed[k] as number)) unknown++;
    const lost = from.mass - to.mass - line.perTurn * (to.fed - from.fed);
    /* Less than the wander of two readings is nothing. */
    if (unknown > 10 && lost > 3 * line.scatter) loss += lost;
  }
  return loss;
}

/** Turns made for nothing in a span. */
export function stoppedTurns(track: TankTrack, stops: readonly Span[], within: Span): number {
  return intersectSpans(stops, [within]).reduce((sum, stop) => sum + turnsIn(track, stop), 0);
}

export function turnsIn({ fed }: TankTrack, { start, end }: Span): number {
  if (fed === undefined) return 0;
  const at = (time: number): number => fed[Math.min(fed.length - 1, Math.max(0, Math.round(time)))] as number;
  return at(end) - at(start);
}
