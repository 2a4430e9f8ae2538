import { describe, expect, it } from 'vitest';
import type { Setup } from '../../../shared/setup.ts';
import { rate } from '../../../src/detectors/rate/rate.ts';
import { runDetector, testDetector, worldDay, type TestDay } from '../../support/detector-tester.ts';
import { scenario } from '../../support/world/scenario.ts';
import { promised, timetableOf, weighedDay, type WeighedPlan, type WeighedTank } from '../scale/weighed-day.ts';

const wheat: WeighedTank = { loads: [3600, 3000], perTurn: 0.62, turnRate: 0.85 };
const starter: WeighedTank = { loads: [2400, 1500], perTurn: 0.5, turnRate: 0.53, capacity: 3200 };
const rounds = [{ seed: 6000 }, { seed: 5200 }];
const table = timetableOf({ rounds, tanks: { 1: wheat, 2: starter } });
const seeding = (round: number): number => table.rounds[round]?.seeding ?? 0;
const loading = (round: number, tank: string): number => table.rounds[round]?.fills[tank] ?? 0;

const withSheet = (tank: WeighedTank, sheet?: number): WeighedTank => ({ ...tank, product: { targetRate: sheet ?? tank.ordered ?? promised(tank), ...tank.product } });
/** Two tanks, two loads each, three hours of seeding; the job sheet says what was ordered, unless told otherwise. */
const plan = (changes: { readonly wheat?: Partial<WeighedTank>; readonly starter?: Partial<WeighedTank>; readonly wheel?: number; readonly sheet?: number }): WeighedPlan => ({
  rounds, tanks: { 1: withSheet({ ...wheat, ...changes.wheat }, changes.sheet), 2: withSheet({ ...starter, ...changes.starter }) }, ...(changes.wheel === undefined ? {} : { wheel: changes.wheel }),
});
const day = (changes: Parameters<typeof plan>[0] = {}, change: (setup: Setup) => Setup = (setup) => setup) => (seed: number): TestDay => {
  const made = weighedDay(plan(changes), seed);
  return { ...made, setup: change(made.setup) };
};
const withoutTickets = (setup: Setup): Setup => ({ ...setup, job: { ...setup.job, loads: [] } });
const world = (id: string) => (seed: number): TestDay => worldDay(scenario(id).build(seed));

testDetector(rate, {
  quiet: [
    { name: 'plain day', day: day(), seeds: [1, 2, 3, 4, 5, 6], status: 'clean' },
    { name: 'plain day without tickets', day: day({}, withoutTickets), seeds: [1, 2, 3] },
    { name: 'C1: hills, cross-talk of ±78 kg', day: world('C1'), status: 'clean' },
    { name: 'C4: 2.6 kg/ha of canola cannot be told, and says so', day: world('C4'), status: 'too-little-data' },
    { name: 'S02: zeroed with product in the tank leaves the rate alone', day: world('S02') },
    { name: 'S06: bridging is no rate', day: world('S06') },
    { name: 'kg per turn entered 1.5 % high', day: day({ wheat: { entered: 0.6293, ordered: 0.985 * promised(wheat) } }), seeds: [1, 2] },
    { name: 'scale 1.5 % high, proved by tickets', day: day({ wheat: { shown: (kg) => 1.015 * kg } }), seeds: [1, 2] },
    { name: 'scale 1.5 % high, no tickets', day: day({ wheat: { shown: (kg) => 1.015 * kg } }, withoutTickets), seeds: [1, 2] },
    { name: 'no tickets and 4 % between scale and meter: no more than a remark', day: day({ wheat: { shown: (kg) => 1.04 * kg } }, withoutTickets), seeds: [1, 2], mayInform: ['rate.off-target'] },
    { name: 'a load cell goes dead at noon', day: day({ wheat: { shown: (kg, k) => (k < seeding(0) + 2400 ? kg : 0.75 * (kg + 1600) - 1600) } }), seeds: [1, 2] },
    { name: 'zero set with product in the tank', day: day({ wheat: { shown: (kg, k) => (k < seeding(0) - 100 ? kg : kg - 350) } }), seeds: [1, 2] },
    { name: 'the second load is 1.5 % lighter', day: day({ wheat: { flow: (k) => (k < loading(1, '1') ? 1 : 0.985) } }), seeds: [1, 2] },
    { name: 'a section hangs for 25 minutes in the first load', day: day({ wheat: { flow: (k) => (k > seeding(0) + 1200 && k < seeding(0) + 2700 ? 5 / 6 : 1) } }), seeds: [1, 2] },
    { name: 'the wheel is 3 % off, and the meters follow GNSS', day: day({ wheel: 1.03 }), seeds: [1, 2] },
  ],
  loud: [
    {
      name: 'S04: a lighter seed lot', day: world('S04'),
      code: 'rate.mass-per-turn-step', subject: 'tank.1', severity: 'action', verdict: 'proved', size: [0.908, 0.938], start: [18_300 - 600, 18_300 + 600],
      more: ({ consequence, correction, excludes }) => [
        ...(Math.abs((consequence?.massKg ?? 0) + 399) < 60 ? [] : [`${consequence?.massKg} kg instead of −399`]),
        ...(Math.abs((consequence?.areaHa ?? 0) - 43.2) < 1 ? [] : [`${consequence?.areaHa} ha instead of 43.2`]),
        ...(Math.abs(Number.parseFloat(correction?.new ?? '') - 0.5723) < 0.005 ? [] : [`new kg per turn ${correction?.new}`]),
        ...(excludes.some((text) => text.startsWith('Not the scale')) ? [] : ['does not exclude the scale']),
      ],
    },
    {
      name: 'wheel constant low: 6.4 % more everywhere', day: day({ wheel: 1.064, wheat: { ordered: promised(wheat) / 1.064 }, starter: { ordered: promised(starter) / 1.064 } }), seeds: [1, 2, 3],
      code: 'rate.off-target', subject: 'tank.1', severity: 'action', verdict: 'proved', size: [1.054, 1.074],
      more: ({ channels, excludes }) => [
        ...(channels.includes('wheel.speed') ? [] : ['does not point at the wheel']),
        ...(excludes.some((text) => text.startsWith('Not kg per turn')) ? [] : ['does not exclude kg per turn']),
      ],
    },
    {
      name: 'kg per turn entered 8 % high', day: day({ wheat: { entered: 0.62 * 1.08, ordered: 1.08 * promised(wheat) } }), seeds: [1, 2, 3],
      code: 'rate.off-target', subject: 'tank.1', severity: 'action', verdict: 'proved', size: [0.915, 0.937],
      more: ({ correction }) => (correction?.old === '0.6696 kg' && Math.abs(Number.parseFloat(correction.new) - 0.62) < 0.006 ? [] : [`correction ${JSON.stringify(correction)}`]),
    },
    {
      name: 'scale and meter 8 % apart, no ticket as third witness', day: day({ wheat: { entered: 0.62 * 1.08, ordered: 1.08 * promised(wheat) } }, withoutTickets), seeds: [1, 2],
      code: 'rate.off-target', subject: 'tank.1', severity: 'watch', verdict: 'cannot-tell',
      more: ({ correction, cannotTell }) => [...(correction === undefined ? [] : ['corrects what it cannot tell']), ...(cannotTell?.includes('third witness') === true ? [] : ['does not ask for a third witness'])],
    },
    {
      name: 'the starter is another since its second load, uncounted', day: day({ starter: { flow: (k) => (k < loading(1, '2') ? 1 : 0.93) } }), seeds: [1, 2, 3],
      code: 'rate.mass-per-turn-step', subject: 'tank.2', severity: 'action', verdict: 'consistent', size: [0.92, 0.94], start: [loading(1, '2') - 60, loading(1, '2') + 60],
    },
    {
      name: 'kg per turn sags through the day', day: day({ wheat: { flow: (k) => 1 - (0.12 * k) / table.duration } }), seeds: [1, 2],
      code: 'rate.mass-per-turn-drift', subject: 'tank.1', size: [0.86, 0.91],
    },
    {
      name: 'V13: target 134.5 for 120 kg/ha', day: day({ wheat: { ordered: promised(wheat) }, sheet: promised(wheat) / 1.1208 }), seeds: [1, 2],
      code: 'rate.target-odd', subject: 'tank.1', severity: 'watch', size: [1.12, 1.122],
      more: ({ explanation }) => (explanation.includes('lb/ac') ? [] : ['does not recognise the unit slip']),
    },
  ],
});

describe('what the day allows to be measured', () => {
  const { measurements } = runDetector(rate, day()(3));
  const of = (name: string, subject: string) => measurements.find((entry) => entry.name === name && entry.subject === subject);

  it('kg per turn, kg to load per hectare, hectares to empty', () => {
    expect(of('meter.mass-per-turn', 'tank.1')?.value).toBeCloseTo(0.62, 2);
    const load = of('tank.load-for-area', 'tank.1');
    expect(load?.low).toBeLessThan(promised(wheat) * 1e4);
    expect(load?.high).toBeGreaterThan(promised(wheat) * 1e4);
    const last = weighedDay(plan({}), 3).channels.find(({ id }) => id === 'tank.1.mass')?.value.at(-1) ?? 0;
    expect((of('tank.hectares-to-empty', 'tank.1')?.value ?? 0) * promised(wheat) * 1e4).toBeCloseTo(last, -2);
  });
  it('hectares by GNSS and by the wheel, hours', () => {
    const seconds = table.rounds.reduce((sum, { seeding: start, end }) => sum + Array.from({ length: end - start }, (_, s) => (s % 400 < 375 ? 1 : 0)).reduce<number>((a, b) => a + b, 0), 0);
    expect(of('hours.working', 'field')?.value).toBeCloseTo(seconds / 3600, 2);
    /* General identity of rate, flow, width and speed: 11,200 s less turns × 2.2 m/s × 18 m (checks.md U-15). */
    expect(of('area.gnss', 'field')?.value).toBeCloseTo((seconds * 2.2 * 18) / 1e4, 1);
    expect(of('area.wheel', 'field')?.value).toBeCloseTo((seconds * 2.2 * 18) / 1e4, 1);
  });
  it('gives hectares and hours without any scale, and says what is missing', () => {
    const made = day()(1);
    const result = runDetector(rate, { ...made, channels: made.channels.filter(({ id }) => !id.startsWith('tank')) });
    expect(result.outcome).toMatchObject({ status: 'not-logged' });
    expect(result.measurements.map(({ name }) => name)).toEqual(['hours.working', 'area.gnss', 'area.wheel']);
  });
  it('says that hectares need a width', () => {
    const result = runDetector(rate, day({}, (setup) => { const { workingWidth: _, ...machine } = setup.machine; return { ...setup, machine }; })(1));
    expect(result.outcome.status).toBe('not-set-up');
    expect(result.outcome.why).toMatch(/working width/);
    expect(result.measurements.some(({ name }) => name === 'meter.mass-per-turn')).toBe(true);
  });
});
