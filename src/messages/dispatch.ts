import { parseIdentifier } from './identifier.ts';
import type { MessageHandler } from './message-handler.ts';
import { createSlotTable, type SlotTable } from './slot-table.ts';

/** Brings each record to the handler prepared for its identifier and bus, and counts it. */
export interface Dispatch {
  readonly handle: (id: number, bus: number, times: Float64Array, i: number, data: Uint8Array, at: number, length: number) => void;
  /** The senders behind these addresses changed: what comes from them or goes to them is prepared anew. */
  readonly renew: (bus: number, addresses: readonly number[]) => void;
  readonly table: SlotTable;
  readonly handler: (slot: number) => MessageHandler | undefined;
}

export function createDispatch(prepare: (id: number, bus: number) => MessageHandler | undefined): Dispatch {
  const table = createSlotTable();
  const handlers: (MessageHandler | undefined)[] = [];
  /* Slots by bus and address, so that a claim touches no others. */
  const slotsOf = new Map<number, number[]>();

  const index = (bus: number, address: number, slot: number): void => {
    const key = bus * 256 + address;
    const slots = slotsOf.get(key);
    if (slots === undefined) slotsOf.set(key, [slot]);
    else slots.push(slot);
  };
  const add = (id: number, bus: number, slot: number): void => {
    const parts = parseIdentifier(id);
    if (parts !== undefined) {
      index(bus, parts.source, slot);
      if (parts.destination !== parts.source) index(bus, parts.destination, slot);
    }
    handlers.push(prepare(id, bus));
  };

  return {
    handle: (id, bus, times, i, data, at, length) => {
      const slot = table.slot(id, bus);
      if (slot < 0) return;
      if (slot === handlers.length) add(id, bus, slot);
      table.count(slot, times[i] as number);
      const handler = handlers[slot];
      if (handler !== undefined) handler(times, i, data, at, length);
    },
    renew: (bus, addresses) => {
      for (const address of addresses) {
        for (const slot of slotsOf.get(bus * 256 + address) ?? []) handlers[slot] = prepare(table.id(slot), bus);
      }
    },
    table,
    handler: (slot) => handlers[slot],
  };
}
