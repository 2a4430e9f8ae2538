/**
 * One slot per identifier and bus, found by open addressing on typed arrays: what is done once per frame must neither
 * allocate nor build keys. Slots also count.
 */
export interface SlotTable {
  /** The slot of this identifier on this bus; made when new (see `size`), −1 when the table is full. */
  readonly slot: (id: number, bus: number) => number;
  readonly size: () => number;
  readonly id: (slot: number) => number;
  readonly bus: (slot: number) => number;
  /** Counts one record at `time` (s). */
  readonly count: (slot: number, time: number) => void;
  readonly tally: (slot: number) => { readonly count: number; readonly first: number; readonly last: number };
  /** Records that found no slot of their own. */
  readonly overflow: () => number;
}

/** More identifiers than this are noise, not a bus: 8 per source, group and destination would not get there. */
export const MOST_SLOTS = 65_536;

export function createSlotTable(mostSlots = MOST_SLOTS): SlotTable {
  let capacity = 1024;
  let mask = capacity * 2 - 1;
  let table = new Int32Array(capacity * 2).fill(-1);
  let ids = new Uint32Array(capacity);
  let buses = new Uint8Array(capacity);
  let counts = new Float64Array(capacity);
  let firsts = new Float64Array(capacity);
  let lasts = new Float64Array(capacity);
  let size = 0;
  let overflow = 0;

  const hash = (id: number, bus: number): number => {
    const mixed = Math.imul(id ^ Math.imul(bus + 1, 0x9e3779b1), 0x85ebca6b);
    return (mixed ^ (mixed >>> 15)) & mask;
  };
  const insert = (slot: number): void => {
    let at = hash(ids[slot] as number, buses[slot] as number);
    while ((table[at] as number) >= 0) at = (at + 1) & mask;
    table[at] = slot;
  };
  const grow = (): void => {
    capacity *= 2;
    mask = capacity * 2 - 1;
    table = new Int32Array(capacity * 2).fill(-1);
    ids = larger(ids, new Uint32Array(capacity));
    buses = larger(buses, new Uint8Array(capacity));
    counts = larger(counts, new Float64Array(capacity));
    firsts = larger(firsts, new Float64Array(capacity));
    lasts = larger(lasts, new Float64Array(capacity));
    for (let slot = 0; slot < size; slot++) insert(slot);
  };

  return {
    slot: (id, bus) => {
      let at = hash(id, bus);
      for (;;) {
        const slot = table[at] as number;
        if (slot < 0) break;
        if (ids[slot] === id && buses[slot] === bus) return slot;
        at = (at + 1) & mask;
      }
      if (size >= mostSlots) {
        overflow += 1;
        return -1;
      }
      if (size === capacity) grow();
      const slot = size++;
      ids[slot] = id;
      buses[slot] = bus;
      firsts[slot] = Number.NaN;
      lasts[slot] = Number.NaN;
      insert(slot);
      return slot;
    },
    size: () => size,
    id: (slot) => ids[slot] as number,
    bus: (slot) => buses[slot] as number,
    count: (slot, time) => {
      if (counts[slot] === 0) firsts[slot] = time;
      counts[slot] = (counts[slot] as number) + 1;
      lasts[slot] = time;
    },
    tally: (slot) => ({ count: counts[slot] as number, first: firsts[slot] as number, last: lasts[slot] as number }),
    overflow: () => overflow,
  };
}

function larger<T extends Uint32Array | Uint8Array | Float64Array>(from: T, to: T): T {
  to.set(from);
  return to;
}
