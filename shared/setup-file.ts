import { isZone, parseClock } from './clock.ts';
import { readJson, type JsonPlace, type Problem } from './json-reader.ts';
import type { Delay, Delays, Job, Load, Machine, Meter, Product, Setup, Tank, Tower } from './setup.ts';
import { parseWheelConstant } from './wheel-constant.ts';

/**
 * setup.json (contract 6) → Setup. Every part is optional; every problem is collected with its place.
 * `zone` is used for ticket times without zone when the file names none.
 */
export function parseSetup(value: unknown, zone?: string): { readonly setup: Setup; readonly problems: readonly Problem[] } {
  const problems: Problem[] = [];
  const root = readJson(value, '', problems).object(['machine', 'job']);
  const machine = readMachine(root?.at('machine'));
  const job = readJob(root?.at('job'), zone);
  checkReferences(machine, job, root, problems);
  return { setup: { machine, job }, problems };
}

/** Drops undefined members, so that an absent part is absent and not `undefined`. */
function present<T extends object>(members: { [K in keyof T]: T[K] | undefined }): T {
  return Object.fromEntries(Object.entries(members).filter(([, member]) => member !== undefined)) as T;
}

function listOf<T>(place: JsonPlace | undefined, read: (item: JsonPlace) => T | undefined): T[] {
  if (place === undefined) return [];
  return place.items().map(read).filter((item) => item !== undefined);
}

function readMachine(place: JsonPlace | undefined): Machine {
  const keys = ['name', 'workingWidth', 'rowSpacing', 'wheel', 'antennaToOpeners', 'towers', 'tanks', 'meters', 'fans', 'delays', 'intendedOverlap', 'setAside'];
  const machine = place?.object(keys);
  const wheel = machine?.at('wheel')?.object(['constant'])?.at('constant');
  const constant = wheel === undefined ? undefined : parseWheelConstant(wheel);
  const antenna = machine?.at('antennaToOpeners')?.object(['aft', 'right']);
  const overlap = machine?.at('intendedOverlap')?.object(['passes', 'ends']);
  return present<Machine>({
    name: machine?.at('name')?.text(),
    workingWidth: machine?.at('workingWidth')?.quantity('length', { least: 0.5, most: 60 }),
    rowSpacing: machine?.at('rowSpacing')?.quantity('length', { least: 0.03, most: 2 }),
    wheel: constant === undefined ? undefined : { constant },
    antennaToOpeners: antenna === undefined ? undefined : {
      aft: antenna.at('aft')?.quantity('length', { least: -60, most: 60 }) ?? 0,
      right: antenna.at('right')?.quantity('length', { least: -30, most: 30 }) ?? 0,
    },
    towers: listOf(machine?.at('towers'), readTower),
    tanks: listOf(machine?.at('tanks'), readTank),
    meters: listOf(machine?.at('meters'), readMeter),
    fans: listOf(machine?.at('fans'), (item) => {
      const fan = item.object(['id', 'name']);
      const id = requiredText(fan, 'id');
      return id === undefined ? undefined : present<{ id: string; name?: string }>({ id, name: fan?.at('name')?.text() });
    }),
    delays: readDelays(machine?.at('delays')),
    intendedOverlap: overlap === undefined ? undefined : {
      passes: overlap.at('passes')?.quantity('length', { least: 0, most: 10 }) ?? 0,
      ends: overlap.at('ends')?.quantity('length', { least: 0, most: 20 }) ?? 0,
    },
    setAside: listOf(machine?.at('setAside'), (item) => item.text()),
  });
}

function requiredText(place: JsonPlace | undefined, key: string): string | undefined {
  if (place === undefined) return undefined;
  const member = place.at(key);
  return member === undefined ? place.problem(`lacks "${key}"`, `Add "${key}": "…".`) : member.text();
}

function readTower(item: JsonPlace): Tower | undefined {
  const tower = item.object(['id', 'runs', 'section']);
  const id = requiredText(tower, 'id');
  const runs = tower?.at('runs');
  if (tower === undefined || id === undefined) return undefined;
  if (runs === undefined) return tower.problem('lacks "runs"', 'Write for example "runs": "1-10".');
  const numbers = parseRuns(runs);
  return numbers === undefined ? undefined : present<Tower>({ id, runs: numbers, section: tower.at('section')?.text() });
}

/** `"1-10, 12"` or `[1, 2]` → run numbers, ascending. */
function parseRuns(place: JsonPlace): readonly number[] | undefined {
  const parts = Array.isArray(place.value) ? place.value.map(String) : String(place.value).split(',');
  const runs = new Set<number>();
  for (const part of parts) {
    const match = /^\s*(\d{1,3})\s*(?:[-–]\s*(\d{1,3})\s*)?$/.exec(part);
    const first = Number(match?.[1]);
    const last = Number(match?.[2] ?? match?.[1]);
    if (match === null || first < 1 || last < first) return place.problem(`has "${part.trim()}", which is not a run number or a range`, 'Write for example "1-10" or "1-4, 7".');
    for (let run = first; run <= last; run++) runs.add(run);
  }
  return [...runs].sort((a, b) => a - b);
}

function readTank(item: JsonPlace): Tank | undefined {
  const tank = item.object(['id', 'name', 'capacity', 'meter']);
  const id = requiredText(tank, 'id');
  if (tank === undefined || id === undefined) return undefined;
  return present<Tank>({
    id,
    name: tank.at('name')?.text(),
    capacity: tank.at('capacity')?.quantity('mass', { least: 1, most: 100_000 }),
    meter: tank.at('meter')?.text(),
  });
}

function readMeter(item: JsonPlace): Meter | undefined {
  const meter = item.object(['id', 'massPerTurn']);
  const id = requiredText(meter, 'id');
  const place = meter?.at('massPerTurn');
  if (meter === undefined || id === undefined) return undefined;
  const perTurn = place === undefined ? undefined : withoutSuffix(place, /\s*\/\s*(?:turn|rev)$/).quantity('mass', { least: 1e-6, most: 1000 });
  return present<Meter>({ id, massPerTurn: perTurn });
}

/** `"0.62 kg/turn"` may also be written `"0.62 kg"`: the key says it is per turn. */
function withoutSuffix(place: JsonPlace, suffix: RegExp): JsonPlace {
  if (typeof place.value !== 'string' || !suffix.test(place.value)) return place;
  const found: Problem[] = [];
  const shortened = readJson(place.value.replace(suffix, ''), place.path, found);
  return {
    ...shortened,
    quantity: (dimension, limits) => {
      const read = shortened.quantity(dimension, limits);
      for (const problem of found) place.problem(problem.message.replace(`${place.path} `, ''), problem.whatToDo);
      return read;
    },
  };
}

function readDelays(place: JsonPlace | undefined): Delays | undefined {
  const delays = place?.object(['on', 'off', 'tanks', 'sections']);
  if (delays === undefined) return undefined;
  return present<Delays>({
    all: delays.at('on') === undefined && delays.at('off') === undefined ? undefined : readDelay(delays),
    tanks: readDelayMap(delays.at('tanks')),
    sections: readDelayMap(delays.at('sections')),
  });
}

function readDelay(place: JsonPlace): Delay | undefined {
  const limits = { least: 0, most: 30 };
  const on = place.at('on')?.quantity('time', limits);
  const off = place.at('off')?.quantity('time', limits);
  if (on === undefined || off === undefined) {
    if (place.at('on') === undefined || place.at('off') === undefined) place.problem('needs both "on" and "off"', 'Write for example "on": "3.5 s", "off": "1.0 s".');
    return undefined;
  }
  return { on, off };
}

function readDelayMap(place: JsonPlace | undefined): ReadonlyMap<string, Delay> {
  const map = new Map<string, Delay>();
  if (place === undefined || typeof place.value !== 'object' || place.value === null) return map;
  for (const key of Object.keys(place.value)) {
    const entry = place.at(key)?.object(['on', 'off']);
    const delay = entry === undefined ? undefined : readDelay(entry);
    if (delay !== undefined) map.set(key, delay);
  }
  return map;
}

function readJob(place: JsonPlace | undefined, fallbackZone: string | undefined): Job {
  const job = place?.object(['zone', 'products', 'loads']);
  const zonePlace = job?.at('zone');
  const zone = zonePlace?.text();
  if (zone !== undefined && !isZone(zone)) zonePlace?.problem(`is "${zone}", which is not a time zone name`, 'Write an IANA name such as "UTC" or "America/Regina".');
  const knownZone = zone !== undefined && isZone(zone) ? zone : undefined;
  return present<Job>({
    zone: knownZone,
    products: listOf(job?.at('products'), readProduct),
    loads: listOf(job?.at('loads'), (item) => readLoad(item, knownZone ?? fallbackZone ?? 'UTC')),
  });
}

function readProduct(item: JsonPlace): Product | undefined {
  const product = item.object(['tank', 'name', 'targetRate', 'seedMass', 'counted', 'fan', 'fanFloor']);
  const tank = requiredText(product, 'tank');
  if (product === undefined || tank === undefined) return undefined;
  return present<Product>({
    tank,
    name: product.at('name')?.text(),
    /* 0.1 kg/ha to 5 t/ha */
    targetRate: product.at('targetRate')?.quantity('massPerArea', { least: 1e-5, most: 0.5 }),
    seedMass: readSeedMass(product.at('seedMass')),
    counted: product.at('counted')?.flag(),
    fan: product.at('fan')?.text(),
    fanFloor: product.at('fanFloor')?.quantity('rotation', { least: 100, most: 20_000 }),
  });
}

/** `"38 g/1000"` (thousand-kernel mass) → kg per seed; a bare number is kg per seed. */
function readSeedMass(place: JsonPlace | undefined): number | undefined {
  if (place === undefined) return undefined;
  const perThousand = typeof place.value === 'string' && /\/\s*1000$/.test(place.value);
  const mass = withoutSuffix(place, /\s*\/\s*1000$/).quantity('mass', { least: 0, most: perThousand ? 5 : 0.005 });
  if (mass === undefined || mass <= 0) return mass === undefined ? undefined : place.problem('is not above zero', 'Write for example "38 g/1000".');
  return perThousand ? mass / 1000 : mass;
}

function readLoad(item: JsonPlace, zone: string): Load | undefined {
  const load = item.object(['tank', 'time', 'mass', 'uncertainty']);
  const tank = requiredText(load, 'tank');
  const timeText = requiredText(load, 'time');
  if (load === undefined || tank === undefined || timeText === undefined) return undefined;
  const time = parseClock(timeText, zone);
  if (time === undefined) return load.at('time')?.problem(`is "${timeText}", which is not a date and time`, 'Write it as "2026-05-06T12:05:00Z" (without Z it is taken in the job\'s zone).');
  const mass = load.at('mass');
  if (mass === undefined) return load.problem('lacks "mass"', 'Add the ticket weight, for example "mass": "3200 kg".');
  const kilograms = mass.quantity('mass', { least: -100_000, most: 100_000 });
  if (kilograms === undefined) return undefined;
  return present<Load>({ tank, time, mass: kilograms, uncertainty: load.at('uncertainty')?.quantity('mass', { least: 0, most: 10_000 }) });
}

/** Parts that name each other must agree. */
function checkReferences(machine: Machine, job: Job, root: JsonPlace | undefined, problems: Problem[]): void {
  const report = (path: string, message: string, whatToDo: string): void => void problems.push({ path, message: `${path} ${message}`, whatToDo });
  unique(machine.towers, 'machine.towers', report);
  unique(machine.tanks, 'machine.tanks', report);
  unique(machine.meters, 'machine.meters', report);
  unique(machine.fans, 'machine.fans', report);
  const ownerOf = new Map<number, string>();
  for (const tower of machine.towers) {
    for (const run of tower.runs) {
      const owner = ownerOf.get(run);
      if (owner !== undefined && owner !== tower.id) report('machine.towers', `gives run ${run} to tower ${owner} and to tower ${tower.id}`, 'A run hangs on one tower only.');
      ownerOf.set(run, tower.id);
    }
  }
  const refer = (known: readonly { readonly id: string }[], id: string | undefined, path: string, what: string): void => {
    if (id === undefined || known.length === 0 || known.some((entry) => entry.id === id)) return;
    report(path, `names ${what} "${id}", which is not among ${known.map((entry) => `"${entry.id}"`).join(', ')}`, `Add it to machine.${what}s or correct the name.`);
  };
  for (const [index, product] of job.products.entries()) {
    refer(machine.tanks, product.tank, `job.products[${index}].tank`, 'tank');
    refer(machine.fans, product.fan, `job.products[${index}].fan`, 'fan');
  }
  for (const [index, load] of job.loads.entries()) refer(machine.tanks, load.tank, `job.loads[${index}].tank`, 'tank');
  checkRowCount(machine, root);
}

/** 20 % off is a slip of units or a forgotten tower, not a narrow outer row. */
function checkRowCount(machine: Machine, root: JsonPlace | undefined): void {
  const rows = machine.towers.reduce((sum, tower) => sum + tower.runs.length, 0);
  if (machine.workingWidth === undefined || machine.rowSpacing === undefined || rows === 0) return;
  const ratio = (rows * machine.rowSpacing) / machine.workingWidth;
  if (ratio > 0.8 && ratio < 1.25) return;
  root?.at('machine')?.at('workingWidth')?.problem(
    `is ${machine.workingWidth.toFixed(2)} m, but ${rows} runs at ${machine.rowSpacing.toFixed(3)} m make ${(rows * machine.rowSpacing).toFixed(2)} m`,
    'Check working width, row spacing, their units and the runs of the towers.',
  );
}

function unique(entries: readonly { readonly id: string }[], path: string, report: (path: string, message: string, whatToDo: string) => void): void {
  const seen = new Set<string>();
  for (const entry of entries) {
    if (seen.has(entry.id)) report(path, `lists "${entry.id}" twice`, 'Give each its own id.');
    seen.add(entry.id);
  }
}
