const UNITS = ['%', 'kg', 'lb', 'ha', 'ac', 'm', 'mm', 'cm', 'km', 'ft', 'mph', 's', 'min', 'h', 'rpm', 'Pa', 'kPa', '°C', '°F'];
const NUMBER_AND_UNIT = new RegExp(`(?<=\\d) (?=(?:${UNITS.join('|')})(?!\\w))`, 'g');

/** A unit stays beside its number at the end of a line. */
export const withUnits = (text: string): string => text.replaceAll(NUMBER_AND_UNIT, '\u00a0');
