import { describe, expect, it } from 'vitest';
import type { Channel } from '../../../shared/channel.ts';
import { cautions } from '../../../src/detectors/cautions.ts';
import { countStops } from '../../../src/detectors/tank-flow/count-stops.ts';
import { tankFlow } from '../../../src/detectors/tank-flow/tank-flow.ts';
import { runDetector, testDetector, worldDay, type TestDay } from '../../support/detector-tester.ts';
import { createRandom } from '../../support/world/random.ts';
import { scenario } from '../../support/world/scenario.ts';
import { promised, timetableOf, weighedDay, type WeighedPlan, type WeighedTank } from '../scale/weighed-day.ts';

const wheat: WeighedTank = { loads: [3600, 3000], perTurn: 0.62, turnRate: 0.85 };
const urea: WeighedTank = { loads: [3400, 2500], perTurn: 0.7, turnRate: 0.72, capacity: 5000 };
const rounds = [{ seed: 6000 }, { seed: 5200 }];
const table = timetableOf({ rounds, tanks: { 1: wheat, 3: urea } });
const seeding = (round: number): number => table.rounds[round]?.seeding ?? 0;
const hangs = (from: number, seconds: number) => (k: number): number => (k < from || k >= from + seconds ? 1 : Math.max(0, 1 - (k - from) / 25));

const plan = (changes: { readonly wheat?: Partial<WeighedTank>; readonly urea?: Partial<WeighedTank> } = {}): WeighedPlan => ({ rounds, tanks: { 1: { ...wheat, ...changes.wheat }, 3: { ...urea, ...changes.urea } } });
const day = (changes: Parameters<typeof plan>[0] = {}) => (seed: number): TestDay => weighedDay(plan(changes), seed);
const world = (id: string) => (seed: number): TestDay => worldDay(scenario(id).build(seed));
/** The day with channels under other names; `undefined` leaves one out. */
const renamed = (made: TestDay, name: (id: string) => string | undefined): TestDay => ({
  ...made, channels: made.channels.flatMap((channel): readonly Channel[] => { const id = name(channel.id); return id === undefined ? [] : [{ ...channel, id }]; }),
});
const swapped = (seed: number): TestDay => renamed(day()(seed), (id) => id.replace(/^meter\.(\d)\.turns$/, (_, n: string) => `meter.${n === '1' ? 3 : 1}.turns`));

/** Twelve runs that count the wheat, with their noise; `seen` = share of it the sensors report at a second. */
const counted = (flow: (k: number) => number, seen: (k: number) => number = () => 1) => (seed: number): TestDay => {
  const made = weighedDay(plan({ wheat: { flow, product: { counted: true } } }), seed);
  const turns = made.channels.find(({ id }) => id === 'meter.1.turns')?.value ?? new Float64Array();
  const random = createRandom(seed, 'counts');
  const runs = Array.from({ length: 12 }, (_, run): Channel => {
    const time = made.channels[0]?.time ?? new Float64Array();
    const value = Float64Array.from(time, (_t, k) => {
      const feed = Math.max(0, (turns[Math.max(0, k - 1)] as number) - (turns[Math.max(0, k - 2)] as number));
      return random.counts(170 * feed * flow(k) * seen(k), 1.5);
    });
    return { id: `run.${run + 1}.count`, unit: '1/s', source: { file: 'cart.csv' }, time, value };
  });
  return { ...made, channels: [...made.channels, ...runs] };
};

testDetector(tankFlow, {
  quiet: [
    { name: 'plain day', day: day(), seeds: [1, 2, 3, 4, 5, 6], status: 'clean' },
    { name: 'C1: hills', day: world('C1'), status: 'clean' },
    { name: 'C4: canola too light for the scale', day: world('C4'), status: 'clean' },
    { name: 'S02: zeroed with product in the tank is neither a leak nor an empty tank', day: world('S02') },
    { name: 'S12: two tanks hand over', day: world('S12') },
    { name: 'C2: fans running at the loads', day: world('C2') },
    { name: 'neighbour filled by hand: the frame moves 40 kg', day: day({ wheat: { jolt: 40 }, urea: { jolt: 40 } }), seeds: [1, 2] },
    { name: 'half of the flow is lost for ten minutes: low, not hung', day: day({ urea: { flow: (k) => (k > 4000 && k < 4600 ? 0.65 : 1) } }), seeds: [1, 2] },
    { name: 'a load cell goes dead', day: day({ urea: { shown: (kg, k) => (k < 4000 ? kg : 0.75 * (kg + 1500) - 1500) } }), seeds: [1, 2] },
    { name: 'a new lot at the second load', day: day({ wheat: { flow: (k) => (k < 8000 ? 1 : 0.9) } }), seeds: [1, 2] },
    { name: 'kg per turn entered 12 % wrong on both tanks', day: day({ wheat: { entered: 0.7 }, urea: { entered: 0.62 } }), seeds: [1, 2] },
    { name: 'counts as they should be', day: counted(() => 1), seeds: [1, 2], status: 'clean' },
    { name: 'all sensors lose their supply for forty seconds, too short for the scale to contradict', day: counted(() => 1, (k) => (k > 4000 && k < 4040 ? 0 : 1)), seeds: [1, 2] },
    { name: 'all sensors lose their supply for eight minutes', day: counted(() => 1, (k) => (k > 4000 && k < 4480 ? 0 : 1)), seeds: [1, 2] },
    { name: 'sensors see half', day: counted(() => 1, (k) => (k > 4000 ? 0.5 : 1)) },
    { name: 'runs empty just as the driver stops', day: day({ wheat: { loads: [3600, 2568] } }), seeds: [1, 2] },
  ],
  loud: [
    {
      name: 'S06: urea bridges', day: world('S06'),
      code: 'tank.bridged', subject: 'tank.3', severity: 'action', verdict: 'proved', start: [17_410 - 60, 17_410 + 60], end: [18_250 - 60, 18_250 + 60], size: [354, 474],
      more: ({ cautions: printed, consequence, places, excludes }) => [
        ...(printed.includes(cautions.K5) ? [] : ['does not warn of entering the tank']),
        ...(Math.abs((consequence?.areaHa ?? 0) - 3.17) < 0.32 ? [] : [`${consequence?.areaHa} ha instead of 3.17`]),
        ...(places?.some(({ kind }) => kind === 'area') === true ? [] : ['does not show where']),
        ...(excludes.some((text) => text.startsWith('Not an empty tank')) ? [] : ['does not exclude an empty tank']),
      ],
    },
    {
      name: 'urea hangs for twelve minutes', day: day({ urea: { flow: hangs(seeding(0) + 3000, 720) } }), seeds: [1, 2, 3],
      code: 'tank.bridged', subject: 'tank.3', start: [seeding(0) + 2940, seeding(0) + 3075], end: [seeding(0) + 3640, seeding(0) + 3800], size: [280, 380],
    },
    {
      name: 'wheat hangs for two minutes, seen by the runs', day: counted(hangs(seeding(0) + 3010, 120)), seeds: [1, 2],
      code: 'tank.bridged', subject: 'tank.1', start: [seeding(0) + 3005, seeding(0) + 3045], end: [seeding(0) + 3110, seeding(0) + 3150],
    },
    {
      name: 'urea is out and the meter turns on', day: day({ urea: { loads: [3400, 1300] } }), seeds: [1, 2, 3],
      code: 'tank.ran-out', subject: 'tank.3', severity: 'action',
    },
    { name: 'wheat is out for six minutes, seen by the runs', day: world('D-ran-out'), seeds: [1, 2], code: 'tank.ran-out', subject: 'tank.1', start: [9810, 9870], end: [10_060, 10_100] },
    { name: 'lid not shut', day: world('D-lid'), code: 'tank.pressure-low', subject: 'tank.1', severity: 'watch', size: [0.4, 0.5] },
    { name: 'gauge reads 600 Pa without air', day: world('D-pressure-zero'), code: 'tank.pressure-zero-off', subject: 'tank.1', size: [560, 640] },
    { name: 'seed trickles with the meter stopped', day: world('D-runs-on'), code: 'tank.runs-on', subject: 'tank.1', severity: 'watch', start: [3600, 3900] },
    {
      name: 'meters exchanged in the log', day: swapped, seeds: [1, 2],
      code: 'tank.meter-crossed', subject: 'tank.1', size: [0.9, 1], more: ({ channels }) => (channels.includes('meter.3.turns') ? [] : ['does not name the other meter']),
    },
    {
      name: 'the urea’s weight goes with the turns of meter 1', day: (seed) => renamed(day({ wheat: { flow: () => 0 } })(seed), (id) => (id === 'meter.3.turns' ? 'meter.1.turns' : id === 'meter.1.turns' ? undefined : id)), seeds: [1, 2],
      code: 'tank.meter-crossed', subject: 'tank.3',
    },
  ],
});

describe('counts that fall silent', () => {
  const seconds = 900;
  const feed = new Float64Array(seconds).fill(1);
  const track = { tank: { id: '1' }, meter: '1', mass: new Float64Array(seconds), feed, channels: [] };
  const runs = (share: (k: number) => number): readonly Float64Array[] => [1, 2, 3, 4].map(() => Float64Array.from({ length: seconds }, (_, k) => 100 * share(k)));
  const alone = new Uint8Array(seconds).fill(1);

  it('thinning out over 10 s is a stop of the flow', () => {
    const [stop] = countStops({ runs: runs((k) => (k < 400 ? 1 : k < 410 ? (410 - k) / 10 : k < 500 ? 0 : 1)), alone }, track, 0.25, 12);
    expect(stop?.start).toBeGreaterThan(400);
    expect(stop?.start).toBeLessThan(415);
    expect(stop?.end).toBeGreaterThan(495);
    expect(stop?.end).toBeLessThan(505);
    expect(stop?.isCutOff).toBe(false);
  });
  it('cut off within a second is marked: it may be the sensors', () => {
    expect(countStops({ runs: runs((k) => (k >= 400 && k < 500 ? 0 : 1)), alone }, track, 0.25, 12).map(({ isCutOff }) => isCutOff)).toEqual([true]);
  });
});

describe('pressure at equal fan speed (fan laws, checks.md A-01: 3,600 ÷ 3,000 rpm makes p × 1.44)', () => {
  const made = day()(1);
  const time = made.channels[0]?.time ?? new Float64Array();
  const channel = (id: string, unit: 'Pa' | 'rpm', value: (k: number) => number): Channel => ({ id, unit, source: { file: 'cart.csv' }, time, value: Float64Array.from(time, (_, k) => value(k)) });
  const rpm = (k: number): number => (k < 5000 ? 3600 : 3000);
  const run = (pressure: (k: number) => number) => runDetector(tankFlow, { ...made, channels: [...made.channels, channel('fan.1.speed', 'rpm', rpm), channel('tank.1.pressure', 'Pa', pressure)] }).findings.map(({ code }) => code);

  it('falling with the fan is no leak', () => expect(run((k) => (k < 5000 ? 4100 : 4100 / 1.44))).toEqual([]));
  it('falling to 65 % of that is one', () => expect(run((k) => (k < 5000 ? 4100 : (0.65 * 4100) / 1.44))).toEqual(['tank.pressure-low']));
});

describe('what a mass promised by turns is worth', () => {
  it('rate × area = flow ÷ (width × speed): checks.md U-15, general identity', () => {
    /* kg/ha = 600 × (kg/min) ÷ (km/h × m) */
    const kgPerMinute = wheat.perTurn * wheat.turnRate * 60;
    expect(promised(wheat) * 1e4).toBeCloseTo((600 * kgPerMinute) / (2.2 * 3.6 * 18), 9);
  });
});
