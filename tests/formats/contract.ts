import { describe, expect, test } from 'vitest';
import { InputError } from '../../src/core/errors.ts';
import type { LogFormat } from '../../src/formats/log-format.ts';
import { createRandom, damaged } from './damage.ts';
import { record, type Recording } from './recording-sink.ts';

const CUTS = [1, 2, 3, 7, 4096, 65_536, 1 << 20];

/** A small log of each format, for the others to refuse. */
export interface FormatSample {
  readonly name: string;
  readonly bytes: Uint8Array;
  /** Records that must come out. */
  readonly records: number;
}

/** What every format promises (quality R1–R3, R7): the same answer however cut, every byte accounted for, damage never fatal. */
export function testFormatContract(format: LogFormat, samples: readonly FormatSample[], neighbours: readonly FormatSample[]): void {
  describe(`${format.meta.id}: format contract`, () => {
    test.each(samples)('$name: recognised, read, and the same for every cut', async ({ bytes, records }) => {
      expect(format.sniff(bytes.subarray(0, 65_536))).toBeGreaterThan(0.5);
      const whole = await record(format, bytes);
      expect(whole.records).toBe(records);
      expectAccounted(whole, bytes.length);
      for (const pieces of CUTS) expect(await record(format, bytes, { pieces }), `pieces of ${pieces}`).toEqual(whole);
    });

    test.each(neighbours)("refuses a neighbour's log: $name", ({ bytes }) => {
      expect(format.sniff(bytes.subarray(0, 65_536))).toBeLessThan(0.5);
    });

    test('an empty file and random bytes are not recognised, and reading them gives nothing or a clear refusal', async () => {
      const random = createRandom(7);
      const noise = Uint8Array.from({ length: 3000 }, () => random(256));
      for (const bytes of [new Uint8Array(0), noise]) {
        expect(format.sniff(bytes)).toBe(0);
        const outcome = await readOrRefuse(format, bytes);
        if (outcome instanceof InputError) continue;
        expect(outcome.records).toBe(0);
        expectAccounted(outcome, bytes.length);
      }
    });

    test.each(samples)('$name: cut short anywhere keeps every record before the cut', async ({ bytes }) => {
      const whole = await record(format, bytes);
      for (let percent = 1; percent <= 100; percent += 3) {
        const size = Math.floor((bytes.length * percent) / 100);
        const outcome = await readOrRefuse(format, bytes.subarray(0, size));
        if (outcome instanceof InputError) continue;
        expectAccounted(outcome, size);
        expect(outcome.rejected.length).toBeLessThanOrEqual(whole.rejected.length + 1);
        expect(outcome.frames).toEqual(whole.frames.slice(0, outcome.frames.length));
        expect(outcome.messages).toEqual(whole.messages.slice(0, outcome.messages.length));
        for (const [i, column] of outcome.columns.entries()) expect(column.samples).toEqual(whole.columns[i]?.samples.slice(0, column.samples.length));
      }
    });

    test.each(samples)('$name: damaged 300 ways is read or refused, never fatal, every byte accounted for', async ({ bytes }) => {
      const random = createRandom(20_26);
      for (let round = 0; round < 300; round += 1) {
        const bad = damaged(bytes, random);
        const outcome = await readOrRefuse(format, bad);
        if (outcome instanceof InputError) continue;
        expectAccounted(outcome, bad.length);
        for (const { offset } of outcome.rejected) expect(offset).toBeLessThan(bad.length);
      }
    });
  });
}

export function expectAccounted(recording: Recording, total: number): void {
  const { accepted, rejected, ignored } = recording.bytes;
  expect(accepted + rejected + ignored).toBe(total);
}

async function readOrRefuse(format: LogFormat, bytes: Uint8Array): Promise<Recording | InputError> {
  try {
    return await record(format, bytes);
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
}
