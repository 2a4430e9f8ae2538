import type { XmlElement } from './xml-elements.ts';

/** What each record of a binary time log holds, told by the XML file beside it (ISO 11783-10 annex D, messages.md 10.3). */
export interface LogHeader {
  /** In file order, those in the binary; the others are the same for all records. */
  readonly position: readonly PositionField[];
  readonly constants: Readonly<Partial<Record<PositionKey, number>>>;
  /** By index in the binary. */
  readonly values: readonly LoggedValue[];
}

export type PositionKey = 'A' | 'B' | 'C' | 'D' | 'E' | 'F' | 'G' | 'H' | 'I';

export interface PositionField {
  readonly key: PositionKey;
  readonly size: 1 | 2 | 4;
  readonly isSigned: boolean;
}

export interface LoggedValue {
  readonly ddi: number;
  /** `DET-…`. */
  readonly element: string;
  /** Set for a slice of a bus message: bits `from` … `to` of its data. */
  readonly slice?: { readonly pgn: number; readonly from: number; readonly to: number };
}

/** Latitude, longitude, height, status, PDOP, HDOP, satellites, GPS time of day, GPS date. */
const POSITION_FIELDS: readonly PositionField[] = [
  { key: 'A', size: 4, isSigned: true }, { key: 'B', size: 4, isSigned: true }, { key: 'C', size: 4, isSigned: true },
  { key: 'D', size: 1, isSigned: false }, { key: 'E', size: 2, isSigned: false }, { key: 'F', size: 2, isSigned: false },
  { key: 'G', size: 1, isSigned: false }, { key: 'H', size: 4, isSigned: false }, { key: 'I', size: 2, isSigned: false },
];
/** 'PGN based data'. */
const MESSAGE_SLICE = 0xdffe;
const MOST_VALUES = 255;
const LAST_BIT = 63;

/** Undefined when the element is no time log header, or asks for more than the binary can number. */
export function readLogHeader(root: XmlElement): LogHeader | undefined {
  if (root.name !== 'TIM') return undefined;
  const values = root.children.filter(({ name }) => name === 'DLV');
  if (values.length > MOST_VALUES) return undefined;
  const about = root.children.find(({ name }) => name === 'PTN')?.attributes;
  const constants: Partial<Record<PositionKey, number>> = {};
  for (const { key } of POSITION_FIELDS) {
    const text = about?.[key];
    if (text !== undefined && text !== '' && Number.isFinite(Number(text))) constants[key] = Number(text);
  }
  return {
    position: POSITION_FIELDS.filter(({ key }) => about?.[key] === ''),
    constants,
    values: values.map(({ attributes }) => ({ ddi: Number.parseInt(attributes['A'] ?? '', 16) || 0, element: attributes['C'] ?? '', ...sliceOf(attributes) })),
  };
}

function sliceOf(attributes: Readonly<Record<string, string>>): { slice?: NonNullable<LoggedValue['slice']> } {
  if (Number.parseInt(attributes['A'] ?? '', 16) !== MESSAGE_SLICE) return {};
  const [pgn, from, to] = [attributes['D'], attributes['E'], attributes['F']].map((text) => Number(text ?? NaN));
  if (pgn === undefined || from === undefined || to === undefined) return {};
  return from >= 0 && to >= from && to <= LAST_BIT && to - from < 32 && pgn > 0 && pgn <= 0x3ffff ? { slice: { pgn, from, to } } : {};
}
