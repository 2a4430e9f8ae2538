/**
 * The units a channel may carry inside the program: SI, and the trade's rpm.
 * Every other unit exists only at the edges, through `UNITS`.
 */
export type Unit =
  | 'm/s' | 'm' | 's' | 'kg' | 'kg/m²' | 'kg/s' | 'Pa' | 'K' | 'rad' | 'deg' | 'rpm' | 'turn' | 'count' | '1/s' | '1/m²' | '1' | 'N';

export type Dimension =
  | 'speed' | 'length' | 'time' | 'mass' | 'massPerArea' | 'massFlow' | 'pressure' | 'temperature' | 'angle'
  | 'rotation' | 'turns' | 'count' | 'frequency' | 'countPerArea' | 'ratio' | 'area' | 'volume' | 'force';

export interface UnitDefinition {
  readonly dimension: Dimension;
  /** SI value = entered × factor + offset. */
  readonly factor: number;
  readonly offset: number;
}

const unit = (dimension: Dimension, factor: number, offset = 0): UnitDefinition => ({ dimension, factor, offset });

/* Exact by the international definitions of 1959: 1 lb = 0.45359237 kg, 1 ft = 0.3048 m, 1 acre = 43,560 ft². */
const POUND = 0.45359237;
const FOOT = 0.3048;
export const SQUARE_METRES_PER_ACRE = 4046.8564224;
const DEGREE = Math.PI / 180;

/** Every spelling that a heading, setup.json or signals.json may use. */
export const UNITS: ReadonlyMap<string, UnitDefinition> = new Map([
  ['m/s', unit('speed', 1)], ['km/h', unit('speed', 1 / 3.6)], ['kph', unit('speed', 1 / 3.6)],
  ['mph', unit('speed', 0.44704)], ['kn', unit('speed', 1852 / 3600)], ['knot', unit('speed', 1852 / 3600)],
  ['mm/s', unit('speed', 0.001)], ['cm/s', unit('speed', 0.01)], ['ft/s', unit('speed', FOOT)],
  ['m', unit('length', 1)], ['mm', unit('length', 0.001)], ['cm', unit('length', 0.01)], ['km', unit('length', 1000)],
  ['in', unit('length', FOOT / 12)], ['ft', unit('length', FOOT)], ['mi', unit('length', 1609.344)],
  ['s', unit('time', 1)], ['ms', unit('time', 0.001)], ['min', unit('time', 60)], ['h', unit('time', 3600)],
  ['kg', unit('mass', 1)], ['g', unit('mass', 0.001)], ['t', unit('mass', 1000)], ['lb', unit('mass', POUND)], ['lbs', unit('mass', POUND)],
  ['kg/m²', unit('massPerArea', 1)], ['kg/m2', unit('massPerArea', 1)], ['kg/ha', unit('massPerArea', 1e-4)],
  ['lb/ac', unit('massPerArea', POUND / SQUARE_METRES_PER_ACRE)], ['lbs/ac', unit('massPerArea', POUND / SQUARE_METRES_PER_ACRE)],
  ['g/ha', unit('massPerArea', 1e-7)], ['mg/m²', unit('massPerArea', 1e-6)],
  ['kg/s', unit('massFlow', 1)], ['kg/min', unit('massFlow', 1 / 60)], ['kg/h', unit('massFlow', 1 / 3600)], ['lb/min', unit('massFlow', POUND / 60)],
  ['Pa', unit('pressure', 1)], ['hPa', unit('pressure', 100)], ['mbar', unit('pressure', 100)], ['kPa', unit('pressure', 1000)],
  ['bar', unit('pressure', 1e5)], ['psi', unit('pressure', 6894.757293168361)],
  /* Conventional inch of water, 249.08891 Pa (NIST SP 811, from memory). */
  ['inH2O', unit('pressure', 249.08891)],
  ['K', unit('temperature', 1)], ['°C', unit('temperature', 1, 273.15)], ['C', unit('temperature', 1, 273.15)], ['degC', unit('temperature', 1, 273.15)],
  ['°F', unit('temperature', 5 / 9, 273.15 - 160 / 9)], ['F', unit('temperature', 5 / 9, 273.15 - 160 / 9)], ['degF', unit('temperature', 5 / 9, 273.15 - 160 / 9)],
  ['rad', unit('angle', 1)], ['deg', unit('angle', DEGREE)], ['°', unit('angle', DEGREE)],
  ['rpm', unit('rotation', 1)], ['r/min', unit('rotation', 1)], ['1/min', unit('rotation', 1)], ['rps', unit('rotation', 60)],
  ['turn', unit('turns', 1)], ['turns', unit('turns', 1)], ['rev', unit('turns', 1)],
  ['count', unit('count', 1)], ['counts', unit('count', 1)], ['pulses', unit('count', 1)], ['pulse', unit('count', 1)], ['seeds', unit('count', 1)],
  ['1/s', unit('frequency', 1)], ['/s', unit('frequency', 1)], ['Hz', unit('frequency', 1)], ['seeds/s', unit('frequency', 1)],
  ['1/m²', unit('countPerArea', 1)], ['seeds/m²', unit('countPerArea', 1)], ['seeds/ft²', unit('countPerArea', 1 / (FOOT * FOOT))],
  ['1', unit('ratio', 1)], ['', unit('ratio', 1)], ['%', unit('ratio', 0.01)], ['ppm', unit('ratio', 1e-6)], ['0/1', unit('ratio', 1)], ['bool', unit('ratio', 1)],
  ['m²', unit('area', 1)], ['m2', unit('area', 1)], ['ha', unit('area', 1e4)], ['ac', unit('area', SQUARE_METRES_PER_ACRE)],
  ['L', unit('volume', 0.001)], ['l', unit('volume', 0.001)], ['m³', unit('volume', 1)], ['N', unit('force', 1)], ['kN', unit('force', 1000)],
]);

/** SI unit of each dimension as carried by channels. */
export const SI_UNIT: Readonly<Record<Dimension, string>> = {
  speed: 'm/s', length: 'm', time: 's', mass: 'kg', massPerArea: 'kg/m²', massFlow: 'kg/s', pressure: 'Pa', temperature: 'K', angle: 'rad',
  rotation: 'rpm', turns: 'turn', count: 'count', frequency: '1/s', countPerArea: '1/m²', ratio: '1', area: 'm²', volume: 'm³', force: 'N',
};

/** Entered value → SI; undefined when the unit is not known. */
export function toSi(value: number, unitName: string): number | undefined {
  const definition = UNITS.get(unitName);
  return definition === undefined ? undefined : value * definition.factor + definition.offset;
}

/** SI value → the named unit; undefined when the unit is not known. */
export function fromSi(value: number, unitName: string): number | undefined {
  const definition = UNITS.get(unitName);
  return definition === undefined ? undefined : (value - definition.offset) / definition.factor;
}
