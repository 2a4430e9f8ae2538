import { formatClock, formatNumber, type Reading } from '../../shared/text.ts';

const DECIMALS: Readonly<Record<string, number>> = { 'rpm': 0, 'kg': 0, 'lb': 0, 'kg/ha': 1, 'lb/ac': 1, 'km/h': 1, 'mph': 1, 'kPa': 2, 'inH2O': 1, '°C': 0, '°F': 0, '1/s': 1, 'm': 1, 'ft': 1, 'deg': 1, 's': 1 };

/** A value in shown units as read: enough digits for its unit; `–` when there is none. */
export function showNumber(value: number | null | undefined, unit: string): string {
  if (value === null || value === undefined || Number.isNaN(value)) return '–';
  const decimals = DECIMALS[unit] ?? (Number.isInteger(value) ? 0 : Math.abs(value) < 10 ? 3 : 1);
  return formatNumber(value, decimals);
}

export const showValue = (value: number | null | undefined, unit: string): string => {
  const number = showNumber(value, unit);
  return number === '–' || unit === '' ? number : `${number} ${unit}`;
};

/** Seconds since local midnight of an instant in the reader's zone. */
export function clockSeconds(at: number, reading: Reading): number {
  const [h = 0, m = 0, s = 0] = formatClock(at, reading).split(':').map(Number);
  const instant = Math.round((reading.dayStart + at) * 1000) / 1000;
  return h * 3600 + m * 60 + s + instant - Math.floor(instant);
}

const DAY = 86_400;

/** `9:30`, `09:30:15` → seconds from the day's start; undefined when it is no time of this day. */
export function parseClock(text: string, reading: Reading, duration: number): number | undefined {
  const match = /^\s*(\d{1,2}):(\d{2})(?::(\d{2}(?:[.,]\d+)?))?\s*$/.exec(text);
  if (match === null || Number(match[1]) > 23 || Number(match[2]) > 59) return undefined;
  const wanted = Number(match[1]) * 3600 + Number(match[2]) * 60 + Number((match[3] ?? '0').replace(',', '.'));
  const around = (((wanted - clockSeconds(0, reading)) % DAY) + DAY) % DAY;
  /* where the clock was changed during the day, the plain difference is an hour off */
  const at = around + wanted - clockSeconds(around, reading);
  return at >= -1 && at <= duration + 1 ? Math.min(duration, Math.max(0, at)) : undefined;
}
