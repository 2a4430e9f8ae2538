import { nearest } from './nearest.ts';
import { SI_UNIT, UNITS, toSi, type Dimension } from './units.ts';

/** One thing wrong in a JSON file: where, what, and what to do. */
export interface Problem {
  /** e.g. `machine.towers[2].runs` */
  readonly path: string;
  readonly message: string;
  readonly whatToDo: string;
}

/**
 * A place in a parsed JSON document. Reads what is expected there and collects every problem instead of stopping at
 * the first, so that a form can show them all.
 */
export interface JsonPlace {
  readonly path: string;
  readonly value: unknown;
  readonly problem: (message: string, whatToDo: string) => undefined;
  /** Member, undefined when absent. */
  readonly at: (key: string) => JsonPlace | undefined;
  /** Checks that the value is an object with no other keys than these; returns undefined (after a problem) when it is not an object. */
  readonly object: (keys: readonly string[]) => JsonPlace | undefined;
  readonly items: () => readonly JsonPlace[];
  readonly text: () => string | undefined;
  readonly flag: () => boolean | undefined;
  readonly number: () => number | undefined;
  /** `"18 m"` or a bare SI number → SI. */
  readonly quantity: (dimension: Dimension, limits?: Limits) => number | undefined;
}

/** SI bounds outside which a value cannot be meant, e.g. a drill 400 m wide. */
export interface Limits {
  readonly least?: number;
  readonly most?: number;
}

export function readJson(value: unknown, path: string, problems: Problem[]): JsonPlace {
  const here = path === '' ? 'the file' : path;
  const problem = (message: string, whatToDo: string): undefined => {
    problems.push({ path, message: `${here} ${message}`, whatToDo });
  };
  const child = (key: string | number, member: unknown): JsonPlace =>
    readJson(member, typeof key === 'number' ? `${path}[${key}]` : path === '' ? key : `${path}.${key}`, problems);

  const place: JsonPlace = {
    path,
    value,
    problem,
    at: (key) => {
      const member = isRecord(value) && Object.hasOwn(value, key) ? value[key] : undefined;
      return member === undefined ? undefined : child(key, member);
    },
    object: (keys) => {
      if (!isRecord(value)) return problem(`must be an object { … }, not ${kindOf(value)}`, `It may hold ${keys.join(', ')}.`);
      for (const key of Object.keys(value)) {
        if (keys.includes(key)) continue;
        const meant = nearest(key, keys);
        problem(`has the unknown key "${key}"`, meant === undefined ? `Known here: ${keys.join(', ')}.` : `Did you mean "${meant}"?`);
      }
      return place;
    },
    items: () => {
      if (Array.isArray(value)) return value.map((item: unknown, index) => child(index, item));
      problem(`must be a list [ … ], not ${kindOf(value)}`, 'Put the entries between square brackets.');
      return [];
    },
    text: () => {
      if (typeof value === 'string') return value;
      if (typeof value === 'number' && Number.isFinite(value)) return String(value);
      return problem(`must be a text in quotes, not ${kindOf(value)}`, 'Put it in double quotes.');
    },
    flag: () => (typeof value === 'boolean' ? value : problem(`must be true or false, not ${kindOf(value)}`, 'Write true or false without quotes.')),
    number: () => (typeof value === 'number' && Number.isFinite(value) ? value : problem(`must be a number, not ${kindOf(value)}`, 'Write it without quotes and unit.')),
    quantity: (dimension, limits) => {
      const read = typeof value === 'number' && Number.isFinite(value) ? value : typeof value === 'string' ? parseQuantity(value, dimension) : undefined;
      if (typeof read !== 'number') {
        return problem(
          typeof read === 'string' ? read : `must be a quantity with its unit, not ${kindOf(value)}`,
          `Write for example "${example(dimension)}"; a bare number is taken as ${SI_UNIT[dimension]}.`,
        );
      }
      const { least = -Infinity, most = Infinity } = limits ?? {};
      if (read >= least && read <= most) return read;
      return problem(`is ${JSON.stringify(value)}, outside ${least} to ${most} ${SI_UNIT[dimension]}`, 'Check the number and its unit.');
    },
  };
  return place;
}

/** `"60 ft"` → SI value, or the end of a sentence that says what is wrong with it. */
export function parseQuantity(text: string, dimension: Dimension): number | string {
  const match = /^\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?)\s*(.*?)\s*$/i.exec(text);
  if (match === null || /^,\d/.test(match[2] ?? '')) return `is "${text}", which is not a number with a unit (decimal point, no thousands separator)`;
  const number = Number(match[1]);
  const unitName = match[2] ?? '';
  if (unitName === '') return number;
  const definition = UNITS.get(unitName);
  const fitting = [...UNITS].filter(([name, candidate]) => candidate.dimension === dimension && name !== '').map(([name]) => name);
  if (definition === undefined) return `is "${text}": the unit "${unitName}" is not known here; known are ${fitting.join(', ')}`;
  if (definition.dimension !== dimension) return `is "${text}": "${unitName}" is not a unit of ${SPOKEN[dimension]}; those are ${fitting.join(', ')}`;
  return toSi(number, unitName) ?? number;
}

const SPOKEN: Readonly<Record<Dimension, string>> = {
  speed: 'speed', length: 'length', time: 'time', mass: 'mass', massPerArea: 'rate', massFlow: 'mass flow', pressure: 'pressure', temperature: 'temperature',
  angle: 'angle', rotation: 'rotation', turns: 'turns', count: 'count', frequency: 'frequency', countPerArea: 'count per area', ratio: 'ratio', area: 'area',
  volume: 'volume', force: 'force',
};

function example(dimension: Dimension): string {
  const examples: Partial<Record<Dimension, string>> = {
    length: '18.3 m', mass: '6000 kg', massPerArea: '120 kg/ha', time: '2.5 s', rotation: '3200 rpm', speed: '8 km/h', pressure: '4 kPa', ratio: '5 %',
  };
  return examples[dimension] ?? `1 ${SI_UNIT[dimension]}`;
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function kindOf(value: unknown): string {
  if (value === null) return 'null';
  if (Array.isArray(value)) return 'a list';
  if (typeof value === 'object') return 'an object';
  return typeof value === 'string' ? `the text "${value.slice(0, 40)}"` : String(value);
}
