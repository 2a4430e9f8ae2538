import { NO_CHANGE, corrected, type ClockLine } from './clock-line.ts';
import type { FoundPart } from './corrected-clock.ts';
import type { LogReading } from './day-assembly.ts';
import { chained, tracesOf, type Trace } from './shared-signal.ts';
import { createStretchTracker } from './stretch-tracker.ts';

/** What may have to be moved as one: a stretch of a log, or the whole of logs that one recorder wrote one after the other. */
export interface ClockUnit {
  readonly members: readonly { readonly log: number; readonly stretch: number }[];
  /** On the log's own clock, as GNSS time has corrected it where it did. */
  readonly traces: readonly Trace[];
  readonly isDated: boolean;
}

/** s; shorter stretches keep their neighbour's clock. */
const SHORTEST = 600;

/** `found`: by log and stretch, what is known of the clocks already. */
export function clockUnits(readings: readonly LogReading[], found: readonly ReadonlyMap<number, readonly FoundPart[]>[], isDated: (log: number) => boolean): readonly ClockUnit[] {
  const units: ClockUnit[] = [];
  for (const [log, reading] of readings.entries()) {
    const { stretches } = reading.placement;
    for (const [stretch, { first, last, isMain }] of stretches.entries()) {
      if (last - first < SHORTEST && stretches.length > 1) continue;
      const lines = found[log]?.get(stretch) ?? [];
      const traces = tracesOf(reading.channels, (): ((time: number) => boolean) => {
        if (stretches.length === 1) return () => true;
        const stretchOf = createStretchTracker(stretches);
        return (time) => stretchOf(time) === stretch;
      }).map((trace) => moved(trace, lines));
      if (traces.length > 0) units.push({ members: [{ log, stretch }], traces, isDated: isMain && isDated(log) });
    }
  }
  return joined(units, (log) => readings[log]?.placement.stretches.length === 1);
}

function moved(trace: Trace, lines: readonly FoundPart[]): Trace {
  if (lines.length === 0) return trace;
  const lineAt = (t: number): ClockLine => (lines.find(({ last }) => t <= last) ?? lines.at(-1))?.line ?? NO_CHANGE;
  return { ...trace, time: trace.time.map((t) => corrected(t, lineAt(t))) };
}

/** Units of one recorder that do not overlap follow one clock. */
function joined(units: readonly ClockUnit[], isWhole: (log: number) => boolean): readonly ClockUnit[] {
  const chains: { readonly key: string; readonly units: ClockUnit[]; end: number }[] = [];
  const startOf = (unit: ClockUnit): number => Math.min(...unit.traces.map(({ time }) => time[0] as number));
  const endOf = (unit: ClockUnit): number => Math.max(...unit.traces.map(({ time }) => time[time.length - 1] as number));
  for (const unit of units.toSorted((a, b) => startOf(a) - startOf(b))) {
    const whole = unit.isDated && unit.members.every(({ log }) => isWhole(log));
    const key = whole ? JSON.stringify(unit.traces.map(({ id, sender }) => [id, sender])) : '';
    const chain = key === '' ? undefined : chains.find((candidate) => candidate.key === key && candidate.end <= startOf(unit));
    if (chain === undefined) chains.push({ key, units: [unit], end: endOf(unit) });
    else {
      chain.units.push(unit);
      chain.end = endOf(unit);
    }
  }
  return chains.map((chain) => {
    const [first] = chain.units as [ClockUnit];
    if (chain.units.length === 1) return first;
    return { ...first, members: chain.units.flatMap(({ members }) => members), traces: first.traces.map((_, k) => chained(chain.units.flatMap(({ traces }) => traces[k] ?? []))) };
  });
}

