import { describe, expect, test } from 'vitest';
import { InputError } from '../../src/core/errors.ts';
import type { LogFormat } from '../../src/formats/log-format.ts';
import { createRandom, damaged } from './damage.ts';
import { inPieces, record, type Recording } from './recording-sink.ts';

const CUTS = [1, 2, 3, 7, 4096, 65_536, 1 << 20];

/** A small log of each format, for the others to refuse. */
export interface FormatSample {
  readonly name: string;
  readonly bytes: Uint8Array;
  /** Records that must come out. */
  readonly records: number;
  /** Files that lie beside it, by name, and its own name: for formats of several files. */
  readonly beside?: Readonly<Record<string, Uint8Array>>;
  readonly fileName?: string;
}

/** Reads a sample, or a changed one, with what lies beside it; `total` = bytes of all files that were opened. */
async function recordSample(format: LogFormat, { beside, fileName }: FormatSample, bytes: Uint8Array, pieces?: number): Promise<{ readonly recording: Recording; readonly total: number }> {
  let total = bytes.length;
  const context = {
    ...(fileName === undefined ? {} : { fileName }),
    beside: async (name: string) => {
      const found = beside?.[name];
      total += found?.length ?? 0;
      return found === undefined ? undefined : inPieces(found, pieces ?? found.length);
    },
  };
  const recording = await record(format, bytes, { ...(pieces === undefined ? {} : { pieces }), context });
  return { recording, total };
}

/** What every format promises (quality R1–R3, R7): the same answer however cut, every byte accounted for, damage never fatal. */
export function testFormatContract(format: LogFormat, samples: readonly FormatSample[], neighbours: readonly FormatSample[]): void {
  describe(`${format.meta.id}: format contract`, () => {
    test.each(samples)('$name: recognised, read, and the same for every cut', async (sample) => {
      const { bytes, records } = sample;
      expect(format.sniff(bytes.subarray(0, 65_536))).toBeGreaterThan(0.5);
      const { recording: whole, total } = await recordSample(format, sample, bytes);
      expect(whole.records).toBe(records);
      expectAccounted(whole, total);
      for (const pieces of CUTS) expect((await recordSample(format, sample, bytes, pieces)).recording, `pieces of ${pieces}`).toEqual(whole);
    });

    test.each(neighbours)("refuses a neighbour's log: $name", ({ bytes }) => {
      expect(format.sniff(bytes.subarray(0, 65_536))).toBeLessThan(0.5);
    });

    test('an empty file and random bytes are not recognised, and reading them gives nothing or a clear refusal', async () => {
      const random = createRandom(7);
      const noise = Uint8Array.from({ length: 3000 }, () => random(256));
      for (const bytes of [new Uint8Array(0), noise]) {
        expect(format.sniff(bytes)).toBe(0);
        const outcome = await readOrRefuse(format, { name: 'noise', bytes, records: 0 }, bytes);
        if (outcome instanceof InputError) continue;
        expect(outcome.recording.records).toBe(0);
        expectAccounted(outcome.recording, bytes.length);
      }
    });

    test.each(samples)('$name: cut short anywhere keeps every record before the cut', async (sample) => {
      const { bytes } = sample;
      const { recording: whole } = await recordSample(format, sample, bytes);
      for (let percent = 1; percent <= 100; percent += 3) {
        const size = Math.floor((bytes.length * percent) / 100);
        const read = await readOrRefuse(format, sample, bytes.subarray(0, size));
        if (read instanceof InputError) continue;
        const { recording: outcome, total } = read;
        expectAccounted(outcome, total);
        expect(outcome.rejected.length).toBeLessThanOrEqual(whole.rejected.length + 1);
        expect(outcome.frames).toEqual(whole.frames.slice(0, outcome.frames.length));
        expect(outcome.messages).toEqual(whole.messages.slice(0, outcome.messages.length));
        for (const [i, column] of outcome.columns.entries()) expect(column.samples).toEqual(whole.columns[i]?.samples.slice(0, column.samples.length));
      }
    });

    test.each(samples)('$name: damaged 300 ways is read or refused, never fatal, every byte accounted for', async (sample) => {
      const { bytes } = sample;
      const random = createRandom(20_26);
      for (let round = 0; round < 300; round += 1) {
        const bad = damaged(bytes, random);
        const outcome = await readOrRefuse(format, sample, bad);
        if (outcome instanceof InputError) continue;
        expectAccounted(outcome.recording, outcome.total);
        for (const { offset } of outcome.recording.rejected) expect(offset).toBeLessThan(outcome.total);
      }
    });
  });
}

export function expectAccounted(recording: Recording, total: number): void {
  const { accepted, rejected, ignored } = recording.bytes;
  expect(accepted + rejected + ignored).toBe(total);
}

async function readOrRefuse(format: LogFormat, sample: FormatSample, bytes: Uint8Array): Promise<Awaited<ReturnType<typeof recordSample>> | InputError> {
  try {
    return await recordSample(format, sample, bytes);
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
}
