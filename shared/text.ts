import { fromSi } from './units.ts';

/**
 * Sentences carry their quantities as tokens, so that one analysis reads in metric or US units and in any zone
 * without being done again. A token is `‹kind|SI value|decimals›`; `renderText` turns a sentence into what people read.
 */
export type UnitSystem = 'metric' | 'us';

/** How the reader wants quantities and clock times. */
export interface Reading {
  readonly units: UnitSystem;
  /** IANA zone name, e.g. `UTC`. */
  readonly zone: string;
  /** Seconds since 1970 UTC of the day's second 0. */
  readonly dayStart: number;
}

type Kind = 'mass' | 'rate' | 'speed' | 'length' | 'area' | 'pressure' | 'rotation' | 'temperature' | 'duration' | 'clock' | 'massPerTurn' | 'seedsPerArea';

const token = (kind: Kind, value: number, decimals: number | undefined): string => `‹${kind}|${value}|${decimals ?? ''}›`;

/** Quantities for sentences. Arguments are SI: kg, kg/m², m/s, m, m², Pa, rpm, K, s; `clock` is seconds from the day's start. */
export const quantity = {
  mass: (kg: number, decimals?: number): string => token('mass', kg, decimals),
  rate: (kgPerSquareMetre: number, decimals?: number): string => token('rate', kgPerSquareMetre, decimals),
  speed: (metresPerSecond: number, decimals?: number): string => token('speed', metresPerSecond, decimals),
  length: (metres: number, decimals?: number): string => token('length', metres, decimals),
  area: (squareMetres: number, decimals?: number): string => token('area', squareMetres, decimals),
  pressure: (pascal: number, decimals?: number): string => token('pressure', pascal, decimals),
  rotation: (rpm: number, decimals?: number): string => token('rotation', rpm, decimals),
  temperature: (kelvin: number, decimals?: number): string => token('temperature', kelvin, decimals),
  duration: (seconds: number, decimals?: number): string => token('duration', seconds, decimals),
  clock: (seconds: number): string => token('clock', seconds, undefined),
  massPerTurn: (kgPerTurn: number, decimals?: number): string => token('massPerTurn', kgPerTurn, decimals),
  seedsPerArea: (perSquareMetre: number, decimals?: number): string => token('seedsPerArea', perSquareMetre, decimals),
};

interface Shown { readonly unit: string; readonly decimals: number; readonly label?: string }

const SHOWN: Readonly<Record<Exclude<Kind, 'duration' | 'clock'>, Readonly<Record<UnitSystem, Shown>>>> = {
  mass: { metric: { unit: 'kg', decimals: 0 }, us: { unit: 'lb', decimals: 0 } },
  rate: { metric: { unit: 'kg/ha', decimals: 1 }, us: { unit: 'lb/ac', decimals: 1 } },
  speed: { metric: { unit: 'km/h', decimals: 1 }, us: { unit: 'mph', decimals: 1 } },
  length: { metric: { unit: 'm', decimals: 1 }, us: { unit: 'ft', decimals: 1 } },
  area: { metric: { unit: 'ha', decimals: 2 }, us: { unit: 'ac', decimals: 2 } },
  pressure: { metric: { unit: 'kPa', decimals: 2 }, us: { unit: 'inH2O', decimals: 1 } },
  rotation: { metric: { unit: 'rpm', decimals: 0 }, us: { unit: 'rpm', decimals: 0 } },
  temperature: { metric: { unit: '°C', decimals: 0 }, us: { unit: '°F', decimals: 0 } },
  massPerTurn: { metric: { unit: 'kg', decimals: 4, label: 'kg/turn' }, us: { unit: 'lb', decimals: 4, label: 'lb/turn' } },
  seedsPerArea: { metric: { unit: 'seeds/m²', decimals: 0 }, us: { unit: 'seeds/ft²', decimals: 1 } },
};

/** 75 → `1 min 15 s`, 5400 → `1 h 30 min`, 3.2 → `3.2 s`. */
export function formatDuration(seconds: number, decimals?: number): string {
  const sign = seconds < 0 ? '−' : '';
  const s = Math.abs(seconds);
  if (s < 60) return `${sign}${formatNumber(s, decimals ?? (s < 10 && !Number.isInteger(s) ? 1 : 0))} s`;
  if (Math.round(s) < 3600) {
    const minutes = Math.floor(Math.round(s) / 60);
    const rest = Math.round(s) % 60;
    return rest === 0 ? `${sign}${minutes} min` : `${sign}${minutes} min ${rest} s`;
  }
  const hours = Math.floor(Math.round(s / 60) / 60);
  const minutes = Math.round(s / 60) % 60;
  return minutes === 0 ? `${sign}${hours} h` : `${sign}${hours} h ${minutes} min`;
}

/** Clock time HH:MM:SS in the reader's zone. */
export function formatClock(secondsFromDayStart: number, reading: Reading): string {
  const milliseconds = Math.round((reading.dayStart + secondsFromDayStart) * 1000);
  return clockFormat(reading.zone).format(milliseconds);
}

/** The same with the day before it where that is not the day's first, for sentences: `20 Oct 08:56:19`. */
function formatMoment(secondsFromDayStart: number, reading: Reading): string {
  const clock = formatClock(secondsFromDayStart, reading);
  const dateAt = (seconds: number): string => dateFormat(reading.zone).format((reading.dayStart + seconds) * 1000);
  const date = dateAt(secondsFromDayStart);
  return date === dateAt(0) ? clock : `${date} ${clock}`;
}

const clockFormats = new Map<string, Intl.DateTimeFormat>();
function clockFormat(zone: string): Intl.DateTimeFormat {
  let format = clockFormats.get(zone);
  if (format === undefined) {
    format = new Intl.DateTimeFormat('en-GB', { timeZone: zone, hour: '2-digit', minute: '2-digit', second: '2-digit', hourCycle: 'h23' });
    clockFormats.set(zone, format);
  }
  return format;
}

const dateFormats = new Map<string, Intl.DateTimeFormat>();
function dateFormat(zone: string): Intl.DateTimeFormat {
  const format = dateFormats.get(zone) ?? new Intl.DateTimeFormat('en-GB', { timeZone: zone, day: 'numeric', month: 'short' });
  dateFormats.set(zone, format);
  return format;
}

/** Fixed decimals with thousands separated from five digits on, and a true minus sign. */
export function formatNumber(value: number, decimals: number): string {
  if (!Number.isFinite(value)) return '–';
  const text = Math.abs(value).toFixed(decimals);
  const [whole = '', fraction] = text.split('.');
  const grouped = whole.length > 4 ? whole.replaceAll(/\B(?=(?:\d{3})+$)/g, ',') : whole;
  const isZero = !/[1-9]/.test(text);
  return `${value < 0 && !isZero ? '−' : ''}${grouped}${fraction === undefined ? '' : `.${fraction}`}`;
}

function renderToken(kind: Kind, value: number, decimals: number | undefined, reading: Reading): string {
  if (kind === 'duration') return formatDuration(value, decimals);
  if (kind === 'clock') return formatMoment(value, reading);
  const shown = SHOWN[kind][reading.units];
  const converted = fromSi(value, shown.unit) ?? value;
  return `${formatNumber(converted, decimals ?? shown.decimals)} ${shown.label ?? shown.unit}`;
}

/** A sentence with tokens → the sentence as read. */
export function renderText(text: string, reading: Reading): string {
  return text.replaceAll(/‹(\w+)\|([^|›]*)\|(\d*)›/g, (_, kind: string, value: string, decimals: string) =>
    renderToken(kind as Kind, Number(value), decimals === '' ? undefined : Number(decimals), reading));
}

/** The unit a plotted quantity is shown in, and the conversion from SI. */
export function shownUnit(unit: string, system: UnitSystem): { readonly label: string; readonly convert: (si: number) => number } {
  const name = PLOTTED[system][unit];
  if (name === undefined) return { label: unit === '1' ? '' : unit, convert: (si) => si };
  return { label: name, convert: (si) => fromSi(si, name) ?? si };
}

const PLOTTED: Readonly<Record<UnitSystem, Readonly<Record<string, string>>>> = {
  metric: { 'm/s': 'km/h', 'Pa': 'kPa', 'K': '°C', 'kg/m²': 'kg/ha', 'rad': 'deg', 'm²': 'ha' },
  us: { 'm/s': 'mph', 'Pa': 'inH2O', 'K': '°F', 'kg/m²': 'lb/ac', 'rad': 'deg', 'kg': 'lb', 'm': 'ft', 'm²': 'ac', '1/m²': 'seeds/ft²' },
};

