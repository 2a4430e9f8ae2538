import { publishedField, publishedName, publishedSelector } from '../nmea2000-field.ts';
import type { MessageDefinition, SignalDefinition } from '../signal-definition.ts';

/** Which published field becomes which channel. Bit places, scales and ranges come from `@canboat/ts-pgns`. */
interface Mapping {
  readonly field: string;
  readonly channel: string;
  readonly trust: number;
  /** Only when this other field has this value. */
  readonly when?: readonly [field: string, equals: number];
}

const TRUE_NORTH = 0;
const MAGNETIC = 1;
const UNKNOWN_REFERENCE = 3;
const OUTSIDE_AIR = 1;

/* Rapid messages before slow ones; a course or heading against magnetic north is not the same quantity. */
const MAPPINGS: Readonly<Record<number, readonly Mapping[]>> = {
  129025: [
    { field: 'latitude', channel: 'gnss.lat', trust: 80 },
    { field: 'longitude', channel: 'gnss.lon', trust: 80 },
  ],
  129026: [
    { field: 'cog', channel: 'gnss.course', trust: 80, when: ['cogReference', TRUE_NORTH] },
    { field: 'cog', channel: 'gnss.course', trust: 80, when: ['cogReference', UNKNOWN_REFERENCE] },
    { field: 'cog', channel: 'gnss.course.magnetic', trust: 80, when: ['cogReference', MAGNETIC] },
    { field: 'sog', channel: 'gnss.speed', trust: 80 },
  ],
  129029: [
    { field: 'latitude', channel: 'gnss.lat', trust: 70 },
    { field: 'longitude', channel: 'gnss.lon', trust: 70 },
    { field: 'method', channel: 'gnss.fix', trust: 80 },
    { field: 'numberOfSvs', channel: 'gnss.sats', trust: 80 },
    { field: 'hdop', channel: 'gnss.hdop', trust: 70 },
  ],
  129539: [{ field: 'hdop', channel: 'gnss.hdop', trust: 80 }],
  127250: [
    { field: 'heading', channel: 'heading', trust: 80, when: ['reference', TRUE_NORTH] },
    { field: 'heading', channel: 'heading.magnetic', trust: 80, when: ['reference', MAGNETIC] },
  ],
  127257: [
    { field: 'pitch', channel: 'pitch', trust: 80 },
    { field: 'roll', channel: 'roll', trust: 80 },
  ],
  130310: [{ field: 'outsideAmbientAirTemperature', channel: 'air.temperature', trust: 50 }],
  130311: [{ field: 'temperature', channel: 'air.temperature', trust: 60, when: ['temperatureSource', OUTSIDE_AIR] }],
  130312: [{ field: 'actualTemperature', channel: 'air.temperature', trust: 70, when: ['source', OUTSIDE_AIR] }],
  130316: [{ field: 'temperature', channel: 'air.temperature', trust: 75, when: ['source', OUTSIDE_AIR] }],
};

function signalOf(pgn: number, mapping: Mapping): Omit<SignalDefinition, 'pgn' | 'id'> {
  const { field, channel, trust, when } = mapping;
  return { ...publishedField(pgn, field), channel, trust, ...(when === undefined ? {} : { selector: publishedSelector(pgn, when[0], when[1]) }) };
}

export const nmea2000: readonly MessageDefinition[] = Object.entries(MAPPINGS).map(([key, mappings]) => {
  const pgn = Number(key);
  return { pgn, name: publishedName(pgn) ?? `PGN ${pgn}`, clause: `NMEA 2000 PGN ${pgn}`, signals: mappings.map((mapping) => signalOf(pgn, mapping)) };
});

/** `gnss.fix` of a receiver that plays a recording or a made-up drive (129029 method 8). */
export const SIMULATED_FIX = 8;
