import { ELEMENT_TYPES, type DeviceDescription, type DeviceElement, type ElementData, type ElementType } from '../formats/log-format.ts';

export type { DeviceDescription, ElementType };

/* The 'object pool' of ISO 11783-10 A.2–A.6: layout read in AgIsoStack++ and checked on its own pool. */
/** A device may add a structure label of up to 32 bytes from version 4 on; older pools go on with the next object's letters. */
const LONGEST_EXTENDED_LABEL = 32;

/** Undefined when the bytes are not a whole object pool. */
export function parseDeviceDescription(pool: Uint8Array): DeviceDescription | undefined {
  const cursor = createCursor(pool);
  const elements: (Omit<DeviceElement, 'data'> & { readonly objects: readonly number[] })[] = [];
  const data = new Map<number, ElementData>();
  let device: { designator: string; softwareVersion: string; name: string } | undefined;
  while (cursor.left() > 0) {
    const tag = cursor.letters(3);
    const objectId = cursor.u16();
    if (tag === 'DVC') {
      const designator = cursor.text();
      const softwareVersion = cursor.text();
      const name = cursor.bytes(8).toReversed().reduce((hex, byte) => hex + byte.toString(16).padStart(2, '0'), '');
      cursor.text();
      cursor.bytes(14);
      if (cursor.left() > 0 && cursor.peek() <= LONGEST_EXTENDED_LABEL) cursor.text();
      device = { designator, softwareVersion, name };
    } else if (tag === 'DET') {
      const type = ELEMENT_TYPES[cursor.u8()] ?? 'other';
      const designator = cursor.text();
      const number = cursor.u16();
      const parent = cursor.u16();
      const count = cursor.u16();
      if (count * 2 > cursor.left()) return undefined;
      elements.push({ objectId, type, designator, number, parent, objects: Array.from({ length: count }, cursor.u16) });
    } else if (tag === 'DPD') {
      const ddi = cursor.u16();
      cursor.bytes(2);
      data.set(objectId, { ddi, designator: cursor.text(), value: undefined });
      cursor.u16();
    } else if (tag === 'DPT') {
      const ddi = cursor.u16();
      const value = cursor.i32();
      data.set(objectId, { ddi, designator: cursor.text(), value });
      cursor.u16();
    } else if (tag === 'DVP') {
      cursor.bytes(9);
      cursor.text();
    } else return undefined;
    if (cursor.isPastEnd()) return undefined;
  }
  if (device === undefined) return undefined;
  return {
    ...device,
    elements: elements.map(({ objects, ...element }) => ({ ...element, data: objects.flatMap((id) => data.get(id) ?? []) })),
  };
}

/** Number of each element among those of its type, from 1: the element-type instance (DDI 178) when given, else by element number. */
export function elementInstances(description: DeviceDescription): ReadonlyMap<number, { readonly type: ElementType; readonly instance: number }> {
  const instances = new Map<number, { type: ElementType; instance: number }>();
  const seen = new Map<ElementType, number>();
  for (const element of [...description.elements].sort((a, b) => a.number - b.number)) {
    const next = (seen.get(element.type) ?? 0) + 1;
    seen.set(element.type, next);
    const given = element.data.find((datum) => datum.ddi === ELEMENT_TYPE_INSTANCE)?.value;
    instances.set(element.number, { type: element.type, instance: given !== undefined && given > 0 ? given : next });
  }
  return instances;
}

const ELEMENT_TYPE_INSTANCE = 178;

interface Cursor {
  readonly left: () => number;
  readonly isPastEnd: () => boolean;
  readonly peek: () => number;
  readonly u8: () => number;
  readonly u16: () => number;
  readonly i32: () => number;
  readonly bytes: (count: number) => number[];
  readonly letters: (count: number) => string;
  /** Length byte, then UTF-8. */
  readonly text: () => string;
}

/** Reads on past the end as zeros; the caller asks `isPastEnd`. */
function createCursor(pool: Uint8Array): Cursor {
  let at = 0;
  const u8 = (): number => pool[at++] ?? 0;
  const bytes = (count: number): number[] => Array.from({ length: count }, u8);
  const u16 = (): number => u8() | u8() << 8;
  return {
    left: () => pool.length - at,
    isPastEnd: () => at > pool.length,
    peek: () => pool[at] ?? 0,
    u8,
    u16,
    i32: () => u8() | u8() << 8 | u8() << 16 | u8() << 24,
    bytes,
    letters: (count) => String.fromCharCode(...bytes(count)),
    text: () => {
      const count = u8();
      at += count;
      return new TextDecoder().decode(pool.subarray(at - count, at));
    },
  };
}
