import { nearest } from './nearest.ts';
import { UNITS, type Dimension, type Unit } from './units.ts';

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

/** Channel names as people may write them, for 'known are' sentences. */
export const contractChannels: readonly string[] = Object.keys(CONTRACT);

/** Unit and dimension of a channel; undefined when there is no channel of that name. */
export function channelKind(id: string): ChannelKind | undefined {
  return /[A-Z]/.test(id) ? undefined : KINDS.get(template(id));
}

/** Unit in which a channel is carried inside the program. */
export function channelUnit(id: string): Unit | undefined {
  return channelKind(id)?.unit;
}

export function isKnownChannel(id: string): boolean {
  return channelKind(id) !== undefined;
}

/** `tank.2.cell.3` → `tank.N.cell.M`. */
function template(id: string): string {
  let seen = 0;
  return id.replaceAll(/(?<=\.)[1-9]\d{0,3}(?=\.|$)/g, () => (seen++ === 0 ? 'N' : 'M'));
}

/** The channel name that a mistyped one most likely meant, with its numbers kept. */
export function nearestChannel(id: string): string | undefined {
  const meant = nearest(template(id.toLowerCase().replaceAll(/[_\s-]/g, '.')), Object.keys(CONTRACT));
  return meant === undefined ? undefined : numbered(meant, id);
}

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

/** Words that people head columns with → the words of our channel names. */
const MEANINGS: readonly (readonly [words: RegExp, meant: readonly string[]])[] = [
  [/^(?:fan|blower|airfan)$/, ['fan']], [/^(?:rpm|speed|velocity|kmh|kph|mph|sog)$/, ['speed']], [/^(?:target|setpoint|set|desired|commanded|prescribed)$/, ['target']],
  [/^(?:rate)$/, ['meter', 'target']], [/^(?:tank|bin|hopper|compartment|product)$/, ['tank']], [/^(?:mass|weight|kg|lb|lbs|scale|load)$/, ['tank', 'mass']],
  [/^(?:pressure|plenum|kpa|psi|mbar)$/, ['tank', 'pressure']], [/^(?:level)$/, ['tank', 'level']], [/^(?:cell|loadcell)$/, ['tank', 'cell']],
  [/^(?:meter|metering|roller|shaft|auger)$/, ['meter']], [/^(?:turns|turn|revolutions|revs?)$/, ['meter', 'turns']],
  [/^(?:section|boom|clutch)$/, ['section', 'on']], [/^(?:on|state|active|command)$/, ['on']], [/^(?:run|row|tube|line|opener)$/, ['run']],
  [/^(?:count|counts|seeds?|impacts?|flow|population)$/, ['run', 'count']], [/^(?:blocked|blockage|plugged)$/, ['run', 'blocked']],
  [/^(?:wheel|groundwheel)$/, ['wheel']], [/^(?:distance|odometer)$/, ['distance']], [/^(?:pulses?|ticks?)$/, ['wheel', 'pulses']],
  [/^(?:gps|gnss)$/, ['gnss']], [/^(?:lat|latitude)$/, ['gnss', 'lat']], [/^(?:lon|lng|long|longitude)$/, ['gnss', 'lon']], [/^(?:course|cog|track)$/, ['gnss', 'course']],
  [/^(?:fix|quality)$/, ['gnss', 'fix']], [/^(?:hdop|dop)$/, ['gnss', 'hdop']], [/^(?:sats?|satellites?)$/, ['gnss', 'sats']],
  [/^(?:heading|bearing|yaw)$/, ['heading']], [/^(?:pitch)$/, ['pitch']], [/^(?:roll)$/, ['roll']],
  [/^(?:working|work|lift|down|lowered|implement)$/, ['implement', 'working']], [/^(?:engine|motor)$/, ['engine', 'speed']], [/^(?:oil)$/, ['oil', 'temperature']],
  [/^(?:air|ambient)$/, ['air']], [/^(?:temperature|temp)$/, ['temperature']], [/^(?:radar|ground|true)$/, ['ground', 'speed']], [/^(?:tractor|drive|driveline)$/, ['drive', 'speed']],
];

/** At most three channels that a heading may mean, most likely first; numbers in the heading are kept. */
export function suggestChannels(heading: string): readonly string[] {
  const words = heading.replaceAll(/([a-z])([A-Z])/g, '$1 $2').toLowerCase().split(/[^a-z]+/).filter((word) => word !== '');
  const meant = new Set(words.flatMap((word) => MEANINGS.filter(([pattern]) => pattern.test(word)).flatMap(([, names]) => names)));
  const named = new Set(words);
  const scored = contractChannels.map((name) => {
    const parts = name.split('.').filter((part) => part !== 'N' && part !== 'M');
    const hits = parts.filter((part) => meant.has(part)).length;
    const verbatim = parts.filter((part) => named.has(part)).length;
    return { name, score: hits === 0 ? 0 : hits / parts.length + hits * 0.5 + verbatim * 0.1 - (parts.some((part) => part === 'target') && !meant.has('target') ? 0.2 : 0) };
  });
  const likely = scored.filter(({ score }) => score >= 1).sort((a, b) => b.score - a.score).slice(0, 3).map(({ name }) => numbered(name, heading));
  const typed = nearestChannel(heading.replace(/[[(].*$/, '').trim());
  return [...new Set([...(typed === undefined ? [] : [typed]), ...likely])].slice(0, 3);
}

function numbered(name: string, text: string): string {
  const numbers = (text.replace(/[[(].*$/, '').match(/\d{1,4}/g) ?? []).map(Number).filter((number) => number > 0);
  let next = 0;
  return name.replaceAll(/(?<=\.)[NM](?=\.|$)/g, () => String(numbers[next++] ?? 1));
}
