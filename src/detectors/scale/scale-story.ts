import type { Span } from '../../../shared/span.ts';
import type { Episodes, Fill } from '../../episodes/episodes.ts';
import { countTrack, type CountTrack } from '../rate/count-track.ts';
import { flowStops, type FlowStop } from '../tank-flow/flow-stops.ts';
import { deadCells, type DeadCell } from './cells.ts';
import { gainOf, type Gain } from './gain.ts';
import { massBlocks, type MassBlock } from './mass-line.ts';
import { jump, massSteps, type MassStep } from './mass-steps.ts';
import { defaults } from './options.ts';
import { shareChange, type ShareChange } from './share-change.ts';
import { cutAt, stretchesOf } from './stretches.ts';
import { tankTracks, type TankTrack, type TrackSource } from './tank-track.ts';
import { bookTickets, type Bookkeeping } from './tickets.ts';
import { zeroMoves, type ZeroMove } from './zero-moves.ts';

/** What happened to one tank's scale over the day; the common ground of the checks on scale, rate and tank. */
export interface ScaleStory {
  readonly track: TankTrack;
  readonly moves: readonly ZeroMove[];
  /** All sudden steps, of the zero or of a cell. */
  readonly steps: readonly MassStep[];
  readonly counts?: CountTrack;
  /** Product did not flow although the meter turned. */
  readonly stops: readonly FlowStop[];
  /** Stretches without loads, steps, holes and stops. */
  readonly flowing: readonly Span[];
  readonly blocks: readonly MassBlock[];
  readonly books: Bookkeeping;
  readonly dead?: DeadCell;
  readonly line?: ShareChange;
  /** The step that came with it. */
  readonly step?: MassStep;
  /** s; from then on only part of the load is weighed. */
  readonly lostAt?: number;
}

export interface ScaleSource extends TrackSource {
  readonly episodes: Episodes;
  readonly dayStart: number;
}

const storiesOf = new WeakMap<object, readonly ScaleStory[]>();

/** One story per tank with a scale; computed once per day. */
export function scaleStories(source: ScaleSource): readonly ScaleStory[] {
  const known = storiesOf.get(source.timeline);
  if (known !== undefined) return known;
  const tracks = tankTracks(source);
  const stories = tracks.map((track) => scaleStory(track, tracks, source));
  storiesOf.set(source.timeline, stories);
  return stories;
}

function scaleStory(track: TankTrack, tracks: readonly TankTrack[], source: ScaleSource): ScaleStory {
  const { episodes, setup } = source;
  const jumps = zeroMoves(track, tracks.filter((other) => other !== track), episodes, defaults.zero).moves;
  const sudden = massSteps(track.mass, stretchesOf(track, episodes), { ...defaults.zero, smallest: defaults.zero.leastShift });
  const steps = [...jumps, ...sudden];
  const cuts = steps.map(({ time }) => cutAt(time));
  const counts = countTrack(track, tracks, source);
  const stops = flowStops(track, stretchesOf(track, episodes, cuts), counts);
  const flowing = stretchesOf(track, episodes, [...cuts, ...stops]);
  const blocks = massBlocks(track, flowing);
  const loads = setup.job.loads.filter(({ tank }) => tank === track.tank.id);
  const jumpTimes = jumps.map(({ time }) => time);
  const gains = new Map(episodes.fills(track.tank.id).map((fill) => [fill, gainOf(track, fill, episodes, jumpTimes)]));
  const gain = (fill: Fill): Gain => gains.get(fill) ?? { mass: fill.after - fill.before, uncertainty: fill.uncertainty };
  const books = bookTickets(episodes.fills(track.tank.id), loads, source.dayStart, gain, defaults.tickets);
  const moves = jumps.filter((move) => !isTippedLoad(move, books, source.dayStart));
  const change = shareChange(blocks, defaults.cell);
  const line = change === undefined || isAtFill(change, track, episodes) ? undefined : change;
  const dead = deadCells(track, source, defaults.cell)[0];
  const step = line === undefined ? undefined : steps.find(({ time }) => Math.abs(time - line.time) < 240);
  const lostAt = earliest(dead?.start, step?.time ?? line?.time);
  return {
    track, moves, steps, stops, flowing, blocks, books,
    ...(counts === undefined ? {} : { counts }),
    ...(dead === undefined ? {} : { dead }),
    ...(line === undefined ? {} : { line }),
    ...(step === undefined ? {} : { step }),
    ...(lostAt === undefined ? {} : { lostAt }),
  };
}

/** A rise as large as a ticket without a fill, at its time: a load tipped in by bucket or bag. */
function isTippedLoad(move: ZeroMove, { ticketsAlone }: Bookkeeping, dayStart: number): boolean {
  return ticketsAlone.some(({ time, mass }) => Math.abs(time - dayStart - move.time) < defaults.tickets.longestApart && Math.abs(jump(move) / mass - 1) < 0.15);
}

/** A new seed lot begins at a fill, and so does a lid left open: a lasting change there is not the scale's. */
function isAtFill({ within }: ShareChange, track: TankTrack, episodes: Episodes): boolean {
  return episodes.fills(track.tank.id).some((fill) => fill.start < within.end + 120 && fill.end > within.start - 120);
}

function earliest(...times: readonly (number | undefined)[]): number | undefined {
  const known = times.filter((time) => time !== undefined);
  return known.length === 0 ? undefined : Math.min(...known);
}
