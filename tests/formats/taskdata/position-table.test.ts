import { describe, expect, test } from 'vitest';
import type { LogSink } from '../../../src/formats/log-format.ts';
import { createPositionTable } from '../../../src/formats/taskdata/position-table.ts';

/** Offsets of the receiver's clock and notes, for records whose GNSS date and time are `ahead` seconds ahead of their own. */
function offsets(...ahead: readonly number[]): { readonly offsets: readonly number[]; readonly notes: readonly string[] } {
  const start = Date.UTC(2026, 4, 6, 23, 59) / 1000;
  const found: number[] = [];
  const notes: string[] = [];
  const sink = { table: () => ({ rows: (_times: unknown, columns: readonly Float64Array[]) => void found.push(columns[5]?.[0] ?? Number.NaN) }), note: (sentence: string) => void notes.push(sentence) };
  const table = createPositionTable(sink as unknown as LogSink);
  for (const by of ahead) {
    const gnss = start + by - Date.UTC(1980, 0, 1) / 1000;
    table.push(start, { H: (gnss % 86_400) * 1000, I: Math.floor(gnss / 86_400) });
  }
  return { offsets: found, notes };
}

describe('the receiver’s clock against the record’s own', () => {
  test.each([0, 2, -27, 90, 3700, -21_600, 43_200, 2 * 86_400, -90 * 86_400, 86_400 + 7000, 14 * 3600, -12 * 3600])('%d s ahead is that offset', (ahead) => {
    expect(offsets(ahead)).toEqual({ offsets: [ahead], notes: [] });
  });

  test('one whole day apart at the same time of day, but for a zone, is a day counted wrongly: the own date stays, and that is said once', () => {
    expect(offsets(-86_400 + 27, -86_400 - 18_000 + 28, 86_400 - 3)).toEqual({ offsets: [27, -18_000 + 28, -3], notes: [expect.stringContaining('one whole day away from its own date')] });
  });
});
