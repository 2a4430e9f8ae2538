import { describe, expect, test } from 'vitest';
import { parseSetup } from '../../shared/setup-file.ts';
import { formatWheelConstant } from '../../shared/wheel-constant.ts';

/* the example of the outer contract, section 6 */
const example = {
  machine: {
    name: 'Drill D60', workingWidth: '18.288 m', rowSpacing: '0.3048 m',
    wheel: { constant: '20 pulses/m' },
    antennaToOpeners: { aft: '9.2 m', right: '0 m' },
    towers: ['A', 'B', 'C', 'D', 'E', 'F'].map((id, i) => ({ id, runs: `${i * 10 + 1}-${i * 10 + 10}`, section: String(i + 1) })),
    tanks: [{ id: '1', name: 'front', capacity: '6000 kg', meter: '1' }],
    meters: [{ id: '1', massPerTurn: '0.62 kg' }],
    fans: [{ id: '1', name: 'seed fan' }],
    delays: { on: '3.5 s', off: '1.0 s', tanks: { 1: { on: '3 s', off: '2 s' } } },
    intendedOverlap: { passes: '0.15 m', ends: '1 m' },
    setAside: ['run.12'],
  },
  job: {
    zone: 'UTC',
    products: [{ tank: '1', name: 'wheat', targetRate: '120 kg/ha', seedMass: '38 g/1000', counted: true, fan: '1', fanFloor: '3200 rpm' }],
    loads: [{ tank: '1', time: '2026-05-06T12:05:00Z', mass: '3200 kg', uncertainty: '10 kg' }],
  },
};

describe('a good setup', () => {
  const { setup, problems } = parseSetup(example);

  test('has no problem', () => expect(problems).toEqual([]));

  test('comes out in SI', () => {
    expect(setup.machine.workingWidth).toBe(18.288);
    expect(setup.machine.towers[5]?.runs).toEqual([51, 52, 53, 54, 55, 56, 57, 58, 59, 60]);
    expect(setup.machine.delays?.all).toEqual({ on: 3.5, off: 1 });
    expect(setup.machine.delays?.tanks.get('1')).toEqual({ on: 3, off: 2 });
    expect(setup.job.products[0]?.targetRate).toBeCloseTo(0.012, 15);
    expect(setup.job.products[0]?.seedMass).toBeCloseTo(38e-6, 18);
    expect(setup.job.loads[0]?.time).toBe(Date.UTC(2026, 4, 6, 12, 5) / 1000);
  });

  test('an empty setup is a setup', () => {
    expect(parseSetup({}).problems).toEqual([]);
    expect(parseSetup({}).setup.machine.towers).toEqual([]);
  });

  test('US units mean the same machine', () => {
    const american = parseSetup({ machine: { workingWidth: '60 ft', rowSpacing: '12 in', meters: [{ id: '1', massPerTurn: '1.3668660 lb/turn' }] }, job: { products: [{ tank: '1', targetRate: '98 lb/ac' }] } });
    expect(american.problems).toEqual([]);
    expect(american.setup.machine.workingWidth).toBeCloseTo(18.288, 12);
    expect(american.setup.machine.meters[0]?.massPerTurn).toBeCloseTo(0.62, 6);
    /* 98 × 1.120851156194456, checks U-06 */
    expect((american.setup.job.products[0]?.targetRate ?? NaN) * 1e4).toBeCloseTo(109.84341, 5);
  });
});

describe('a setup with a mistake says where, what and what to do', () => {
  const machine = (part: object): unknown => ({ machine: part });
  test.each([
    ['a mistyped key', machine({ workingWith: '18 m' }), 'machine has the unknown key "workingWith"', 'Did you mean "workingWidth"?'],
    ['a wrong unit', machine({ workingWidth: '18 kg' }), '"kg" is not a unit of length', '18.3 m'],
    ['an unknown unit', machine({ rowSpacing: '10 zoll' }), 'the unit "zoll" is not known', '18.3 m'],
    ['a decimal comma', machine({ rowSpacing: '0,3 m' }), 'not a number with a unit', '18.3 m'],
    ['metres for feet', machine({ workingWidth: '180 m' }), 'outside 0.5 to 60 m', 'Check the number'],
    ['a wheel constant without form', machine({ wheel: { constant: '20' } }), 'not a wheel constant', 'pulses/100 m'],
    ['a run on two towers', machine({ towers: [{ id: 'A', runs: '1-10' }, { id: 'B', runs: '10-20' }] }), 'run 10 to tower A and to tower B', 'one tower only'],
    ['runs that are none', machine({ towers: [{ id: 'A', runs: 'left' }] }), '"left", which is not a run number', '"1-10"'],
    ['rows that do not fit the width', machine({ workingWidth: '18.288 m', rowSpacing: '0.1905 m', towers: [{ id: 'A', runs: '1-60' }] }), '60 runs at 0.191 m make 11.43 m', 'Check working width'],
    ['an unknown tank', { machine: { tanks: [{ id: '1' }] }, job: { products: [{ tank: '2' }] } }, 'names tank "2"', 'machine.tanks'],
    ['an id twice', machine({ meters: [{ id: '1' }, { id: '1' }] }), 'lists "1" twice', 'own id'],
    ['a time that is none', { job: { loads: [{ tank: '1', time: 'noon', mass: '3 t' }] } }, '"noon", which is not a date', '2026-05-06T12:05:00Z'],
    ['a zone that is none', { job: { zone: 'Prairie' } }, 'not a time zone name', 'IANA'],
    ['half a delay', machine({ delays: { on: '3 s' } }), 'needs both "on" and "off"', '1.0 s'],
    ['a list for an object', [], 'must be an object', 'machine, job'],
    ['a flag in quotes', { job: { products: [{ tank: '1', counted: 'yes' }] } }, 'must be true or false', 'without quotes'],
  ])('%s', (_, value, message, whatToDo) => {
    const { problems } = parseSetup(value);
    expect(problems.length).toBeGreaterThan(0);
    expect(problems[0]?.message).toContain(message);
    expect(problems[0]?.whatToDo).toContain(whatToDo);
  });

  test('all problems are given, not only the first', () => {
    expect(parseSetup({ machine: { workingWidth: 'wide', rowSpacing: 'narrow' } }).problems).toHaveLength(2);
  });

  test('hostile keys are named, not obeyed', () => {
    const { problems } = parseSetup(JSON.parse('{"__proto__": {"polluted": 1}, "constructor": 1}'));
    expect(problems).toHaveLength(2);
    expect(({} as Record<string, unknown>)['polluted']).toBeUndefined();
  });
});

describe('the wheel constant', () => {
  const constantOf = (text: string) => parseSetup({ machine: { wheel: { constant: text } } }).setup.machine.wheel?.constant;

  test.each([['20 pulses/m', 20], ['0.05 m/pulse', 20], ['2000 pulses/100 m', 20], ['2438.4 pulses/400 ft', 20]])('%s', (text, perMetre) => {
    expect(constantOf(text)?.pulsesPerMetre).toBeCloseTo(perMetre, 12);
  });

  test('is given back in the form it was entered, fine enough for 0.05 %', () => {
    const entered = constantOf('0.0500 m/pulse');
    expect(entered && formatWheelConstant(18.8, entered)).toBe('0.05319 m/pulse');
    const perHundred = constantOf('1880 pulses/100 m');
    expect(perHundred && formatWheelConstant(20, perHundred)).toBe('2000 pulses/100 m');
  });
});
