import type { Setup } from '../../shared/setup.ts';
import { formatNumber, quantity } from '../../shared/text.ts';

/** One thing that was entered: what, and the value in words (quantities as tokens of `shared/text.ts`). */
export interface Setting {
  readonly name: string;
  readonly value: string;
}

export interface SettingChange {
  readonly name: string;
  /** Undefined = not entered. */
  readonly before?: string;
  readonly after?: string;
}

/** Everything entered that the checks judge by, in reading order. Weigh tickets are the day's events and left out. */
export function settingsOf({ machine, job }: Setup): readonly Setting[] {
  const list: Setting[] = [];
  const add = (name: string, value: string | undefined): void => void (value === undefined || value === '' ? 0 : list.push({ name, value }));
  const given = <T>(value: T | undefined, words: (value: T) => string): string | undefined => (value === undefined ? undefined : words(value));
  const metres = (value: number): string => quantity.length(value, 3);
  const seconds = (value: number): string => quantity.duration(value, 1);
  add('wheel constant', machine.wheel?.constant.entered);
  add('working width', given(machine.workingWidth, metres));
  add('row spacing', given(machine.rowSpacing, (value) => quantity.length(value, 4)));
  add('openers behind the antenna', given(machine.antennaToOpeners?.aft, metres));
  add('openers to the right of the antenna', given(machine.antennaToOpeners?.right, metres));
  for (const meter of machine.meters) add(`kg per turn of meter ${meter.id}`, given(meter.massPerTurn, (value) => quantity.massPerTurn(value)));
  const delays = [['all', machine.delays?.all] as const, ...[...(machine.delays?.tanks ?? [])].map(([id, delay]) => [`tank ${id}`, delay] as const), ...[...(machine.delays?.sections ?? [])].map(([id, delay]) => [`section ${id}`, delay] as const)];
  for (const [where, delay] of delays) {
    add(`delay on, ${where}`, given(delay?.on, seconds));
    add(`delay off, ${where}`, given(delay?.off, seconds));
  }
  add('intended overlap of passes', given(machine.intendedOverlap?.passes, metres));
  add('intended overlap at pass ends', given(machine.intendedOverlap?.ends, metres));
  for (const tank of machine.tanks) {
    add(`capacity of tank ${tank.id}`, given(tank.capacity, (value) => quantity.mass(value)));
    add(`meter of tank ${tank.id}`, tank.meter);
  }
  for (const tower of machine.towers) add(`runs of tower ${tower.id}`, `${tower.runs.join(' ')}${tower.section === undefined ? '' : `, section ${tower.section}`}`);
  add('set aside', machine.setAside.toSorted().join(' '));
  for (const product of job.products) {
    const of = `tank ${product.tank}`;
    add(`product in ${of}`, product.name);
    add(`target rate of ${of}`, given(product.targetRate, (value) => quantity.rate(value)));
    add(`seed mass in ${of}`, given(product.seedMass, (value) => `${formatNumber(value * 1e6, 1)} g per 1,000`));
    add(`fan of ${of}`, product.fan);
    add(`fan floor of ${of}`, given(product.fanFloor, (value) => quantity.rotation(value)));
  }
  return list;
}

/** What was entered differently, in the order of the first, then what only the second has. */
export function settingChanges(before: Setup, after: Setup): readonly SettingChange[] {
  const [old, recent] = [before, after].map((setup) => new Map(settingsOf(setup).map(({ name, value }) => [name, value]))) as [Map<string, string>, Map<string, string>];
  return [...new Set([...old.keys(), ...recent.keys()])].flatMap((name) => {
    const [was, is] = [old.get(name), recent.get(name)];
    return was === is ? [] : [{ name, ...(was === undefined ? {} : { before: was }), ...(is === undefined ? {} : { after: is }) }];
  });
}
