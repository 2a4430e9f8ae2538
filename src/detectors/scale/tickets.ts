import type { Load } from '../../../shared/setup.ts';
import type { Fill } from '../../episodes/episodes.ts';
import { totalOf } from '../../series/moments.ts';
import type { Gain } from './gain.ts';

/** Tickets and the fills they stand for: one ticket may cover several fills (the auger paused), one fill several tickets. */
export interface TicketedFill {
  readonly tickets: readonly Load[];
  readonly fills: readonly Fill[];
  /** kg by the tickets and by the scale. */
  readonly ticketMass: number;
  readonly scaleMass: number;
  /** Standard uncertainties, kg. */
  readonly ticketUncertainty: number;
  readonly scaleUncertainty: number;
}

export interface Bookkeeping {
  readonly matched: readonly TicketedFill[];
  /** Tickets without a fill in the log, and fills nobody booked. */
  readonly ticketsAlone: readonly Load[];
  readonly fillsAlone: readonly Fill[];
}

export interface TicketOptions {
  /** s; a ticket is often written at the platform or in the evening's book, rounded to the quarter hour. Common practice, no source. */
  readonly longestApart: number;
  /** kg, standard uncertainty of a ticket that states none. One platform weighing of a truck, common practice, no source. */
  readonly ticketUncertainty: number;
}

/* What a match costs, in squares of what is usual: scale and ticket usually agree within 5 %; being alone costs more than a 1:1
   pair in time can ever cost, so that a scale gone wrong is still compared with its own tickets. */
const USUAL_DISAGREEMENT = 0.05;
const DEAREST_DISAGREEMENT = 8;
const ALONE = 6;
const EXTRA_MEMBER = 0.5;
const LARGEST_GROUP = 4;

/** Books the tickets of one tank against its fills, both in time order: the cheapest chain of groups. `gain` = what a fill added by the scale. */
export function bookTickets(fills: readonly Fill[], loads: readonly Load[], dayStart: number, gain: (fill: Fill) => Gain, options: TicketOptions): Bookkeeping {
  const tickets = loads.toSorted((a, b) => a.time - b.time);
  /* cost[t][f]: cheapest booking of the first t tickets and f fills; `step` = how many of each the last group took. */
  const cost = Array.from({ length: tickets.length + 1 }, () => new Float64Array(fills.length + 1).fill(Number.POSITIVE_INFINITY));
  const step = cost.map(() => Array.from({ length: fills.length + 1 }, (): readonly [number, number] => [0, 0]));
  const costRow = (t: number): Float64Array => cost[t] as Float64Array;
  costRow(0)[0] = 0;
  for (let t = 0; t <= tickets.length; t++) {
    for (let f = 0; f <= fills.length; f++) {
      for (const [nt, nf] of groupSizes(t, f)) {
        const group = groupCost(tickets.slice(t - nt, t), fills.slice(f - nf, f), dayStart, gain, options);
        const total = (costRow(t - nt)[f - nf] as number) + group;
        if (total < (costRow(t)[f] as number)) {
          costRow(t)[f] = total;
          (step[t] as (readonly [number, number])[])[f] = [nt, nf];
        }
      }
    }
  }
  return readBack(tickets, fills, step, gain, options);
}

function groupSizes(t: number, f: number): readonly (readonly [number, number])[] {
  const sizes: (readonly [number, number])[] = [];
  if (t >= 1) sizes.push([1, 0]);
  if (f >= 1) sizes.push([0, 1]);
  if (t >= 1 && f >= 1) sizes.push([1, 1]);
  for (let n = 2; n <= LARGEST_GROUP; n++) {
    if (t >= 1 && f >= n) sizes.push([1, n]);
    if (t >= n && f >= 1) sizes.push([n, 1]);
  }
  return sizes;
}

function groupCost(tickets: readonly Load[], fills: readonly Fill[], dayStart: number, gain: (fill: Fill) => Gain, options: TicketOptions): number {
  if (tickets.length === 0 || fills.length === 0) return ALONE;
  let lateness = 0;
  for (const ticket of tickets) {
    for (const fill of fills) {
      const time = ticket.time - dayStart;
      const apart = Math.max(0, fill.start - time, time - fill.end) / options.longestApart;
      if (apart > 1) return Number.POSITIVE_INFINITY;
      lateness = Math.max(lateness, apart);
    }
  }
  const ticketMass = totalOf(tickets.map(({ mass }) => mass));
  const scaleMass = totalOf(fills.map((fill) => gain(fill).mass));
  const disagreement = scaleMass > 0 && ticketMass > 0 ? (Math.log(scaleMass / ticketMass) / USUAL_DISAGREEMENT) ** 2 : DEAREST_DISAGREEMENT;
  return Math.min(DEAREST_DISAGREEMENT, disagreement) + lateness ** 2 + EXTRA_MEMBER * (tickets.length + fills.length - 2);
}

function readBack(tickets: readonly Load[], fills: readonly Fill[], step: readonly (readonly (readonly [number, number])[])[], gain: (fill: Fill) => Gain, options: TicketOptions): Bookkeeping {
  const matched: TicketedFill[] = [];
  const ticketsAlone: Load[] = [];
  const fillsAlone: Fill[] = [];
  let t = tickets.length;
  let f = fills.length;
  while (t > 0 || f > 0) {
    const [nt, nf] = step[t]?.[f] ?? [0, 0];
    const some = tickets.slice(t - nt, t);
    const those = fills.slice(f - nf, f);
    if (nf === 0) ticketsAlone.unshift(...some);
    else if (nt === 0) fillsAlone.unshift(...those);
    else matched.unshift(ticketedFill(some, those, gain, options));
    t -= nt;
    f -= nf;
  }
  return { matched, ticketsAlone, fillsAlone };
}

function ticketedFill(tickets: readonly Load[], fills: readonly Fill[], gain: (fill: Fill) => Gain, options: TicketOptions): TicketedFill {
  return {
    tickets, fills,
    ticketMass: totalOf(tickets.map(({ mass }) => mass)),
    scaleMass: totalOf(fills.map((fill) => gain(fill).mass)),
    ticketUncertainty: rootSumSquare(tickets.map(({ uncertainty }) => uncertainty ?? options.ticketUncertainty)),
    scaleUncertainty: rootSumSquare(fills.map((fill) => gain(fill).uncertainty)),
  };
}

const rootSumSquare = (values: readonly number[]): number => Math.hypot(...values);
