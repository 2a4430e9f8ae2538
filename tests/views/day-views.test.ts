import { describe, expect, test } from 'vitest';
import { columnOf, decodePack } from '../../shared/column-pack.ts';
import { BLANK_RATIO, type FieldMapMeta, type RunPictureMeta } from '../../shared/day-views.ts';
import type { Channel } from '../../shared/channel.ts';
import type { Day } from '../../shared/day.ts';
import type { Unit } from '../../shared/units.ts';
import { parseSetup } from '../../shared/setup-file.ts';
import { createDayViews } from '../../src/views/day-views.ts';

/* One pass of 600 s north at 2 m/s with a drill of 10 m: 1.2 ha, made by hand, so that every figure is known. */

const LENGTH = 700;
const WORK = { start: 50, end: 650 };
const SPEED = 2;
const WIDTH = 10;
const works = (t: number): boolean => t >= WORK.start && t < WORK.end;
/** deg per m of latitude at the equator on WGS 84: 110,574 m per degree. */
const DEGREE = 1 / 110_574;

function channel(id: string, unit: Unit, value: (t: number) => number, every = 1): Channel {
  const time = Float64Array.from({ length: LENGTH / every }, (_, k) => k * every);
  return { id, unit, source: { file: 'a.log' }, time, value: Float64Array.from(time, value) };
}

const channels: readonly Channel[] = [
  channel('gnss.lat', 'deg', (t) => t * SPEED * DEGREE), channel('gnss.lon', 'deg', () => 0), channel('gnss.speed', 'm/s', () => SPEED),
  channel('implement.working', '1', (t) => Number(works(t))), channel('section.1.on', '1', (t) => Number(works(t))),
  /* 0.012 kg/m² × 20 m²/s ÷ 0.6 kg per turn = 0.4 turns/s; a tenth less in the second half of the pass */
  channel('meter.1.speed', 'rpm', (t) => (works(t) ? 60 * 0.4 * (t < 350 ? 1 : 0.9) : 0)),
  ...[1, 2, 3, 4, 5].map((run) => channel(`run.${run}.count`, '1/s', (t) => (!works(t) ? 0 : run === 2 && t >= 500 ? 0 : 100 * (run === 4 ? 1.05 : 1)))),
];
const day: Day = { start: 0, duration: LENGTH, logs: [], channels, messages: [], gaps: [{ file: 'a.log', span: { start: 200, end: 260 } }] };
const setupWith = (setAside: readonly string[] = []) => parseSetup({
  machine: { workingWidth: `${WIDTH} m`, towers: [{ id: 'A', runs: '1-5', section: '1' }], tanks: [{ id: '1', meter: '1' }], meters: [{ id: '1', massPerTurn: '0.6 kg' }], setAside },
  job: { products: [{ tank: '1', name: 'wheat', targetRate: '120 kg/ha' }] },
}).setup;
const viewsWith = (setAside: readonly string[] = []) => createDayViews({ day, findings: [], measurements: [] }, setupWith(setAside));

describe('the run picture', () => {
  const ratiosOf = (run: number, setAside: readonly string[] = []): readonly number[] => {
    const pack = decodePack<RunPictureMeta>(viewsWith(setAside).runs(0, LENGTH, 70));
    const row = pack.meta.runs.findIndex((each) => each.run === run);
    return Array.from(columnOf(pack, 'ratio', Uint16Array).subarray(row * pack.meta.columns, (row + 1) * pack.meta.columns), (ratio) => (ratio === BLANK_RATIO ? Number.NaN : ratio / 1000));
  };

  test('a run is 1 while it flows as usual, 0 when it is blocked, blank when its section is off', () => {
    const ratios = ratiosOf(2);
    expect(ratios[3]).toBeNaN();
    expect(ratios[67]).toBeNaN();
    expect(ratios.slice(6, 49).every((ratio) => Math.abs(ratio - 1) < 1e-6)).toBe(true);
    expect(ratios.slice(51, 64).every((ratio) => ratio === 0)).toBe(true);
  });

  test('a run that always gets more is not shown as too much, and mates do not look better for a blocked one', () => {
    for (const run of [1, 4]) expect(Math.max(...ratiosOf(run).filter((ratio) => !Number.isNaN(ratio)).map((ratio) => Math.abs(ratio - 1)))).toBeLessThan(1e-6);
  });

  test('a run set aside is still drawn, and says so', () => {
    const pack = decodePack<RunPictureMeta>(viewsWith(['run.2']).runs(0, LENGTH, 70));
    expect(pack.meta.runs.filter(({ aside }) => aside).map(({ run }) => run)).toEqual([2]);
    expect(ratiosOf(2, ['run.2'])[55]).toBe(0);
  });

  test('never more columns than seconds', () => {
    expect(decodePack<RunPictureMeta>(viewsWith().runs(100, 110, 900)).meta).toMatchObject({ from: 100, to: 110, columns: 10 });
  });
});

describe('the rates', () => {
  const [rate] = viewsWith().rates();

  test('one pass, its ground and its mean rate', () => {
    expect(rate?.passes).toHaveLength(1);
    const [pass] = rate?.passes ?? [];
    expect(pass?.area).toBeCloseTo(600 * SPEED * WIDTH, -2);
    /* half at 120 and half at 108 kg/ha */
    expect((pass?.rate ?? 0) * 1e4).toBeCloseTo(114, 0);
  });

  test('half the ground within 5 %, half 5–10 % under or just at 10 %', () => {
    const areas = Object.fromEntries((rate?.classes ?? []).map(({ name, area }) => [name, area]));
    expect(areas['within5']).toBeGreaterThan(0.47 * 12_000);
    expect(areas['within5']).toBeLessThan(0.53 * 12_000);
    expect((areas['under5'] ?? 0) + (areas['under10'] ?? 0)).toBeGreaterThan(0.47 * 12_000);
    expect([areas['over5'], areas['over10']]).toEqual([0, 0]);
  });

  test('without a mass per turn nothing is made up', () => {
    const { setup } = parseSetup({ machine: { workingWidth: '10 m', tanks: [{ id: '1', meter: '1' }] }, job: { products: [{ tank: '1', targetRate: '120 kg/ha' }] } });
    const [bare] = createDayViews({ day, findings: [], measurements: [] }, setup).rates();
    expect(bare).toMatchObject({ why: expect.stringContaining('mass per turn'), classes: [], passes: [] });
  });
});

describe('the field map', () => {
  test('covers what was driven, with a value for every piece', () => {
    const views = viewsWith();
    const map = views.map();
    if (map === undefined) throw new Error('there are positions');
    const pack = decodePack<FieldMapMeta>(map);
    expect(pack.meta.areas?.covered).toBeCloseTo(1.2, 1);
    expect(pack.meta.areas?.overlap).toBeLessThan(0.01);
    const pieces = columnOf(pack, 'pieceTime', Float64Array);
    const colour = views.mapColour('gnss.speed');
    if (colour === undefined) throw new Error('the speed is known');
    expect([...columnOf(decodePack(colour), 'value', Float32Array)]).toEqual([...pieces].map(() => SPEED));
    expect(views.mapColour('no.such')).toBeUndefined();
  });

  test('without positions there is none', () => {
    const without = { ...day, channels: channels.filter(({ id }) => !id.startsWith('gnss.l')) };
    expect(createDayViews({ day: without, findings: [], measurements: [] }, setupWith()).map()).toBeUndefined();
  });
});

describe('values at an instant', () => {
  const sparse: Channel = { id: 'meter.1.target', unit: 'kg/m²', source: { file: 'a.log' }, time: Float64Array.of(10, 190, 500), value: Float64Array.of(1, 2, 3) };
  const steady = channel('fan.1.speed', 'rpm', (t) => (t === 30 ? Number.NaN : t));
  const broken: Channel = { ...steady, time: steady.time.filter((t) => t < 100 || t > 160), value: steady.value.filter((_, t) => t < 100 || t > 160) };
  const views = createDayViews({ day: { ...day, channels: [sparse, broken] }, findings: [], measurements: [] }, setupWith());
  test.each([
    ['before the first sample', 5, [null, 5]],
    ['between samples, the last one', 15.4, [1, 15]],
    ['not available, then', 30.2, [1, null]],
    ['shortly into a gap the last is still known', 102, [1, 99]],
    ['deep in a gap it is not', 130, [1, null]],
    ['sent on change: held until the log pauses', 195, [2, 195]],
    ['and unknown after the pause until it is sent again', 300, [null, 300]],
    ['then known', 501, [3, 501]],
  ] as const)('%s', (_, at, wanted) => {
    expect(views.valuesAt([0, 1], at)).toEqual(wanted);
  });
});
