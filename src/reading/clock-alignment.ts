import type { ClockEstimate } from '../../shared/day.ts';
import { NO_CHANGE, addedAt, composed, corrected, type ClockLine } from './clock-line.ts';
import { changedNote, estimateOf, undecidedNote } from './clock-notes.ts';
import { clockPieces, type ClockPiece } from './clock-pieces.ts';
import type { Undecided } from './clock-match.ts';
import { clockUnits, type ClockUnit } from './clock-units.ts';
import { correctClock, type CorrectedClock, type FoundPart } from './corrected-clock.ts';
import type { LogReading } from './day-assembly.ts';
import { pairsOf, toleranceOf, type Tolerance, type Trace, type TracePair } from './shared-signal.ts';
import { told } from './told-lines.ts';

/** A log's clock once all logs of the day have been compared. */
export interface AlignedClock {
  readonly clock: CorrectedClock;
  /** Whether its corrected times are real dates. */
  readonly isDated: boolean;
  /** Whether they stand on the clock the day's other logs stand on. */
  readonly isShared: boolean;
  readonly estimate?: ClockEstimate;
  readonly notes: readonly string[];
}

/** s; a zone is at most 14 hours from UTC, and two logs may err towards different sides. */
const LONGEST = 26 * 3600;

interface State {
  readonly found: Map<number, readonly FoundPart[]>;
  isDated: boolean;
  isShared: boolean;
  /** By stretch; what GNSS time told stands until a comparison changes it. */
  readonly estimates: Map<number, ClockEstimate>;
  isChanged: boolean;
  readonly notes: string[];
}

/**
 * Puts the clocks of one day's logs on one: first by the GNSS or network time a log holds itself, then by signals two logs
 * share. A log that cannot be told keeps its own times. Readings are only looked at, not changed.
 */
export function alignClocks(readings: readonly LogReading[]): readonly AlignedClock[] {
  const states = readings.map((reading): State => {
    const { found, estimates, notes, isTold } = told(reading);
    const isDated = reading.placement.hasWallClock || isTold;
    return { found, isDated, isShared: isDated, estimates, isChanged: [...found.values()].some((parts) => parts.some(({ line }) => line !== NO_CHANGE)), notes: [...notes] };
  });
  if (readings.length > 1) compare(readings, states);
  return readings.map((reading, log) => finished(reading, states[log] as State));
}

function finished({ placement }: LogReading, { found, isDated, isShared, estimates, isChanged, notes }: State): AlignedClock {
  const clock = correctClock(placement, found);
  const main = placement.stretches.findIndex(({ isMain }, k) => isMain && estimates.has(k));
  const measured = estimates.get(main);
  if (measured === undefined) return { clock, isDated, isShared, notes };
  const first = clock.stretches.find(({ first: begin }) => begin === placement.stretches[main]?.first);
  const restarts = clock.stretches.flatMap((stretch, k) => {
    const before = clock.stretches[k - 1];
    return before === undefined || stretch.line === before.line || stretch.isApart ? [] : [{ at: stretch.first, offset: addedAt(stretch.first, stretch.line) }];
  });
  const estimate = { ...measured, restarts };
  const added = first === undefined ? 0 : addedAt(first.first, first.line);
  return { clock, isDated, isShared, estimate, notes: isChanged ? [...notes, changedNote(estimate, added, placement.hasWallClock)] : notes };
}

interface Placed {
  readonly unit: ClockUnit;
  /** On the day's clock. */
  readonly traces: readonly Trace[];
}

function compare(readings: readonly LogReading[], states: readonly State[]): void {
  const units = clockUnits(readings, states.map(({ found }) => found), (log) => states[log]?.isDated === true).toSorted((a, b) => rank(b) - rank(a));
  const [reference, ...others] = units;
  if (reference === undefined) return;
  for (const { log } of reference.members) (states[log] as State).isShared = true;
  const placed: Placed[] = [{ unit: reference, traces: reference.traces }];
  for (const [k, unit] of others.entries()) {
    const match = bestMatch(unit, placed, readings);
    if (match === undefined) continue;
    const names = match.against.members.map(({ log }) => readings[log]?.summary.file ?? '');
    const against = names.length > 1 ? `${names[0]} and those after it` : (names[0] ?? '');
    if (typeof match.pieces === 'string') {
      for (const { log } of unit.members) states[log]?.notes.push(undecidedNote(against, match.pieces));
      continue;
    }
    const lines = linesOf(match.pieces, match.tolerance, unit.isDated);
    for (const { log, stretch } of unit.members) place(readings[log] as LogReading, states[log] as State, stretch, lines, match, against, reference.isDated);
    if (k < others.length - 1) placed.push({ unit, traces: unit.traces.map((trace) => ({ ...trace, time: trace.time.map((t) => corrected(t, lineFor(lines, t))) })) });
  }

  /** Told by GNSS, then with a receiver, then dated, then long. */
  function rank({ members, traces, isDated }: ClockUnit): number {
    const isTold = members.some(({ log }) => readings[log]?.channels.some(({ id }) => id === 'clock.offset') === true);
    const hasReceiver = members.some(({ log }) => readings[log]?.channels.some(({ id }) => id.startsWith('gnss.')) === true);
    const samples = traces.reduce((sum, { time }) => sum + time.length, 0);
    return (isDated ? 8 : 0) + (isTold ? 4 : 0) + (hasReceiver ? 2 : 0) + samples / (samples + 1e6);
  }
}

interface Match {
  readonly pieces: readonly ClockPiece[] | Undecided;
  readonly pair: TracePair;
  readonly tolerance: Tolerance;
  readonly against: ClockUnit;
}

/** The first comparison that decides; else the first of all; undefined when nothing is shared. */
function bestMatch(unit: ClockUnit, placed: readonly Placed[], readings: readonly LogReading[]): Match | undefined {
  let first: Match | undefined;
  const gaps = unit.members.flatMap(({ log }) => readings[log]?.gaps ?? []);
  for (const { unit: against, traces } of placed) {
    for (const pair of pairsOf(traces, unit.traces)) {
      const tolerance = toleranceOf(pair);
      const longest = unit.isDated === against.isDated ? LONGEST : Number.POSITIVE_INFINITY;
      const match = { pieces: clockPieces(pair, gaps, { longest: unit.isDated ? longest : Number.POSITIVE_INFINITY, tellingDrift: tolerance.drift }), pair, tolerance, against };
      if (typeof match.pieces !== 'string') return match;
      first ??= match;
    }
  }
  return first;
}

/** Within the guard band two clocks are one. */
function linesOf(pieces: readonly ClockPiece[], tolerance: Tolerance, isDated: boolean): readonly FoundPart[] {
  return pieces.map((piece, k) => {
    const fit = piece.fit ?? nearest(pieces, k);
    if (fit === undefined) return { ...piece, line: NO_CHANGE };
    const { offset, drift } = fit.line;
    const isOne = isDated && drift === 0 && Math.abs(offset) < Math.max(tolerance.offset, fit.offsetReach);
    return { first: piece.first, last: piece.last, line: isOne ? NO_CHANGE : fit.line };
  });
}

function nearest(pieces: readonly ClockPiece[], k: number): ClockPiece['fit'] {
  return pieces.slice(0, k).findLast(({ fit }) => fit !== undefined)?.fit ?? pieces.slice(k).find(({ fit }) => fit !== undefined)?.fit;
}

const lineFor = (parts: readonly FoundPart[], t: number): ClockLine => (parts.find(({ last }) => t <= last) ?? parts.at(-1))?.line ?? NO_CHANGE;

/** One stretch of one log gets its lines, on top of what GNSS time said. */
function place(reading: LogReading, state: State, index: number, lines: readonly FoundPart[], match: Match, against: string, isReferenceDated: boolean): void {
  const stretch = reading.placement.stretches[index];
  if (stretch === undefined || typeof match.pieces === 'string') return;
  const known = state.found.get(index) ?? [{ first: stretch.first, last: stretch.last, line: NO_CHANGE }];
  const parts = known.flatMap((inner) => {
    const begin = corrected(inner.first, inner.line);
    const end = corrected(inner.last, inner.line);
    const touching = lines.filter(({ first, last }, k) => (k === 0 || first <= end) && (k === lines.length - 1 || last >= begin));
    /* A line is placed by the logged time it is for: as logged, what GNSS time added is not yet in it. */
    const logged = (t: number): number => inner.line.at + (t - inner.line.offset - inner.line.at) / (1 + inner.line.drift);
    return touching.map(({ first, last, line }, k) => ({
      first: k === 0 ? inner.first : logged(first),
      last: k === touching.length - 1 ? inner.last : logged(last),
      line: line === NO_CHANGE ? inner.line : inner.line === NO_CHANGE ? line : composed(inner.line, line),
    }));
  });
  state.found.set(index, parts);
  if (parts.some(({ line }, k) => line !== known[Math.min(k, known.length - 1)]?.line)) state.isChanged = true;
  else if (state.estimates.has(index)) return;
  const piece = match.pieces.find(({ fit }) => fit !== undefined);
  if (piece?.fit === undefined) return;
  state.isShared = true;
  if (isReferenceDated) state.isDated = true;
  state.estimates.set(index, estimateOf(piece.fit, match.tolerance, { from: match.pair.b.kind, against }));
}
