import { closeSync, openSync, writeSync } from 'node:fs';
import { createRandom } from '../formats/damage.ts';

/** Of a busy implement bus: 40 million in 12 hours. */
const FRAMES_PER_SECOND = 926;
const START = 1_746_532_800;
const RUNS = 60;
const RUNS_PER_MESSAGE = 3;
const FRAMES_PER_WRITE = 20_000;

/**
 * Writes a bus day as candump lines, made piece by piece: speeds, positions, engine, fans and 60 run counts of one seeding rig,
 * among other traffic. Returns the bytes written. 40 million frames are 12 hours and 2 GB.
 */
export function writeBusDay(file: string, frames: number): number {
  const random = createRandom(12);
  const hex = (value: number, digits: number): string => (value >>> 0).toString(16).toUpperCase().padStart(digits, '0').slice(-digits);
  const little = (value: number): string => hex((value & 0xff) << 8 | (value >>> 8) & 0xff, 4);
  const random8 = (): string => `${hex(random(0x7fffffff), 8)}${hex(random(0x7fffffff), 8)}`;
  const schedule = scheduled([
    [10, () => `0CFE4822#${little(2500 + random(60))}FFFFFFFFFFFF`],
    [10, () => `0CFE4922#${little(2480 + random(60))}FFFFFFFFFFFF`],
    [50, () => `0CF00400#F87D7D${little(14_400 + random(80))}FFFFFF`],
    [10, () => `09F8011C#${little(random(0xffff))}E81D${little(random(0xffff))}A7C1`],
    [4, () => `09F8021C#FFFC5C3D${little(250 + random(5))}FFFF`],
    ...Array.from({ length: RUNS / RUNS_PER_MESSAGE }, (_, i): Scheduled => [5, () => `18FF4127#${hex(i, 2)}${little(3000 + random(100))}${little(3000 + random(100))}${little(3000 + random(100))}FF`]),
    /* Traffic from which nothing is read. */
    ...Array.from({ length: 40 }, (_, i): Scheduled => [18, () => `18FF${hex(0x50 + i, 2)}0${hex(i, 1)}#${random8()}`]),
    [22, () => `0CF00300#${random8()}`],
  ]);
  const target = openSync(file, 'w');
  let size = 0;
  try {
    for (let first = 0; first < frames; first += FRAMES_PER_WRITE) {
      const lines: string[] = [];
      for (let i = first; i < Math.min(frames, first + FRAMES_PER_WRITE); i += 1) {
        const micro = Math.floor(i * (1e6 / FRAMES_PER_SECOND));
        const message = schedule[i % schedule.length] as () => string;
        lines.push(`(${START + Math.floor(micro / 1e6)}.${String(micro % 1e6).padStart(6, '0')}) can${i & 1} ${message()}\n`);
      }
      size += writeSync(target, lines.join(''));
    }
  } finally {
    closeSync(target);
  }
  return size;
}

type Scheduled = readonly [perSecond: number, message: () => string];

/** One second of traffic, each message spread evenly over it. */
function scheduled(messages: readonly Scheduled[]): readonly (() => string)[] {
  return messages.flatMap(([perSecond, message], n) => Array.from({ length: perSecond }, (_, i) => ({ at: (i + n / messages.length) / perSecond, message })))
    .sort((a, b) => a.at - b.at).map(({ message }) => message);
}

/** signals.json of the runs, three to a message. */
export function busDaySignals(): string {
  return JSON.stringify({
    signals: Array.from({ length: RUNS }, (_, i) => ({
      channel: `run.${i + 1}.count`, unit: '1/s', pgn: 65_345, startBit: 8 + (i % RUNS_PER_MESSAGE) * 16, length: 16, factor: 0.01,
      selector: { startBit: 0, length: 8, equals: Math.floor(i / RUNS_PER_MESSAGE) },
    })),
  });
}
