import type { Span } from '../../../shared/span.ts';
import { quantity } from '../../../shared/text.ts';
import { defineDetector, type DetectorOutcome } from '../detector.ts';
import { flowStops } from '../tank-flow/flow-stops.ts';
import { countRatio, countTrack } from '../rate/count-track.ts';
import { reportCell, type CellWitnesses } from './cell-finding.ts';
import { deadCells } from './cells.ts';
import { gainUncertainty } from './gain-uncertainty.ts';
import { tiltOfLoads } from './level.ts';
import { massBlocks } from './mass-line.ts';
import { jump, massSteps, type MassStep } from './mass-steps.ts';
import { messages } from './messages.ts';
import { defaults } from './options.ts';
import { shareChange, type ShareChange } from './share-change.ts';
import { reportSpan, spanSeverity, type ScaleContext } from './span-finding.ts';
import { spanByTickets } from './span-by-tickets.ts';
import { cutAt, stretchesOf } from './stretches.ts';
import { tankTracks, type TankTrack } from './tank-track.ts';
import { bookTickets, type Bookkeeping, type TicketedFill } from './tickets.ts';
import { belowZero, reportBelowZero, reportZeroMoves } from './zero-finding.ts';
import { zeroMoves, type ZeroMove } from './zero-moves.ts';

export const scale = defineDetector({
  meta: {
    id: 'scale',
    title: 'Tank scales',
    docs: {
      what: 'Whether the tank scales weigh true (span), whether their zero stayed put, and whether every load cell still carries its share.',
      why: 'Range to empty, the rate check and any kg per turn set from the scale stand or fall with it.',
      how: 'Loads are read in quiet states and compared with weigh tickets by increments, never totals (York regression, both uncertain). Jumps while parked, without meter turns and without a ramp, are changes of the zero. A lasting fall of kg per turn to (n − 1)/n, or a cell that no longer moves with its neighbours, is a lost cell.',
      fooledBy: 'Tickets of the wrong tank or from a platform that is itself off; cells logged with their readings already averaged; product carried away by hand while parked.',
      source: 'York et al. 2004; OIML R 76-1 table 6 and NIST Handbook 44 for what a sound scale may err; limits ±0.5 % good, ±1 % act: common practice, no source.',
    },
    codes: ['scale.span-off', 'scale.zero-moved', 'scale.cell-lost'],
    requires: ['tank.*.mass|tank.*.cell.*'],
    messages,
  },
  defaults,
  detect: (context): DetectorOutcome => {
    const tracks = tankTracks(context);
    const notes = tracks.flatMap((track) => judge(track, tracks, context));
    const unbooked = context.setup.job.loads.length === 0 ? ['No weigh tickets are entered, so no scale’s span can be judged; zeros and cells were.'] : [];
    const why = [...unbooked, ...notes].join(' ');
    return why === '' ? { status: 'ran' } : { status: 'ran', why };
  },
});

/** Reports what is wrong with one tank's scale; returns what could not be settled. */
function judge(track: TankTrack, tracks: readonly TankTrack[], context: ScaleContext): readonly string[] {
  const { options, episodes } = context;
  const { moves } = zeroMoves(track, tracks.filter((other) => other !== track), episodes, options.zero);
  const steps: readonly MassStep[] = [...moves, ...massSteps(track.mass, stretchesOf(track, episodes), { ...options.zero, smallest: options.zero.leastShift })];
  const whole = stretchesOf(track, episodes, steps.map(({ time }) => cutAt(time)));
  const stops = flowStops(track, whole, countTrack(track, tracks, context));
  const flowing = stretchesOf(track, episodes, [...steps.map(({ time }) => cutAt(time)), ...stops]);
  const change = shareChange(massBlocks(track, flowing), options.cell);
  const line = change === undefined || isAtFill(change, track, context) ? undefined : change;
  const loads = context.setup.job.loads.filter(({ tank }) => tank === track.tank.id);
  const books = bookTickets(episodes.fills(track.tank.id), loads, context.dayStart, (fill) => gainUncertainty(track, fill, episodes), options.tickets);
  const booked = books.matched;

  const dead = deadCells(track, context, options.cell)[0];
  const step = line === undefined ? undefined : steps.find(({ time }) => Math.abs(time - line.time) < 240);
  const lostAt = earliest(dead?.start, step?.time ?? line?.time);
  const witnesses = cellWitnesses({ track, tracks, booked, flowing, dead, line, step, lostAt }, context);
  if (witnesses !== undefined) reportCell(track, witnesses, context);
  const sound = lostAt === undefined ? booked : booked.filter(({ fills }) => fills.every(({ end }) => end < lostAt));
  /* A dead cell takes its share of the empty tank along, so the reading may well be below zero. */
  if (witnesses === undefined) reportZero(track, moves, context);
  else reportZeroMoves(track, moves.filter((move) => move.kind === 'tare'), undefined, context);
  if (witnesses === undefined || sound.length < booked.length) measureSpan(track, sound, flowing, context);
  return bookNotes(track, books);
}

function reportZero(track: TankTrack, moves: readonly ZeroMove[], context: ScaleContext): void {
  const { zero } = context.options;
  const below = belowZero(track.mass, zero.belowZero, zero.belowSeconds);
  reportZeroMoves(track, moves, below, context);
  const explained = below !== undefined && moves.some((move) => move.time < below.start || (move.kind === 'tare' && jump(move) > 0));
  if (below !== undefined && !explained) reportBelowZero(track, below, context);
}

function measureSpan(track: TankTrack, booked: readonly TicketedFill[], flowing: readonly Span[], context: ScaleContext): void {
  const span = spanByTickets(booked, tiltOfLoads(track, booked, flowing), context.options.span.level);
  if (span === undefined) return;
  context.measure({ name: 'scale.span', subject: `tank.${track.tank.id}`, value: span.ratio, low: span.low, high: span.high, unit: 'ratio', n: span.fills });
  const severity = spanSeverity(span, context.options.span);
  if (severity !== undefined) reportSpan(track, span, booked, massBlocks(track, flowing), severity, context);
}

/** A new seed lot begins at a fill, and so does a lid left open: a lasting change there is not the scale's. */
function isAtFill(change: ShareChange, track: TankTrack, { episodes }: ScaleContext): boolean {
  const edge = [change.before.blocks.at(-1), change.after.blocks[0]];
  const from = edge[0]?.end ?? change.time;
  const to = edge[1]?.start ?? change.time;
  return episodes.fills(track.tank.id).some((fill) => fill.start < to + 120 && fill.end > from - 120);
}

function earliest(...times: readonly (number | undefined)[]): number | undefined {
  const known = times.filter((time) => time !== undefined);
  return known.length === 0 ? undefined : Math.min(...known);
}

interface CellCase {
  readonly track: TankTrack;
  readonly tracks: readonly TankTrack[];
  readonly booked: readonly TicketedFill[];
  readonly flowing: readonly Span[];
  readonly dead: CellWitnesses['dead'];
  readonly line: ShareChange | undefined;
  readonly step: MassStep | undefined;
  readonly lostAt: number | undefined;
}

function cellWitnesses({ track, tracks, booked, flowing, dead, line, step, lostAt }: CellCase, context: ScaleContext): CellWitnesses | undefined {
  const { cell, span: limits } = context.options;
  const since = lostAt === undefined ? booked : booked.filter(({ fills }) => fills.every(({ start }) => start > lostAt));
  const span = spanByTickets(since, tiltOfLoads(track, since, flowing), limits.level);
  const looksLost = span !== undefined && span.ticketMass >= limits.leastTicketMass / 2 && span.low > cell.least && span.high < cell.most && span.high - span.low < 0.1;
  if (dead === undefined && line === undefined && !looksLost) return undefined;
  const counted = line === undefined ? undefined : countsAcross(track, tracks, line, context);
  return {
    start: lostAt ?? 0,
    jump: step === undefined ? 0 : jump(step),
    ...(dead === undefined ? {} : { dead }),
    ...(line === undefined ? {} : { line }),
    ...(counted === undefined ? {} : { counts: counted }),
    ...(looksLost ? { tickets: { span, booked: since } } : {}),
  };
}

/** Counts per turn across the change, when they held within 5 %. */
function countsAcross(track: TankTrack, tracks: readonly TankTrack[], line: ShareChange, context: ScaleContext): CellWitnesses['counts'] {
  const counts = countTrack(track, tracks, context);
  if (counts === undefined || track.feed === undefined) return undefined;
  const ratio = countRatio(counts, track.feed, line.before.blocks, line.after.blocks);
  return ratio !== undefined && Math.abs(ratio.ratio - 1) + ratio.halfWidth < 0.05 ? ratio : undefined;
}

function bookNotes({ tank }: TankTrack, { ticketsAlone, fillsAlone, matched }: Bookkeeping): readonly string[] {
  const notes: string[] = [];
  if (ticketsAlone.length > 0) notes.push(`Tank ${tank.id}: no fill in the log for the ticket${ticketsAlone.length === 1 ? '' : 's'} over ${ticketsAlone.map(({ mass }) => quantity.mass(mass)).join(', ')}.`);
  if (fillsAlone.length > 0 && matched.length + ticketsAlone.length > 0) notes.push(`Tank ${tank.id}: no ticket for the fill${fillsAlone.length === 1 ? '' : 's'} at ${fillsAlone.map(({ start }) => quantity.clock(start)).join(', ')}.`);
  return notes;
}
