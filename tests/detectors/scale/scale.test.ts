import { describe, expect, it } from 'vitest';
import type { Channel } from '../../../shared/channel.ts';
import type { Setup } from '../../../shared/setup.ts';
import { scale } from '../../../src/detectors/scale/scale.ts';
import { runDetector, testDetector, worldDay, type TestDay } from '../../support/detector-tester.ts';
import { createRandom } from '../../support/world/random.ts';
import { scenario } from '../../support/world/scenario.ts';
import { STAND, timetableOf, weighedDay, type WeighedPlan, type WeighedTank } from './weighed-day.ts';

const wheat: WeighedTank = { loads: [3600, 3000], perTurn: 0.62, turnRate: 0.85, product: { name: 'wheat', targetRate: 0.012 } };
const starter: WeighedTank = { loads: [2400, 1500], perTurn: 0.5, turnRate: 0.53, capacity: 3200, product: { name: 'starter', targetRate: 0.006 } };
const rounds = [{ seed: 6000 }, { seed: 5200 }];
const table = timetableOf({ rounds, tanks: { 1: wheat, 2: starter } });
const second = (round: number): number => table.rounds[round]?.seeding ?? 0;

/** Two tanks, two loads each, three hours of seeding. */
const plan = (changes: { readonly wheat?: Partial<WeighedTank>; readonly starter?: Partial<WeighedTank>; readonly wheel?: number }): WeighedPlan =>
  ({ rounds, tanks: { 1: { ...wheat, ...changes.wheat }, 2: { ...starter, ...changes.starter } }, ...(changes.wheel === undefined ? {} : { wheel: changes.wheel }) });
const day = (changes: Parameters<typeof plan>[0] = {}, change: (setup: Setup) => Setup = (setup) => setup) => (seed: number): TestDay => {
  const made = weighedDay(plan(changes), seed);
  return { ...made, setup: change(made.setup) };
};
const withoutTickets = (setup: Setup): Setup => ({ ...setup, job: { ...setup.job, loads: [] } });
const from = (start: number, after: (kg: number, seconds: number) => number) => (kg: number, k: number): number => (k < start ? kg : after(kg, k - start));
/** The reading as it was at `start` is called zero, within two seconds. */
const zeroedAt = (start: number): ((kg: number, k: number) => number) => {
  let level = Number.NaN;
  return (kg, k) => {
    if (k < start) return kg;
    if (k === start || Number.isNaN(level)) level = kg;
    return kg - level * Math.min(1, (k - start + 1) / 2);
  };
};

/** Tank 1 with its load on four cells, each with noise of its own; one may die at second `dead` and stay where it was. */
const withCells = (dead?: number) => (seed: number): TestDay => {
  const made = day()(seed);
  const random = createRandom(seed, 'cells');
  const whole = made.channels.find(({ id }) => id === 'tank.1.mass') as Channel;
  const cells = [1, 2, 3, 4].map((cell): Channel => {
    let stuck = Number.NaN;
    const value = Float64Array.from(whole.value, (mass, k) => {
      if (cell === 3 && dead !== undefined && k >= dead && Number.isNaN(stuck)) stuck = Math.round(mass / 4);
      return Number.isNaN(stuck) ? Math.round(mass / 4 + 5 * random.normal()) : stuck;
    });
    return { id: `tank.1.cell.${cell}`, unit: 'kg', source: whole.source, time: whole.time, value };
  });
  const sum = { ...whole, value: Float64Array.from(whole.time, (_, k) => cells.reduce((total, cell) => total + (cell.value[k] as number), 0)) };
  return { ...made, channels: [...made.channels.filter((channel) => channel !== whole), sum, ...cells] };
};

/** The cart's log stops for some minutes. */
const withGap = (start: number, seconds: number) => (seed: number): TestDay => {
  const made = day()(seed);
  const cut = (channel: Channel): Channel => {
    const kept = [...channel.time.keys()].filter((k) => (channel.time[k] as number) < start || (channel.time[k] as number) > start + seconds);
    return { ...channel, time: Float64Array.from(kept, (k) => channel.time[k] as number), value: Float64Array.from(kept, (k) => channel.value[k] as number) };
  };
  return { ...made, channels: made.channels.map((channel) => (channel.id.startsWith('gnss') ? channel : cut(channel))) };
};

testDetector(scale, {
  quiet: [
    { name: 'plain day', day: day(), seeds: [1, 2, 3, 4, 5, 6, 7, 8], status: 'clean' },
    { name: 'C1: hills, loads weighed on a slope', day: (seed) => worldDay(scenario('C1').build(seed)) },
    { name: 'C4: 400 kg of canola', day: (seed) => worldDay(scenario('C4').build(seed)) },
    { name: 'no tickets: a span 3 % off cannot be proved', day: day({ wheat: { shown: (kg) => 1.03 * kg } }, withoutTickets), seeds: [1, 2], status: 'clean' },
    { name: 'span 0.3 % off is a good scale', day: day({ wheat: { shown: (kg) => 1.003 * kg } }), seeds: [1, 2, 3, 4] },
    { name: 'span 1.5 % off, and only 500 kg were weighed', day: day({ wheat: { loads: [500, 0], shown: (kg) => 1.015 * kg, perTurn: 0.05 } }), seeds: [1, 2] },
    { name: 'one ticket is 700 kg wrong', day: day({ wheat: { ticketErrors: { 1: -700 } } }), seeds: [1, 2] },
    { name: 'one load was not booked', day: day({ starter: { unbooked: [1] } }), seeds: [1, 2] },
    { name: 'wheel constant 6 % low: speed, not the scale', day: day({ wheel: 1.064 }), seeds: [1, 2] },
    { name: 'new seed lot at the second load', day: day({ wheat: { flow: (k) => (k < second(1) ? 1 : 0.923) } }), seeds: [1, 2, 3] },
    { name: 'kg per turn 25 % less than entered, all day', day: day({ wheat: { entered: 0.62 / 0.75 } }), seeds: [1, 2] },
    { name: 'starter bridges for 12 minutes', day: day({ starter: { flow: (k) => (k > second(0) + 3000 && k < second(0) + 3720 ? 0 : 1) } }), seeds: [1, 2, 3] },
    { name: 'wheat runs empty at the end', day: day({ wheat: { loads: [3600, 1200] } }), seeds: [1, 2] },
    { name: 'zero set on the empty tank that read −15 kg', day: day({ wheat: { shown: (kg, k) => (k < 60 ? kg - 15 : kg) } }), seeds: [1, 2] },
    { name: 'zero drifts 18 kg with the temperature', day: day({ wheat: { shown: (kg, k) => kg - 18 * Math.min(1, k / 3600) }, starter: { shown: (kg, k) => kg - 18 * Math.min(1, k / 3600) } }), seeds: [1, 2] },
    { name: 'neighbour filled by hand: the frame moves 40 kg', day: day({ wheat: { jolt: 40 }, starter: { jolt: 40 } }), seeds: [1, 2, 3] },
    { name: 'someone of 95 kg on the cart for three minutes', day: day({ starter: { shown: (kg, k) => (k > 20 && k < 200 ? kg + 95 : kg) } }), seeds: [1, 2] },
    {
      name: 'a bucket of 500 kg tipped in within seconds, and booked',
      day: day({ starter: { shown: (kg, k) => (k < (table.rounds[1]?.parked ?? 0) + 60 ? kg : kg + 500) } }, (setup) => ({ ...setup, job: { ...setup.job, loads: [...setup.job.loads, { tank: '2', time: (table.rounds[1]?.parked ?? 0) + 40, mass: 500 }] } })),
    },
    { name: 'log of the cart stops for eight minutes', day: withGap(second(0) + 2000, 480), seeds: [1, 2] },
    { name: 'log of the cart stops while the tank is loaded', day: withGap(STAND - 100, 700) },
    { name: 'four cells, all alive', day: withCells(), seeds: [1, 2] },
  ],
  loud: [
    {
      name: 'S02: zeroed with product in the tank', day: (seed) => worldDay(scenario('S02').build(seed)), seeds: [1, 2],
      code: 'scale.zero-moved', subject: 'tank.2', severity: 'action', verdict: 'proved', start: [22695, 22705], size: [-390, -330],
      more: ({ consequence, evidence }, { findings }) => [
        ...(findings.length === 1 ? [] : ['more than one finding']),
        ...(consequence?.text.includes('stay right') === true ? [] : ['does not say that the rate is right']),
        ...(evidence.some((proof) => proof.kind === 'trace' && proof.series.some(({ role }) => role === 'witness')) ? [] : ['no corrected curve']),
      ],
    },
    {
      name: 'zeroed with product before the second load', day: day({ wheat: { shown: zeroedAt((table.rounds[1]?.parked ?? 0) + 100) } }), seeds: [1, 2, 3],
      code: 'scale.zero-moved', subject: 'tank.1', verdict: 'proved', start: [(table.rounds[1]?.parked ?? 0) + 95, (table.rounds[1]?.parked ?? 0) + 105], size: [-780, -580],
    },
    {
      name: 'reads 220 kg more since the second stop', day: day({ starter: { shown: (kg, k) => (k < (table.rounds[1]?.parked ?? 0) + 60 ? kg : kg + 220) } }), seeds: [1, 2],
      code: 'scale.zero-moved', subject: 'tank.2', severity: 'watch', verdict: 'consistent', size: [205, 235],
    },
    {
      name: 'span 1.5 % high, tickets over 9 t', day: day({ wheat: { loads: [5000, 4000], perTurn: 0.9, shown: (kg) => 1.015 * kg } }), seeds: [1, 2, 3, 4, 5],
      code: 'scale.span-off', subject: 'tank.1', severity: 'action', verdict: 'proved', size: [1.01, 1.02],
      more: ({ measure, correction }, { measurements }) => [
        ...(Math.abs(Number(correction?.new) * (measure?.value ?? 0) - 1) < 6e-4 ? [] : ['the new span factor does not undo the error']),
        ...(measurements.find(({ name, subject }) => name === 'scale.span' && subject === 'tank.1')?.value === measure?.value ? [] : ['measure and measurement differ']),
      ],
    },
    { name: 'one 5 t ticket proves 1.5 %', day: day({ wheat: { loads: [5000, 0], shown: (kg) => 1.015 * kg, perTurn: 0.4 } }), seeds: [1, 2, 3, 4, 5], code: 'scale.span-off', subject: 'tank.1', size: [1.008, 1.022] },
    { name: 'span 3 % low on the starter', day: day({ starter: { shown: (kg) => 0.97 * kg } }), seeds: [1, 2], code: 'scale.span-off', subject: 'tank.2', size: [0.96, 0.98] },
    {
      name: 'a cell goes dead while seeding', day: day({ wheat: { shown: from(second(0) + 2400, (kg) => 0.75 * (kg + 1600) - 1600) } }), seeds: [1, 2, 3],
      code: 'scale.cell-lost', subject: 'tank.1', severity: 'action', verdict: 'proved', start: [second(0) + 2395, second(0) + 2405], size: [0.73, 0.77],
    },
    {
      name: 'a cell was dead before the log began', day: day({ wheat: { shown: (kg) => 0.75 * (kg + 1600) - 1600 } }), seeds: [1, 2],
      code: 'scale.cell-lost', subject: 'tank.1', verdict: 'consistent', size: [0.735, 0.765],
    },
    {
      name: 'cell 3 of 4 freezes while seeding', day: withCells(second(0) + 2400), seeds: [1, 2],
      code: 'scale.cell-lost', subject: 'tank.1', verdict: 'proved', start: [second(0) + 2380, second(0) + 2420], size: [0.7, 0.8],
      more: ({ channels }) => (channels.includes('tank.1.cell.3') ? [] : ['does not name the cell']),
    },
    {
      name: 'reads below zero at the end, and nobody saw it set', day: day({ starter: { shown: (kg) => kg - 900 } }), seeds: [1, 2],
      code: 'scale.zero-moved', subject: 'tank.2', severity: 'watch', verdict: 'consistent',
    },
  ],
});

describe('what the scale check says when it cannot', () => {
  it('names the lack of tickets', () => {
    const { outcome, measurements } = runDetector(scale, day({}, withoutTickets)(1));
    expect(outcome.why).toMatch(/No weigh tickets/);
    expect(measurements).toEqual([]);
  });
  it('names the load nobody booked, and the ticket without a load', () => {
    expect(runDetector(scale, day({ starter: { unbooked: [1] } })(1)).outcome.why).toMatch(/Tank 2: no ticket for the fill at ‹clock\|\d+/);
    const stray = day({}, (setup) => ({ ...setup, job: { ...setup.job, loads: [...setup.job.loads, { tank: '2', time: 40_000, mass: 800 }] } }));
    expect(runDetector(scale, stray(1)).outcome.why).toMatch(/Tank 2: no fill in the log for the ticket over ‹mass\|800\|›/);
  });
  it('tells a log without scales apart from a clean one', () => {
    const made = day()(1);
    expect(runDetector(scale, { ...made, channels: made.channels.filter(({ id }) => !id.includes('.mass')) }).outcome.status).toBe('not-logged');
  });
});
