import { quantity } from '../../../shared/text.ts';
import { defineDetector, type DetectorOutcome } from '../detector.ts';
import { countRatio } from '../rate/count-track.ts';
import { reportCell, type CellWitnesses } from './cell-finding.ts';
import { tiltOfLoads } from './level.ts';
import { jump } from './mass-steps.ts';
import { messages } from './messages.ts';
import { defaults } from './options.ts';
import { scaleStories, type ScaleStory } from './scale-story.ts';
import { reportSpan, spanSeverity, type ScaleContext } from './span-finding.ts';
import { spanByTickets } from './span-by-tickets.ts';
import type { TankTrack } from './tank-track.ts';
import type { Bookkeeping, TicketedFill } from './tickets.ts';
import { belowZero, reportBelowZero, reportZeroMoves } from './zero-finding.ts';
import type { ZeroMove } from './zero-moves.ts';

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
    const stories = scaleStories(context);
    const notes = stories.flatMap((story) => judge(story, context));
    const unbooked = context.setup.job.loads.length === 0 ? ['No weigh tickets are entered, so no scale’s span can be judged; zeros and cells were.'] : [];
    const why = [...unbooked, ...notes].join(' ');
    return { status: 'ran', why: why === '' ? context.say('looked', { count: stories.length === 1 ? '1 tank' : `${stories.length} tanks`, loads: String(stories.reduce((sum, { books }) => sum + books.matched.length, 0)) }) : why };
  },
});

/** Reports what is wrong with one tank's scale; returns what could not be settled. */
function judge(story: ScaleStory, context: ScaleContext): readonly string[] {
  const { track, moves, books, lostAt } = story;
  const witnesses = cellWitnesses(story, context);
  if (witnesses !== undefined) reportCell(track, witnesses, context);
  const sound = lostAt === undefined ? books.matched : books.matched.filter(({ fills }) => fills.every(({ end }) => end < lostAt));
  /* A dead cell takes its share of the empty tank along, so the reading may well be below zero. */
  if (witnesses === undefined) reportZero(track, moves, context);
  else reportZeroMoves(track, moves.filter((move) => move.kind === 'tare'), undefined, context);
  if (witnesses === undefined || sound.length < books.matched.length) measureSpan(story, sound, context);
  return bookNotes(track, books);
}

function reportZero(track: TankTrack, moves: readonly ZeroMove[], context: ScaleContext): void {
  const { zero } = context.options;
  const below = belowZero(track.mass, zero.belowZero, zero.belowSeconds);
  reportZeroMoves(track, moves, below, context);
  const explained = below !== undefined && moves.some((move) => move.time < below.start || (move.kind === 'tare' && jump(move) > 0));
  if (below !== undefined && !explained) reportBelowZero(track, below, context);
}

function measureSpan({ track, flowing, blocks }: ScaleStory, booked: readonly TicketedFill[], context: ScaleContext): void {
  const span = spanByTickets(booked, tiltOfLoads(track, booked, flowing), context.options.span.level);
  if (span === undefined) return;
  context.measure({ name: 'scale.span', subject: `tank.${track.tank.id}`, value: span.ratio, low: span.low, high: span.high, unit: 'ratio', n: span.fills });
  const severity = spanSeverity(span, context.options.span);
  if (severity !== undefined) reportSpan(track, span, booked, blocks, severity, context);
}

function cellWitnesses(story: ScaleStory, context: ScaleContext): CellWitnesses | undefined {
  const { track, books, flowing, dead, line, step, lostAt } = story;
  const { cell, span: limits } = context.options;
  const since = lostAt === undefined ? books.matched : books.matched.filter(({ fills }) => fills.every(({ start }) => start > lostAt));
  const span = spanByTickets(since, tiltOfLoads(track, since, flowing), limits.level);
  const looksLost = span !== undefined && span.ticketMass >= limits.leastTicketMass / 2 && span.low > cell.least && span.high < cell.most && span.high - span.low < 0.1;
  if (dead === undefined && line === undefined && !looksLost) return undefined;
  const counts = countsAcross(story);
  return {
    start: lostAt ?? 0,
    jump: step === undefined ? 0 : jump(step),
    ...(dead === undefined ? {} : { dead }),
    ...(line === undefined ? {} : { line }),
    ...(counts === undefined ? {} : { counts }),
    ...(looksLost ? { tickets: { span, booked: since } } : {}),
  };
}

/** Counts per turn across the change, when they held within 5 %. */
function countsAcross({ track: { feed }, counts, line }: ScaleStory): CellWitnesses['counts'] {
  if (counts === undefined || feed === undefined || line === undefined) return undefined;
  const ratio = countRatio(counts, feed, line.before.blocks, line.after.blocks);
  return ratio !== undefined && Math.abs(ratio.ratio - 1) + ratio.halfWidth < 0.05 ? ratio : undefined;
}

function bookNotes({ tank }: TankTrack, { ticketsAlone, fillsAlone, matched }: Bookkeeping): readonly string[] {
  const notes: string[] = [];
  if (ticketsAlone.length > 0) notes.push(`Tank ${tank.id}: no fill in the log for the ticket${ticketsAlone.length === 1 ? '' : 's'} over ${ticketsAlone.map(({ mass }) => quantity.mass(mass)).join(', ')}.`);
  if (fillsAlone.length > 0 && matched.length + ticketsAlone.length > 0) notes.push(`Tank ${tank.id}: no ticket for the fill${fillsAlone.length === 1 ? '' : 's'} at ${fillsAlone.map(({ start }) => quantity.clock(start)).join(', ')}.`);
  return notes;
}
