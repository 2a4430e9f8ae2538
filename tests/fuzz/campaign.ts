import { formats } from '../../src/formats/registry.ts';
import type { LogFormat } from '../../src/formats/log-format.ts';
import { createRandom } from '../formats/damage.ts';
import type { FormatSample } from '../formats/contract.ts';
import { samples } from '../formats/samples.ts';
import { readAccounted } from './accounting.ts';
import { mutated } from './mutation.ts';

/** What is damaged: lines of a text format many to a file, or whole files of a binary one. */
export interface Target {
  readonly id: string;
  readonly kind: 'lines' | 'files';
}

const SAMPLES: Readonly<Record<string, FormatSample>> = {
  candump: samples.candump, 'candump-spaced': samples.spaced, csv: samples.csv, 'n2k-text': samples.plainN2k, pcap: samples.pcap, pcapng: samples.pcapng, taskdata: samples.taskdata,
};
const BINARY = new Set(['pcap', 'pcapng', 'taskdata']);
const LINES_PER_FILE = 400;

export const targets: readonly Target[] = formats.map(({ meta }) => ({ id: meta.id, kind: BINARY.has(meta.id) ? 'files' : 'lines' }));

/** How far a campaign is, so that a watchdog can tell work from a hang and name the input. */
export interface Progress {
  readonly id: string;
  readonly round: number;
  readonly bytes: number;
}

/** Damages `count` lines or files of one format, from `seed` on; throws with the round that breaks a promise. Returns the number done. */
export async function campaign({ id, kind }: Target, count: number, seed: number, onRound: (progress: Progress) => void = () => undefined): Promise<number> {
  const format = formats.find(({ meta }) => meta.id === id);
  const sample = SAMPLES[id];
  if (format === undefined || sample === undefined) throw new Error(`no sample of ${id}`);
  const others = Object.values(SAMPLES).map(({ bytes }) => bytes);
  let done = 0;
  for (let round = 0; done < count; round += 1) {
    const random = createRandom(seed + round * 7919);
    const other = others[random(others.length)] as Uint8Array;
    const { bytes, beside, size } = kind === 'lines' ? damagedLines(sample, other, random) : damagedFile(sample, other, random);
    onRound({ id, round, bytes: bytes.length });
    await read(format, bytes, beside, round, seed, random(4) === 0 ? 7 : 65_536);
    done += size;
  }
  return done;
}

async function read(format: LogFormat, bytes: Uint8Array, beside: Readonly<Record<string, Uint8Array>>, round: number, seed: number, pieces: number): Promise<void> {
  try {
    await readAccounted(format, bytes, beside, pieces);
  } catch (error) {
    throw new Error(`${format.meta.id}, seed ${seed}, round ${round}: ${error instanceof Error ? error.message : String(error)}`, { cause: error });
  }
}

interface Input {
  readonly bytes: Uint8Array;
  readonly beside: Readonly<Record<string, Uint8Array>>;
  /** Lines or files damaged. */
  readonly size: number;
}

function damagedLines(sample: FormatSample, other: Uint8Array, random: (below: number) => number): Input {
  const lines = Buffer.from(sample.bytes).toString('latin1').split(/(?<=\n)/);
  const file = Array.from({ length: LINES_PER_FILE }, () => mutated(Buffer.from(lines[random(lines.length)] ?? '', 'latin1'), other, random));
  /* A format that needs its first line, as CSV does, gets it whole half of the time. */
  const head = random(2) === 0 ? [Buffer.from(lines[0] ?? '', 'latin1')] : [];
  return { bytes: new Uint8Array(Buffer.concat([...head, ...file])), beside: {}, size: LINES_PER_FILE };
}

function damagedFile(sample: FormatSample, other: Uint8Array, random: (below: number) => number): Input {
  const names = Object.keys(sample.beside ?? {});
  const which = random(names.length + 1);
  const hit = names[which];
  const beside = { ...sample.beside };
  if (hit !== undefined) beside[hit] = mutated(beside[hit] ?? new Uint8Array(0), other, random);
  return { bytes: hit === undefined ? mutated(sample.bytes, other, random) : sample.bytes, beside, size: 1 };
}
