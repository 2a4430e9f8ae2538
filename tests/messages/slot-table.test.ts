import { describe, expect, test } from 'vitest';
import { createSlotTable } from '../../src/messages/slot-table.ts';
import { seeded } from './bus-lines.ts';

describe('slots by identifier and bus', () => {
  test('the same pair gets the same slot, and no other pair does, over many growths', () => {
    const table = createSlotTable();
    const random = seeded(3);
    const known = new Map<string, number>();
    for (let n = 0; n < 200_000; n++) {
      const id = (Math.floor(random() * 9000) * 65_537) >>> 0;
      const bus = Math.floor(random() * 3);
      const slot = table.slot(id, bus);
      const key = `${id}/${bus}`;
      if (known.has(key) && known.get(key) !== slot) throw new Error(`${key} moved`);
      known.set(key, slot);
      table.count(slot, n);
    }
    expect(new Set(known.values()).size).toBe(known.size);
    expect(table.size()).toBe(known.size);
    expect([...known].every(([key, slot]) => key === `${table.id(slot)}/${table.bus(slot)}`)).toBe(true);
    expect([...known.values()].reduce((sum, slot) => sum + table.tally(slot).count, 0)).toBe(200_000);
  });

  test('a full table takes no more and says how many it turned away', () => {
    const table = createSlotTable(2);
    expect([table.slot(1, 0), table.slot(2, 0), table.slot(3, 0), table.slot(1, 0), table.slot(4, 0)]).toEqual([0, 1, -1, 0, -1]);
    expect(table.overflow()).toBe(2);
  });

  test('first and last time', () => {
    const table = createSlotTable();
    const slot = table.slot(5, 1);
    expect(table.tally(slot)).toEqual({ count: 0, first: Number.NaN, last: Number.NaN });
    [3, 7, 9].forEach((time) => table.count(slot, time));
    expect(table.tally(slot)).toEqual({ count: 3, first: 3, last: 9 });
  });
});
