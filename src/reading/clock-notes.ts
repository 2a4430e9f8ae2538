import type { ClockEstimate } from '../../shared/day.ts';
import { toIso } from '../../shared/clock.ts';
import { formatDuration } from '../../shared/text.ts';
import type { FittedClock } from './clock-line.ts';
import type { Undecided } from './clock-match.ts';
import type { Tolerance } from './shared-signal.ts';

const HOUR = 3600;
/** Every zone is a whole number of quarter hours from UTC, at most 14 hours; a clock in it may be wrong by some minutes more. */
const QUARTER = 900;
const WITHIN_ZONE = 300;
const FURTHEST_ZONE = 14 * HOUR;

/** What a fit says, with what the sensors may hide. */
export function estimateOf(fit: FittedClock, tolerance: Tolerance, from: Pick<ClockEstimate, 'from' | 'against'>): ClockEstimate {
  const { offset } = fit.line;
  const reach = Math.hypot(fit.offsetReach, tolerance.typeB);
  /* The unseen delay may go from one end of its range to the other over the day. */
  const driftReach = Math.hypot(fit.driftReach, (2 * tolerance.typeB) / fit.span);
  const zone = zoneOf(offset);
  return {
    ...from,
    offset,
    low: offset - reach,
    high: offset + reach,
    ...(Number.isFinite(driftReach) ? { driftPerHour: fit.drift * HOUR, driftLow: (fit.drift - driftReach) * HOUR, driftHigh: (fit.drift + driftReach) * HOUR } : {}),
    ...(zone === 0 ? {} : { zoneHours: zone }),
    n: fit.used.length,
    restarts: [],
  };
}

function zoneOf(offset: number): number {
  const quarters = Math.round(offset / QUARTER);
  const isZone = quarters !== 0 && Math.abs(offset) <= FURTHEST_ZONE && Math.abs(offset - quarters * QUARTER) <= WITHIN_ZONE;
  return isZone ? -quarters / 4 : 0;
}

/** `added`: seconds really added at the first record; they are 0 when only a later part was moved. */
export function changedNote(estimate: ClockEstimate, added: number, hasWallClock: boolean): string {
  const { from, against, n } = estimate;
  const by = { 'speed': 'the speeds', 'lift': 'the lift', 'engine': 'the engine speeds', 'gnss-time': 'the GNSS or network time it holds' }[from];
  const beside = against === undefined ? '' : ` it shares with ${against}, in ${n} stretches`;
  const what = added === 0 ? 'at its first record nothing is added' : hasWallClock ? described(estimate) : `its second 0 is ${toIso(estimate.offset)} ± ${reachOf(estimate)}`;
  return `Put on the day's clock by ${by}${beside}: ${what}${restarts(estimate, added)}. First and last time are given as logged.`;
}

/** Nothing is guessed: the log keeps its times. */
export function undecidedNote(against: string, why: Undecided): string {
  const because = {
    short: 'they hold too little movement at the same time',
    unlike: 'their movements fit each other at no shift better than at others',
    incoherent: 'their movements fit differently from one part of the day to another',
  }[why];
  return `Its clock could not be compared with that of ${against}: ${because}. Its times are taken as logged; if the clocks differ, give one log at a time.`;
}

function described(estimate: ClockEstimate): string {
  const { offset, zoneHours = 0, driftPerHour, driftLow, driftHigh } = estimate;
  const rest = offset + zoneHours * HOUR;
  const zone = zoneHours === 0 ? '' : `it shows local time, UTC${zoneHours > 0 ? '+' : '−'}${Math.abs(zoneHours)}, and `;
  const drifts = driftPerHour !== undefined && driftLow !== undefined && driftHigh !== undefined && driftLow * driftHigh > 0;
  const drift = drifts ? `, ${driftPerHour < 0 ? 'gaining' : 'losing'} ${Math.abs(driftPerHour).toFixed(2)} s an hour (${sorted(driftLow, driftHigh)})` : '';
  return `${zone}${zoneHours === 0 ? 'it ' : ''}is ${formatDuration(Math.abs(rest), 1)} ${rest < 0 ? 'ahead' : 'behind'} (95 %: ± ${reachOf(estimate)}) at its first record${drift}`;
}

const reachOf = ({ low, high }: ClockEstimate): string => `${((high - low) / 2).toFixed(1)} s`;

const sorted = (a: number, b: number): string => [Math.abs(a), Math.abs(b)].sort((x, y) => x - y).map((x) => x.toFixed(2)).join(' to ');

function restarts({ restarts: list }: ClockEstimate, added: number): string {
  if (list.length === 0) return '';
  const shown = list.slice(0, 3).map(({ at, offset: next }) => `from ${at >= 1e8 ? toIso(Math.floor(at)) : `${at.toFixed(0)} s`} on ${(next - added).toFixed(1)} s more`);
  return `; it was set meanwhile: ${shown.join(', ')}${list.length > 3 ? ' and so on' : ''}`;
}
