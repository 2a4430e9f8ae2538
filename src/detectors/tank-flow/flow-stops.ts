import type { Span } from '../../../shared/span.ts';
import type { CountTrack } from '../rate/count-track.ts';
import { massBlocks, type MassBlock } from '../scale/mass-line.ts';
import type { TankTrack } from '../scale/tank-track.ts';
import { countStops } from './count-stops.ts';

/** The meter turned and nothing came. */
export interface FlowStop extends Span {
  readonly witness: 'scale' | 'counts';
  /** kg the turns would have delivered and the reading did not lose. */
  readonly missing: number;
  /** kg, standard uncertainty. */
  readonly uncertainty: number;
  /** kg, reading as the flow stopped. */
  readonly reading: number;
}

export interface FlowStopOptions {
  /** s; blocks of the scale reading. */
  readonly blockSeconds: number;
  /** kg by which the loss must lag behind the turns; several times what bounce and wander (sd about 8 kg) can do. */
  readonly leastMissing: number;
  /** Share of the usual counts per turn under which the flow has stopped, and the shortest such stretch, s. */
  readonly countShare: number;
  readonly countSeconds: number;
}

export const flowStopDefaults: FlowStopOptions = { blockSeconds: 30, leastMissing: 50, countShare: 0.25, countSeconds: 12 };

/** kg by the scale per fed turn, the median over ten minutes at a time, so that hours of trouble do not matter; `undefined` without feeding. */
export function usualPerTurn(track: TankTrack, stretches: readonly Span[]): number | undefined {
  const blocks = massBlocks(track, stretches, { blockSeconds: 600, leastShare: 0.6 });
  const ratios: { readonly value: number; readonly weight: number }[] = [];
  for (let i = 1; i < blocks.length; i++) {
    const [from, to] = [blocks[i - 1] as MassBlock, blocks[i] as MassBlock];
    const turns = to.fed - from.fed;
    if (from.stretch === to.stretch && turns > 0) ratios.push({ value: (from.mass - to.mass) / turns, weight: turns });
  }
  ratios.sort((a, b) => a.value - b.value);
  const half = ratios.reduce((sum, { weight }) => sum + weight, 0) / 2;
  let sum = 0;
  for (const { value, weight } of ratios) {
    sum += weight;
    if (sum >= half) return value > 0 ? value : undefined;
  }
  return undefined;
}

/** Where a tank's product did not flow although its meter turned: by the run counts where they see it, else by the scale. */
export function flowStops(track: TankTrack, stretches: readonly Span[], counts: CountTrack | undefined, options: FlowStopOptions = flowStopDefaults): readonly FlowStop[] {
  const perTurn = usualPerTurn(track, stretches);
  if (track.fed === undefined) return [];
  if (counts !== undefined) {
    return countStops(counts, track, options.countShare, options.countSeconds).flatMap(({ start, end, isCutOff }) => {
      const stop: FlowStop = { start, end, witness: 'counts', ...missingIn(track, { start, end }, perTurn) };
      return isSensors(track, stop, isCutOff, perTurn) ? [] : [stop];
    });
  }
  return perTurn === undefined ? [] : scaleStops(track, stretches, perTurn, options);
}

/** kg; in an emptier tank a sudden end of the flow is no surprise. */
const NEARLY_EMPTY = 60;

/** The sensors fell silent, not the flow: the scale went on falling with the turns, or could not tell and all ended within a second. */
function isSensors(track: TankTrack, stop: FlowStop, isCutOff: boolean, perTurn: number | undefined): boolean {
  const promised = (perTurn ?? 0) * (track.fed === undefined ? 0 : turnsAt(track.fed, stop.end) - turnsAt(track.fed, stop.start));
  if (promised > 4 * stop.uncertainty) return stop.missing < 0.5 * promised;
  return isCutOff && !(stop.reading < NEARLY_EMPTY);
}

function scaleStops(track: TankTrack, stretches: readonly Span[], perTurn: number, { blockSeconds, leastMissing }: FlowStopOptions): readonly FlowStop[] {
  const blocks = massBlocks(track, stretches, { blockSeconds, leastShare: 0.5 });
  const stops: FlowStop[] = [];
  let sum = 0;
  let highest = 0;
  let onset = -1;
  let peak = -1;
  const close = (): void => {
    if (highest > leastMissing) stops.push(refined(track, blocks, onset, peak, perTurn));
    sum = 0;
    highest = 0;
    onset = -1;
  };
  for (let i = 1; i < blocks.length; i++) {
    const [from, to] = [blocks[i - 1] as MassBlock, blocks[i] as MassBlock];
    if (from.stretch !== to.stretch) {
      close();
      continue;
    }
    const expected = perTurn * (to.fed - from.fed);
    /* Halfway between all and nothing: flowing pulls the sum down, hanging pushes it up. */
    sum += expected / 2 - (from.mass - to.mass);
    if (sum <= 0) {
      close();
      continue;
    }
    if (onset < 0) onset = i - 1;
    if (sum > highest) {
      highest = sum;
      peak = i;
    }
    if (highest > leastMissing && sum < highest - leastMissing) close();
  }
  close();
  return stops;
}

/** The bends of the line: before it the reading falls with the turns, in it not at all, after it again. */
function refined(track: TankTrack, blocks: readonly MassBlock[], onset: number, peak: number, perTurn: number): FlowStop {
  const from = blocks[onset] as MassBlock;
  const to = blocks[peak] as MassBlock;
  const middle = (from.start + to.end) / 2;
  const start = bend(track, { start: Math.max(from.start - 300, 0), end: middle }, perTurn, false) ?? from.start;
  const end = bend(track, { start: middle, end: to.end + 300 }, perTurn, true) ?? to.end;
  const span = { start, end: Math.max(end, start + 1) };
  return { ...span, witness: 'scale', ...missingIn(track, span, perTurn) };
}

/** Least squares over the place of one bend in what the reading lags behind the turns; `falling` = flow comes back at the bend. */
function bend({ mass, fed }: TankTrack, { start, end }: Span, perTurn: number, falling: boolean): number | undefined {
  if (fed === undefined) return undefined;
  const from = Math.floor(start);
  const length = Math.max(0, Math.min(mass.length, Math.ceil(end)) - from);
  /* Sums up to each second of the lag and of the bare reading, and of their squares; both less the first reading, to keep digits. */
  const [n, lags, lagSquares, readings, readingSquares] = Array.from({ length: 5 }, () => new Float64Array(length + 1)) as [Float64Array, Float64Array, Float64Array, Float64Array, Float64Array];
  const zero = mass.subarray(from, from + length).find(Number.isFinite) ?? 0;
  const origin = fed[from] ?? 0;
  const dueAt = (k: number): number => perTurn * ((fed[from + k] as number) - origin);
  for (let k = 0; k < length; k++) {
    const reading = (mass[from + k] as number) - zero;
    const isKnown = Number.isFinite(reading);
    const lag = isKnown ? reading + dueAt(k) : 0;
    n[k + 1] = (n[k] as number) + (isKnown ? 1 : 0);
    lags[k + 1] = (lags[k] as number) + lag;
    lagSquares[k + 1] = (lagSquares[k] as number) + lag * lag;
    readings[k + 1] = (readings[k] as number) + (isKnown ? reading : 0);
    readingSquares[k + 1] = (readingSquares[k] as number) + (isKnown ? reading * reading : 0);
  }
  let best: { readonly squares: number; readonly time: number } | undefined;
  for (let p = 0; p < length; p += 5) {
    const due = dueAt(p);
    /* While nothing flows the reading itself stands, as far above the lag as the turns at the bend promised. */
    const between = (sums: Float64Array, a: number, b: number): number => (sums[b] as number) - (sums[a] as number);
    const [flowFrom, flowTo, hangFrom, hangTo] = falling ? [p, length, 0, p] : [0, p, p, length];
    const hanging = between(n, hangFrom, hangTo);
    const sum = between(lags, flowFrom, flowTo) + between(readings, hangFrom, hangTo) + hanging * due;
    const squares = between(lagSquares, flowFrom, flowTo) + between(readingSquares, hangFrom, hangTo) + 2 * due * between(readings, hangFrom, hangTo) + hanging * due * due;
    const scatter = squares - (sum * sum) / Math.max(1, n[length] as number);
    if (best === undefined || scatter < best.squares) best = { squares: scatter, time: from + p };
  }
  return n[length] === 0 ? undefined : best?.time;
}

/** kg that the turns in a span promised and the reading did not lose, from the minute before to the minute after. */
function missingIn({ mass, fed }: TankTrack, { start, end }: Span, perTurn: number | undefined): Pick<FlowStop, 'missing' | 'uncertainty' | 'reading'> {
  const promised = fed === undefined || perTurn === undefined ? Number.NaN : perTurn * (turnsAt(fed, end) - turnsAt(fed, start));
  const level = (from: number, to: number): number => {
    let sum = 0;
    let n = 0;
    for (let k = Math.max(0, Math.round(from)); k < Math.min(mass.length, Math.round(to)); k++) {
      const lag = (mass[k] as number) + (perTurn ?? 0) * (fed === undefined ? 0 : fed[k] as number);
      if (!Number.isFinite(lag)) continue;
      sum += lag;
      n++;
    }
    return n === 0 ? Number.NaN : sum / n;
  };
  const before = level(start - 60, start);
  const after = level(end, end + 60);
  const reading = before - (perTurn ?? 0) * (fed === undefined ? 0 : turnsAt(fed, start));
  const lag = after - before;
  /* Where the log or the stretch ends in the stop, the turns are all there is. */
  return Number.isFinite(lag) ? { missing: lag, uncertainty: 9, reading } : { missing: promised, uncertainty: 0.05 * promised, reading };
}

const turnsAt = (fed: Float64Array, time: number): number => fed[Math.min(fed.length - 1, Math.max(0, Math.round(time)))] as number;
