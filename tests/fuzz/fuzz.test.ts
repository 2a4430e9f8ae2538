import { describe, expect, test } from 'vitest';
import { formats } from '../../src/formats/registry.ts';
import { createRandom } from '../formats/damage.ts';
import { readAccounted } from './accounting.ts';
import { campaign, targets } from './campaign.ts';
import { mutated } from './mutation.ts';

/* The short version of `npm run fuzz`. */

describe('damaged in bulk: no uncaught exception, no unaccounted byte', () => {
  test('every format is damaged', () => {
    expect(targets.map(({ id }) => id).sort()).toEqual(formats.map(({ meta }) => meta.id).sort());
  });

  test.each(targets)('$id', async (target) => {
    const count = target.kind === 'lines' ? 8000 : 400;
    expect(await campaign(target, count, 2026)).toBeGreaterThanOrEqual(count);
  });

  test('the same seed gives the same damage, another one other damage', () => {
    const bytes = Uint8Array.from({ length: 200 }, (_, i) => i);
    const made = (seed: number): string => Buffer.from(mutated(bytes, bytes, createRandom(seed))).toString('hex');
    expect(made(5)).toBe(made(5));
    expect(new Set(Array.from({ length: 50 }, (_, seed) => made(seed))).size).toBeGreaterThan(45);
  });

  test('a reader that loses bytes is caught', async () => {
    const careless = { meta: { id: 'careless', title: '' }, sniff: () => 0, read: async (_: unknown, sink: { accepted: (bytes: number, records: number) => void }) => sink.accepted(1, 1) };
    await expect(readAccounted(careless, new Uint8Array(10))).rejects.toThrow('1 of 10 bytes');
  });
});
