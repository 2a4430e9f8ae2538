import { describe, expect, it } from 'vitest';
import type { Load } from '../../../shared/setup.ts';
import { createChannelLookup } from '../../../src/detectors/channel-lookup.ts';
import { fitWithCorrelation, type FitRow } from '../../../src/detectors/scale/correlated-fit.ts';
import { gainOf } from '../../../src/detectors/scale/gain.ts';
import { massBlocks, massLine } from '../../../src/detectors/scale/mass-line.ts';
import { spanByTickets } from '../../../src/detectors/scale/span-by-tickets.ts';
import { stretchesOf } from '../../../src/detectors/scale/stretches.ts';
import { tankTracks } from '../../../src/detectors/scale/tank-track.ts';
import { bookTickets } from '../../../src/detectors/scale/tickets.ts';
import { createEpisodes } from '../../../src/episodes/create-episodes.ts';
import { createTimeline } from '../../../src/episodes/create-timeline.ts';
import type { Fill } from '../../../src/episodes/episodes.ts';
import { studentTQuantile } from '../../../src/series/distributions.ts';
import { weighedDay } from './weighed-day.ts';

/* NIST StRD Norris (itl.nist.gov/div898/strd/lls/data/Norris.shtml): calibration of one instrument against another. */
const NORRIS = '0.1 0.2|338.8 337.4|118.1 118.2|888.0 884.6|9.2 10.1|228.1 226.5|668.5 666.3|998.5 996.3|449.1 448.6|778.9 777.0|559.2 558.2|0.3 0.4|0.1 0.6|778.1 775.5|668.8 666.9|339.3 338.0|448.9 447.5|10.8 11.6|557.7 556.0|228.3 228.1|998.0 995.8|888.8 887.6|119.6 120.2|0.3 0.3|0.6 0.3|557.6 556.8|339.3 339.1|888.0 887.2|998.5 999.0|778.9 779.0|10.2 11.1|117.6 118.3|228.9 229.2|668.4 669.1|449.2 448.9|0.2 0.5'
  .split('|').map((pair) => pair.split(' ').map(Number) as [number, number]);

const logRelativeError = (value: number, certified: number): number => -Math.log10(Math.abs(value - certified) / Math.abs(certified));

describe('the fit with related residuals', () => {
  it('without correlation is least squares: NIST StRD Norris to nine digits', () => {
    const fit = fitWithCorrelation(NORRIS.map(([y, x], position): FitRow => ({ x: [x, 1], y, position, group: 0 })), 0)?.fit;
    expect(logRelativeError(fit?.coefficient[0] ?? 0, 1.00211681802045)).toBeGreaterThan(9);
    expect(logRelativeError(fit?.coefficient[1] ?? 0, -0.262323073774029)).toBeGreaterThan(9);
    expect(logRelativeError(fit?.standardError[0] ?? 0, 0.429796848199937e-3)).toBeGreaterThan(7);
    expect(logRelativeError(fit?.sigma ?? 0, 0.884796396144373)).toBeGreaterThan(7);
  });
  it('refuses unknowns it cannot tell apart', () => {
    expect(fitWithCorrelation(NORRIS.map(([y, x], position): FitRow => ({ x: [x, 2 * x], y, position, group: 0 })), 0.5)).toBeUndefined();
  });
});

describe('span from tickets', () => {
  const load = (ticketMass: number, scaleMass: number, scaleUncertainty: number, ticketUncertainty: number) => ({ tickets: [], fills: [], ticketMass, scaleMass, scaleUncertainty, ticketUncertainty });
  const flat = { each: [], all: 0 };

  it('one 5 t ticket (±10 kg) with stopped readings (6 kg) proves about 0.8 %', () => {
    /* trade.md f.2: 3.6 standard uncertainties (two-sided 5 %, power 95 %) of √(10² + 6²) kg on 5 t are 0.84 %. */
    const span = spanByTickets([load(5000, 5000, 6, 10)], flat, 0);
    expect(3.6 * (span?.uncertainty ?? 0)).toBeCloseTo(0.0084, 4);
  });
  it('follows the law for a quotient: GUM 5.1.2, one load', () => {
    const span = spanByTickets([load(3200, 3264, 8, 10)], flat, 0);
    expect(span?.ratio).toBeCloseTo(1.02, 9);
    expect(span?.uncertainty).toBeCloseTo(1.02 * Math.hypot(8 / 3264, 10 / 3200), 6);
  });
  it('u of a difference of two readings is √2·u(w) (checks.md W-05): 3 kg gives 4.243 kg, 0.85 % of 500 kg', () => {
    const span = spanByTickets([load(500, 500, Math.SQRT2 * 3, 1e-6)], flat, 0);
    expect(span?.uncertainty).toBeCloseTo(0.0085, 4);
  });
  it('lets loads that disagree widen the interval', () => {
    const agree = spanByTickets([load(3000, 3005, 8, 10), load(3000, 2998, 8, 10), load(2500, 2506, 8, 10)], flat, 0);
    const clash = spanByTickets([load(3000, 3005, 8, 10), load(3000, 2300, 8, 10), load(2500, 2506, 8, 10)], flat, 0);
    expect((clash?.high ?? 0) - (clash?.low ?? 0)).toBeGreaterThan(10 * ((agree?.high ?? 1) - (agree?.low ?? 0)));
  });
});

describe('booking tickets', () => {
  const fill = (start: number, gain: number): Fill => ({ tank: '1', start, end: start + 400, before: 200, after: 200 + gain, uncertainty: 8 });
  const ticket = (time: number, mass: number): Load => ({ tank: '1', time: 1000 + time, mass });
  const options = { longestApart: 2700, ticketUncertainty: 10 };
  const book = (fills: readonly Fill[], tickets: readonly Load[]) => bookTickets(fills, tickets, 1000, ({ before, after, uncertainty }) => ({ mass: after - before, uncertainty }), options);

  it('pairs by time', () => {
    const books = book([fill(1000, 3000), fill(9000, 2000)], [ticket(9100, 2010), ticket(1200, 2990)]);
    expect(books.matched.map(({ ticketMass, scaleMass }) => [ticketMass, scaleMass])).toEqual([[2990, 3000], [2010, 2000]]);
    expect(books.matched[0]?.ticketUncertainty).toBe(10);
  });
  it('takes one ticket for a load the auger made in three goes', () => {
    const books = book([fill(1000, 1000), fill(1900, 900), fill(2900, 1100)], [ticket(1500, 3010)]);
    expect(books.matched).toHaveLength(1);
    expect(books.matched[0]?.scaleUncertainty).toBeCloseTo(8 * Math.sqrt(3), 9);
  });
  it('takes two tickets for one load', () => {
    expect(book([fill(1000, 3000)], [ticket(900, 1600), ticket(1300, 1400)]).matched[0]?.ticketMass).toBe(3000);
  });
  it('leaves alone what has no partner within 45 minutes', () => {
    const books = book([fill(1000, 3000)], [ticket(1100, 3000), ticket(20_000, 500)]);
    expect(books.ticketsAlone.map(({ mass }) => mass)).toEqual([500]);
    expect(book([fill(1000, 3000), fill(20_000, 700)], [ticket(1100, 3000)]).fillsAlone.map(({ start }) => start)).toEqual([20_000]);
  });
  it('still compares a scale that shows three quarters with its own tickets', () => {
    expect(book([fill(1000, 2250), fill(9000, 1500)], [ticket(1100, 3000), ticket(9100, 2000)]).matched).toHaveLength(2);
  });
});

describe('95 % intervals hold the truth (checks.md 8.1: bootstrap and York figures must cover)', () => {
  const days = 60;
  it(`span and kg per turn over ${days} days`, () => {
    let spans = 0;
    let lines = 0;
    let spanWidth = 0;
    let lineWidth = 0;
    for (let seed = 1; seed <= days; seed++) {
      const day = weighedDay({ rounds: [{ seed: 3600 }, { seed: 3600 }, { seed: 3000 }], tanks: { 1: { loads: [2500, 2200, 2200], perTurn: 0.62, turnRate: 0.85 } } }, seed);
      const timeline = createTimeline(day);
      const episodes = createEpisodes(day, day.setup, timeline);
      const track = tankTracks({ ...createChannelLookup(day.channels, []), timeline, setup: day.setup })[0];
      if (track === undefined) throw new Error('no tank');
      const books = bookTickets(episodes.fills('1'), day.setup.job.loads, 0, (fill) => gainOf(track, fill, episodes, []), { longestApart: 2700, ticketUncertainty: 10 });
      const span = spanByTickets(books.matched, { each: [], all: 0 }, 0.001);
      const line = massLine(massBlocks(track, stretchesOf(track, episodes)));
      if (span === undefined || line === undefined) throw new Error('nothing measured');
      if (span.low <= 1 && span.high >= 1) spans++;
      spanWidth += (span.high - span.low) / 2 / days;
      const half = studentTQuantile(0.975, line.degreesOfFreedom) * line.uncertainty;
      if (Math.abs(line.perTurn - 0.62) <= half) lines++;
      lineWidth += half / 0.62 / days;
    }
    /* 60 days: a true 95 % lies within 89 and 100 % in 98 of 100 tries. */
    expect(spans / days).toBeGreaterThan(0.89);
    expect(lines / days).toBeGreaterThan(0.89);
    /* Best possible: three loads with u² = 10² + 2·6² kg² on 2.3 t; a line against a wander of 6 kg and 180 s known beforehand (0.30 %). */
    expect(spanWidth).toBeLessThan(1.5 * 1.96 * Math.sqrt((10 ** 2 + 2 * 6 ** 2) / 3) / 2300);
    expect(lineWidth).toBeLessThan(1.5 * 0.003);
  });
});
