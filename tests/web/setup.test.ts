import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { parseSetup } from '../../shared/setup-file.ts';
import { detectors } from '../../src/detectors/registry.ts';
import { at, draftFrom, pathText, problemWords, problemsOf, put, type Path } from '../../web/panels/setup/draft.ts';
import { echoOf, withUnit } from '../../web/panels/setup/echo.ts';
import { SECTIONS, usualUnit } from '../../web/panels/setup/fields.ts';
import { placeWords } from '../../web/panels/setup/place-words.ts';
import { CHECKS, enabledBy } from '../../web/panels/setup/what-it-enables.ts';

const FIELDS = SECTIONS.flatMap((section) => [...section.fields.map((field) => ({ field, path: field.key })), ...section.lists.flatMap((list) => list.fields.map((field) => ({ field, path: [...list.path, 0, ...field.key] as Path })))]);

describe('every check is in the table of what the setup switches on', () => {
  test.each(detectors.map(({ meta }) => [meta.id]))('%s', (id) => expect(CHECKS[id]?.title).toMatch(/\w{3}/));

  test('parts that are named exist, and only checks that ran are shown', () => {
    const sections = SECTIONS.map(({ id }) => id);
    for (const check of Object.values(CHECKS)) for (const part of [...check.needs, ...check.better]) expect(sections).toContain(part);
    expect(enabledBy('products', ['fan-floor']).needs).toEqual(['fan-floor']);
    expect(enabledBy('products', ['scale'])).toEqual({ needs: [], better: [] });
  });
});

describe('the form and the parser of setup.json agree', () => {
  test('every field is known to the parser, and its example is accepted in both unit systems', () => {
    for (const system of ['metric', 'us'] as const) {
      const base = { machine: { tanks: [{ id: '1' }], fans: [{ id: '1' }], delays: { on: '1 s', off: '1 s' } } };
      for (const { field, path } of FIELDS) {
        const value = field.kind === 'flag' ? true : field.kind === 'list' ? ['run.12'] : field.example[system];
        const draft = put(base, path, value);
        const complaints = parseSetup(draft).problems.filter(({ path: place }) => place === pathText(path) || place === pathText(path.slice(0, -1)));
        expect(complaints.filter(({ message }) => !message.includes('lacks')), `${pathText(path)} = ${JSON.stringify(value)}`).toEqual([]);
      }
    }
  });

  test('a bare number takes the unit of the example, and is then accepted', () => {
    for (const { field } of FIELDS.filter(({ field: each }) => each.kind === 'quantity')) {
      const number = /[\d.]+/.exec(field.example.us)?.[0] ?? '';
      expect(withUnit(number, usualUnit(field, 'us'))).toBe(field.example.us);
      expect(withUnit('60 ft', usualUnit(field, 'us'))).toBe('60 ft');
    }
  });

  test('the setup of the sample passes through unchanged', () => {
    const text = readFileSync(new URL('../../sample-logs/mud-in-opener/setup.json', import.meta.url), 'utf8');
    const draft = draftFrom(text);
    expect(draft).toEqual(JSON.parse(text));
    expect(problemsOf(draft)).toEqual([]);
    expect(put(draft, ['machine', 'name'], at(draft, ['machine', 'name']))).toEqual(draft);
  });

  test.each([['[1]'], ['3'], ['null'], ['{"a"']])('%s is no setup', (text) => expect(() => draftFrom(text)).toThrow(SyntaxError));
});

describe('editing keeps the rest', () => {
  test('what is put is found, and what was there otherwise stays', () => {
    const key = fc.constantFrom('machine', 'job', 'wheel', 'name');
    fc.assert(fc.property(fc.object({ maxDepth: 3 }), fc.array(key, { minLength: 1, maxLength: 4 }), fc.string({ minLength: 1 }), (draft, path, value) => {
      const before = JSON.stringify(draft);
      expect(at(put(draft, path, value), path)).toBe(value);
      expect(JSON.stringify(draft)).toBe(before);
    }));
  });

  test('what is emptied goes, with parents that become empty', () => {
    expect(put({ machine: { wheel: { constant: '20' }, name: 'x' } }, ['machine', 'wheel', 'constant'], undefined)).toEqual({ machine: { name: 'x' } });
    expect(put({ machine: { fans: [{ id: '1' }, { id: '2' }] } }, ['machine', 'fans', 0], undefined)).toEqual({ machine: { fans: [{ id: '2' }] } });
    expect(put({ machine: { fans: [{ id: '1' }] } }, ['machine', 'fans', 0], undefined)).toBeUndefined();
    expect(put({ machine: { fans: [{ id: '1' }] } }, ['machine', 'fans', 0, 'id'], undefined)).toEqual({ machine: { fans: [{}] } });
  });

  test('inherited members are none of its own', () => expect(at({}, ['constructor'])).toBeUndefined());
});

describe('words', () => {
  test('a problem reads without its path', () => {
    const [problem] = problemsOf({ machine: { workingWidth: '18 bananas' } });
    expect(problem?.path).toBe('machine.workingWidth');
    expect(problemWords(problem ?? { path: '', message: '', whatToDo: '' })).toMatch(/^This is "18 bananas": the unit "bananas" is not known here.*for example "18\.3 m"/);
  });

  test('the place of a problem reads as the form names it', () => {
    const draft = { machine: { towers: [{ id: 'A' }, { id: 'B' }] }, job: { products: [{ tank: '1', name: 'wheat' }], loads: [{}, {}] } };
    expect(placeWords('machine.workingWidth', draft)).toBe('Working width');
    expect(placeWords('machine.towers[1].runs', draft)).toBe('Runs, tower B');
    expect(placeWords('job.products[0].fanFloor', draft)).toBe('Fan floor, product wheat');
    expect(placeWords('job.loads[1]', draft)).toBe('ticket 2');
    expect(placeWords('job.loads', draft)).toBe('Tickets');
    expect(placeWords('', draft)).toBe('the file');
    expect(placeWords('machine.delays.sections.3', draft)).toBe('machine.delays.sections.3');
    for (const { path } of FIELDS) expect(placeWords(pathText(path), {})).not.toContain('.');
  });

  /* 60 ft = 18.288 m exactly (international foot, 1959); 107 lb/ac = 119.93 kg/ha. */
  test('an entry in other units is echoed in the reader\'s', () => {
    const reading = { units: 'metric', zone: 'UTC', dayStart: 0 } as const;
    expect(echoOf('60 ft', 'length', reading)).toBe('= 18.29 m');
    expect(echoOf('107 lb/ac', 'massPerArea', reading)).toBe('= 119.9 kg/ha');
    expect(echoOf('18.3 m', 'length', reading)).toBeUndefined();
    expect(echoOf('18.3 m', 'length', { ...reading, units: 'us' })).toBe('= 60.04 ft');
    expect(echoOf('18 bananas', 'length', reading)).toBeUndefined();
  });
});
