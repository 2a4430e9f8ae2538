import { getPGNWithNumber } from '@canboat/ts-pgns';
import type { FieldDefinition, Selector } from './signal.ts';

/** A field as published in the NMEA 2000 definitions of `@canboat/ts-pgns`, in its own unit. */
export interface PublishedField extends FieldDefinition {
  /** As written there: `rad`, `m/s`, `deg`, `K`, `s`, … ; empty when it has none. */
  readonly unit: string;
}

/** Throws RangeError when the definitions hold no such field, or one of variable place or width. */
export function publishedField(pgn: number, id: string): PublishedField {
  const field = getPGNWithNumber(pgn)?.[0]?.Fields.find((candidate) => candidate.Id === id);
  if (field?.BitLength === undefined) throw new RangeError(`PGN ${pgn} has no fixed field ${id}`);
  const factor = field.Resolution ?? 1;
  return {
    startBit: field.BitOffset,
    length: field.BitLength,
    signed: field.Signed === true,
    factor,
    offset: (field.Offset ?? 0) * factor,
    notAvailable: 'nmea2000',
    ...(field.RangeMin === undefined ? {} : { minimum: field.RangeMin }),
    ...(field.RangeMax === undefined ? {} : { maximum: field.RangeMax }),
    unit: field.Unit ?? '',
  };
}

export function publishedSelector(pgn: number, id: string, equals: number): Selector {
  const { startBit, length } = publishedField(pgn, id);
  return { startBit, length, equals };
}

/** Proprietary messages that always come as fast packets: 0x1ED00–0x1EFFF addressed, 0x1FF00–0x1FFFF broadcast. */
const isFastRange = (pgn: number): boolean => (pgn >= 0x1ed00 && pgn <= 0x1efff) || (pgn >= 0x1ff00 && pgn <= 0x1ffff);

/**
 * Whether a message comes as a fast packet. The bus does not say so: it is known from the definitions, from the range,
 * or, for a message nobody published, from a signal that lies beyond the eighth byte.
 */
export function isFastPacket(pgn: number, bytesNeeded: number): boolean {
  if (pgn < 0x10000) return false;
  const published = getPGNWithNumber(pgn);
  if (published !== undefined && published.length > 0) return published.some((definition) => definition.Type === 'Fast');
  return isFastRange(pgn) || (pgn >= 0x1f000 && bytesNeeded > 8);
}

/** What the published definitions call a message; undefined when they do not know it. */
export function publishedName(pgn: number): string | undefined {
  return getPGNWithNumber(pgn)?.find((definition) => definition.Fallback !== true)?.Description;
}
