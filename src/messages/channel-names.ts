import { nearest } from '../../shared/nearest.ts';
import { UNITS, type Dimension, type Unit } from '../../shared/units.ts';

/** What is known of a channel by its name. */
export interface ChannelKind {
  readonly unit: Unit;
  /** What a unit given for it must measure. */
  readonly dimension: Dimension;
}

const kind = (unit: Unit, dimension: Dimension): ChannelKind => ({ unit, dimension });
const SPEED = kind('m/s', 'speed');
const LENGTH = kind('m', 'length');
const ANGLE = kind('rad', 'angle');
const DEGREES = kind('deg', 'angle');
const RPM = kind('rpm', 'rotation');
const MASS = kind('kg', 'mass');
const RATE = kind('kg/m²', 'massPerArea');
const KELVIN = kind('K', 'temperature');
const PLAIN = kind('1', 'ratio');

/** The channels of contract 4; N and M stand for numbers. */
const CONTRACT: Readonly<Record<string, ChannelKind>> = {
  'wheel.speed': SPEED, 'wheel.distance': LENGTH, 'wheel.pulses': kind('count', 'count'), 'drive.speed': SPEED, 'ground.speed': SPEED,
  'gnss.lat': DEGREES, 'gnss.lon': DEGREES, 'gnss.speed': SPEED, 'gnss.course': ANGLE, 'gnss.fix': PLAIN, 'gnss.hdop': PLAIN, 'gnss.sats': PLAIN,
  'heading': ANGLE, 'pitch': ANGLE, 'roll': ANGLE, 'implement.working': PLAIN,
  'engine.speed': RPM, 'oil.temperature': KELVIN, 'air.temperature': KELVIN,
  'fan.N.speed': RPM, 'fan.N.target': RPM,
  'tank.N.mass': MASS, 'tank.N.pressure': kind('Pa', 'pressure'), 'tank.N.level': PLAIN, 'tank.N.cell.M': MASS,
  'meter.N.speed': RPM, 'meter.N.turns': kind('turn', 'turns'), 'meter.N.target': RATE,
  'section.N.on': PLAIN, 'run.N.count': kind('1/s', 'frequency'), 'run.N.blocked': PLAIN,
};

/** What standard messages give beyond the contract: shown and exported, used by no check on its own. */
const FURTHER: Readonly<Record<string, ChannelKind>> = {
  'ground.distance': LENGTH, 'selected.speed': SPEED, 'selected.source': PLAIN, 'heading.magnetic': ANGLE, 'gnss.course.magnetic': ANGLE,
  'clock.offset': kind('s', 'time'), 'engine.oil.temperature': KELVIN, 'implement.width': LENGTH,
  'meter.N.rate': RATE, 'meter.N.flow': kind('kg/s', 'massFlow'), 'meter.N.total': MASS, 'section.N.actual': PLAIN,
};

const KINDS = new Map(Object.entries({ ...CONTRACT, ...FURTHER }));

/** Unit and dimension of a channel; undefined when there is no channel of that name. */
export function channelKind(id: string): ChannelKind | undefined {
  return KINDS.get(template(id));
}

/** `tank.2.cell.3` → `tank.N.cell.M`. */
function template(id: string): string {
  let seen = 0;
  return id.replaceAll(/(?<=\.)[1-9]\d{0,3}(?=\.|$)/g, () => (seen++ === 0 ? 'N' : 'M'));
}

/** The channel name that a mistyped one most likely meant, with its numbers kept. */
export function nearestChannel(id: string): string | undefined {
  const numbers = id.match(/\d+/g) ?? [];
  const meant = nearest(template(id.toLowerCase().replaceAll(/[_\s-]/g, '.')), Object.keys(CONTRACT));
  if (meant === undefined) return undefined;
  let next = 0;
  return meant.replaceAll(/(?<=\.)[NM](?=\.|$)/g, (letter) => numbers[next++] ?? letter);
}

/** Channel names as people may write them, for 'known are' sentences. */
export const contractChannels: readonly string[] = Object.keys(CONTRACT);

/** Factor and offset from a unit as written to the channel's own; undefined when the unit is unknown or of another dimension. */
export function conversion(unitName: string, channel: ChannelKind): { readonly factor: number; readonly offset: number } | undefined {
  const unit = UNITS.get(unitName);
  if (unit === undefined || unit.dimension !== channel.dimension) return undefined;
  const perOwnUnit = channel.unit === 'deg' ? (UNITS.get('deg')?.factor ?? 1) : 1;
  return { factor: unit.factor / perOwnUnit, offset: unit.offset / perOwnUnit };
}

/** Unit spellings that fit a channel. */
export function unitsFor(channel: ChannelKind): readonly string[] {
  return [...UNITS].filter(([name, unit]) => unit.dimension === channel.dimension && name !== '').map(([name]) => name);
}
