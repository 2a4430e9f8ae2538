import { createWriteStream } from 'node:fs';
import { once } from 'node:events';

/* A 10-hour day at 5 Hz in 110 columns, about 20 million samples: dull on purpose, only its size matters. */

export const HOURS = 10;
const RATE = 5;
const RUNS = 60;
const FIRST = Date.UTC(2026, 4, 6, 7, 0, 0) / 1000;
/** s */
const PASS = 360;
const TURN = 24;
const SPEED = 2.2;
const WIDTH = 18.288;
/** deg per m near the equator, by the mean radius of the Earth. */
const DEGREE = 1 / 111_195;

/** Columns that hold no more than noise round a level: `[heading, level, spread, decimals]`. */
const PLAIN: readonly (readonly [string, number, number, number])[] = [
  ...Array.from({ length: RUNS }, (_, k) => [`run.${k + 1}.count [1/s]`, 180, 13, 0] as const),
  ['wheel.speed [m/s]', SPEED, 0.03, 3], ['gnss.speed [m/s]', SPEED, 0.03, 3], ['ground.speed [m/s]', SPEED, 0.05, 3], ['drive.speed [m/s]', SPEED * 1.05, 0.03, 3],
  ['fan.1.speed [rpm]', 3600, 20, 0], ['fan.2.speed [rpm]', 4200, 20, 0], ['meter.1.speed [rpm]', 38, 0.3, 2], ['meter.2.speed [rpm]', 21, 0.3, 2], ['meter.1.target [kg/ha]', 120, 0, 0],
  ['engine.speed [rpm]', 1900, 12, 0], ['oil.temperature [°C]', 62, 0.4, 1], ['air.temperature [°C]', 18, 0.2, 1], ['pitch [deg]', 0.6, 0.4, 2], ['roll [deg]', -0.3, 0.4, 2],
  ['tank.2.mass [kg]', 1400, 6, 0], ['tank.3.mass [kg]', 0, 4, 0], ['tank.1.pressure [kPa]', 3.4, 0.05, 2], ['tank.2.pressure [kPa]', 3.1, 0.05, 2], ['gnss.hdop', 0.8, 0.05, 2], ['gnss.sats', 17, 1, 0],
  ...Array.from({ length: 20 }, (_, k) => [`run.${RUNS + k + 1}.count [1/s]`, 60, 8, 0] as const),
];
const MOVING: readonly string[] = ['gnss.lat [deg]', 'gnss.lon [deg]', 'tank.1.mass [kg]', 'implement.working', 'section.1.on', 'section.2.on', 'section.3.on', 'section.4.on', 'section.5.on', 'section.6.on'];

export const COLUMNS = PLAIN.length + MOVING.length;

/** Writes the log; resolves with its number of samples. */
export async function writeLongDay(file: string): Promise<number> {
  const out = createWriteStream(file);
  const pools = PLAIN.map(([, level, spread, decimals], k) => Array.from({ length: 997 }, (_, i) => (level + spread * wave(i * 7.13 + k)).toFixed(decimals)));
  const idle = PLAIN.map(([heading, level, , decimals]) => (/temperature|hdop|sats|engine|tank|pitch|roll/.test(heading) ? level : 0).toFixed(decimals));
  out.write(`time,${[...PLAIN.map(([heading]) => heading), ...MOVING].join(',')}\n`);
  const rows = HOURS * 3600 * RATE;
  let mass = 6000;
  for (let start = 0; start < rows; start += 2000) {
    const lines: string[] = [];
    for (let row = start; row < Math.min(rows, start + 2000); row++) {
      const t = row / RATE;
      const pass = Math.floor(t / (PASS + TURN));
      const into = t - pass * (PASS + TURN);
      const works = into < PASS && t % 14_400 > 900;
      if (works) mass -= (0.012 * SPEED * WIDTH) / RATE;
      if (mass < 300) mass = 6000;
      const along = Math.min(into, PASS) * SPEED;
      const north = pass % 2 === 0 ? along : PASS * SPEED - along;
      const east = (pass + (into > PASS ? (into - PASS) / TURN : 0)) * WIDTH;
      const plain = works ? pools.map((pool, k) => pool[(row * 31 + k * 17) % 997]) : idle;
      const on = works ? 1 : 0;
      lines.push(`${new Date((FIRST + t) * 1000).toISOString()},${plain.join(',')},${(0.5 + north * DEGREE).toFixed(7)},${(20 + east * DEGREE).toFixed(7)},${mass.toFixed(0)},${on},${on},${on},${on},${on},${on},${on}\n`);
    }
    if (!out.write(lines.join(''))) await once(out, 'drain');
  }
  out.end();
  await once(out, 'finish');
  return rows * COLUMNS;
}

/** Noise enough: a few waves that do not repeat together. */
const wave = (x: number): number => (Math.sin(x) + Math.sin(2.3 * x + 1) + Math.sin(5.9 * x + 2)) / 1.7;

export const LONG_DAY_SETUP = {
  machine: {
    name: 'Drill of the bench', workingWidth: `${WIDTH} m`, rowSpacing: '0.3048 m',
    towers: ['A', 'B', 'C', 'D', 'E', 'F'].map((id, k) => ({ id, runs: `${k * 10 + 1}-${k * 10 + 10}`, section: String(k + 1) })),
    tanks: [{ id: '1', meter: '1', capacity: '6500 kg' }], meters: [{ id: '1', massPerTurn: '0.62 kg' }],
  },
  job: { products: [{ tank: '1', name: 'wheat', targetRate: '120 kg/ha', counted: true, fan: '1', fanFloor: '3200 rpm' }] },
};
