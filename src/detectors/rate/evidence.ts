import type { TableEvidence, TraceEvidence, XyEvidence } from '../../../shared/evidence.ts';
import { countsPerTurn } from './count-track.ts';
import { resultOf } from './per-turn.ts';
import type { RateCase } from './rate-case.ts';
import type { Regime } from './regimes.ts';

const HECTARE = 1e4;

/** The routes to kilograms and to hectares side by side: who agrees with whom. */
export function routesTable({ day, applied, ground }: RateCase): TableEvidence {
  const rows = applied.flatMap(({ regime, mass, area, wheelArea, perTurn }): (string | number | null)[][] => {
    const { start, end } = regime;
    const rate = (kilograms: number): number | null => (area === undefined ? null : (kilograms / area) * HECTARE);
    const own: (string | number | null)[][] = [
      [start, end, 'scale, made true', mass.value, area === undefined ? null : area / HECTARE, rate(mass.value)],
      [start, end, 'scale as it reads', regime.line.perTurn * regime.turns, area === undefined ? null : area / HECTARE, rate(regime.line.perTurn * regime.turns)],
    ];
    if (day.entered !== undefined) {
      const told = day.entered * regime.turns;
      own.push([start, end, 'controller: turns × entered kg per turn, its own hectares', told, wheelArea === undefined ? null : wheelArea / HECTARE, wheelArea === undefined ? null : (told / wheelArea) * HECTARE]);
    }
    const seeds = massByCounts(day, regime);
    if (seeds !== undefined) own.push([start, end, 'counts × seed mass, as far as the sensors see it', seeds, area === undefined ? null : area / HECTARE, rate(seeds)]);
    own.push([start, end, 'kg per turn, measured', perTurn.value, null, null]);
    return own;
  });
  const tickets = massByTickets(day);
  if (tickets !== undefined) rows.push([0, day.track.mass.length, 'tickets − what is left', tickets, null, null]);
  return {
    kind: 'table', title: `Routes to the rate of tank ${day.track.tank.id}${ground?.route === 'wheel' ? ' (hectares by the wheel)' : ''}`,
    columns: [{ label: 'from', unit: 's' }, { label: 'to', unit: 's' }, { label: 'route' }, { label: 'mass', unit: 'kg', digits: 1 }, { label: 'area', unit: 'ha', digits: 2 }, { label: 'rate', unit: 'kg/ha', digits: 1 }],
    rows,
  };
}

/** kg by the weigh tickets: what was in the tank first, what was loaded, less what was left; only when every load was booked. */
function massByTickets({ story, scale, charges }: RateCase['day']): number | undefined {
  const { matched, fillsAlone } = story.books;
  const [first, last] = [charges[0]?.blocks[0], charges.at(-1)?.blocks.at(-1)];
  if (matched.length === 0 || fillsAlone.length > 0 || story.moves.length > 0 || first === undefined || last === undefined) return undefined;
  const loads = matched.filter(({ fills }) => fills.every(({ start }) => start >= first.start)).reduce((sum, { ticketMass }) => sum + ticketMass, 0);
  return loads + (first.mass - last.mass) / scale.ratio;
}

/** kg that the sensors saw: counts per turn × turns × the mass of a seed. Sensors see some 93 % (trade.md a.3), so this compares parts of the day, not routes. */
function massByCounts({ counts, track, product }: RateCase['day'], regime: Regime): number | undefined {
  if (counts === undefined || track.feed === undefined || product?.seedMass === undefined) return undefined;
  const perTurn = countsPerTurn(counts, track.feed, regime.charges.flatMap(({ stretches }) => stretches)).filter(Number.isFinite);
  if (perTurn.length === 0) return undefined;
  return (perTurn.reduce((sum, value) => sum + value, 0) / perTurn.length) * counts.runs.length * regime.turns * product.seedMass;
}

/** kg the scale lost against the turns fed, load by load, each from where it began. */
export function massAgainstTurns({ day, story }: RateCase): XyEvidence {
  const series = day.charges.map((charge, i) => {
    const first = charge.blocks[0];
    return {
      label: `load ${i + 1}`, style: 'points' as const, role: 'subject' as const,
      x: charge.blocks.map((block) => block.fed - (first?.fed ?? 0)), y: charge.blocks.map((block) => (first?.mass ?? 0) - block.mass),
    };
  });
  return {
    kind: 'xy', title: `What tank ${day.track.tank.id} lost against the turns of its meter`,
    x: { label: 'turns', unit: 'turn' }, y: { label: 'lost', unit: 'kg' }, series,
    lines: [
      ...story.regimes.map(({ line }, i) => ({ label: story.regimes.length > 1 ? `part ${i + 1}` : 'measured', slope: line.perTurn, intercept: 0 })),
      ...(day.entered === undefined ? [] : [{ label: 'as entered', slope: day.entered, intercept: 0 }]),
    ],
  };
}

/** kg per turn by the scale, in pieces of about 20 minutes. */
export function perTurnTrace({ day, story }: RateCase): TraceEvidence {
  const x: number[] = [];
  const y: number[] = [];
  for (const { blocks } of day.charges) {
    const every = 10;
    for (let i = every; i < blocks.length; i += every) {
      const [from, to] = [blocks[i - every], blocks[i]];
      if (from === undefined || to === undefined || from.stretch !== to.stretch || !(to.fed > from.fed)) continue;
      x.push((from.start + to.end) / 2);
      y.push((from.mass - to.mass) / (to.fed - from.fed));
    }
  }
  const span = { start: 0, end: day.track.mass.length };
  return {
    kind: 'trace', title: `kg per turn of tank ${day.track.tank.id}, by the scale`, unit: 'kg', span, shaded: [],
    series: [
      { label: 'twenty minutes each', x, y, style: 'points', role: 'subject' },
      ...story.regimes.map((regime) => {
        const { low, high, value } = resultOf({ value: regime.line.perTurn, standardUncertainty: regime.line.uncertainty, degreesOfFreedom: regime.line.degreesOfFreedom });
        return { label: 'mean', x: [regime.start, regime.end], y: [value, value], low: [low, low], high: [high, high], style: 'line' as const, role: 'witness' as const };
      }),
    ],
    levels: day.entered === undefined ? [] : [{ label: 'entered', value: day.entered }],
  };
}
