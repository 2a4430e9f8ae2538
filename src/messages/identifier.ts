/** The parts of a 29-bit identifier (SAE J1939-21 5.2, ISO 11783-3). */
export interface Identifier {
  readonly priority: number;
  /** Parameter group number, 18 bits with the data page. */
  readonly pgn: number;
  readonly source: number;
  /** 255 = to all. */
  readonly destination: number;
}

/** Marks 29-bit identifiers, as in SocketCAN and in a frame batch. */
export const EXTENDED = 0x80000000;
export const GLOBAL_ADDRESS = 255;
/** Source of a device that could not claim an address (SAE J1939-81). */
export const NULL_ADDRESS = 254;

const EXTENDED_DATA_PAGE = 0x2000000;
const FIRST_BROADCAST_FORMAT = 240;

/**
 * Splits an identifier as it stands in a frame batch (29-bit ones carry bit 31).
 * Undefined when it is not J1939: 11 bits, or the extended data page set (ISO 15765 and others).
 */
export function parseIdentifier(id: number): Identifier | undefined {
  if ((id & EXTENDED) === 0 || (id & EXTENDED_DATA_PAGE) !== 0) return undefined;
  const format = (id >>> 16) & 0xff;
  const specific = (id >>> 8) & 0xff;
  const page = (id >>> 24) & 1;
  const isBroadcast = format >= FIRST_BROADCAST_FORMAT;
  return {
    priority: (id >>> 26) & 7,
    pgn: (page << 16) | (format << 8) | (isBroadcast ? specific : 0),
    source: id & 0xff,
    destination: isBroadcast ? GLOBAL_ADDRESS : specific,
  };
}

/** The other way round: an identifier with bit 31 set, as in a frame batch. */
export function formatIdentifier(parts: Identifier): number {
  const format = (parts.pgn >>> 8) & 0xff;
  const specific = format >= FIRST_BROADCAST_FORMAT ? parts.pgn & 0xff : parts.destination;
  return ((EXTENDED | (parts.priority << 26) | (parts.pgn & 0x10000) << 8 | (format << 16) | (specific << 8) | parts.source) >>> 0);
}
