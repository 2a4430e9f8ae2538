import type { Channel } from '../../../shared/channel.ts';
import { emptySetup } from '../../../shared/setup.ts';
import type { Unit } from '../../../shared/units.ts';
import { createRandom } from '../../../src/series/random.ts';
import type { TestDay } from '../../support/detector-tester.ts';

/**
 * Six passes of 200 s with 25 s turns: a short day that shares no code with the synthetic farm. Noise (common practice, no source):
 * slip an Ornstein–Uhlenbeck process, GNSS speed white, whole pulses each second.
 */
export interface ShortDay {
  readonly factor: number;
  readonly slip: number;
  readonly memory: number;
  readonly passes?: number;
  readonly passSeconds?: number;
  readonly gnssNoise?: number;
  /** Share of the time in one-sided slip bursts of 3–12 %, 5–20 s long. */
  readonly bursts?: number;
}

const STEP = 0.2;
const CONSTANT = 20;

export function shortDay({ factor, slip, memory, passes = 6, passSeconds = 200, gnssNoise = 0.035, bursts = 0 }: ShortDay, seed: number): TestDay {
  const random = createRandom(seed);
  const lap = passSeconds + 25;
  const steps = Math.round((passes * lap) / STEP);
  const [gnssTime, gnssSpeed, course, pulses, working] = [new Float64Array(steps), new Float64Array(steps), new Float64Array(steps), [] as number[], [] as number[]];
  let [burst, burstEnd] = [0, -1];
  let [count, wander] = [0, slip * random.normal()];
  const keep = Math.exp(-STEP / memory);
  for (let i = 0; i < steps; i++) {
    const time = i * STEP;
    const within = time % lap;
    const turning = within >= passSeconds;
    const speed = turning ? 1.6 : 2.22 + 0.05 * Math.sin(time / 37);
    const side = Math.floor(time / lap) % 2;
    course[i] = Math.PI * (side + (turning ? (within - passSeconds) / 25 : 0));
    gnssTime[i] = time;
    gnssSpeed[i] = Math.round((speed + gnssNoise * random.normal()) * 100) / 100;
    if (i % 5 === 0) {
      pulses.push(Math.floor(count));
      working.push(turning ? 0 : 1);
    }
    wander = wander * keep + slip * Math.sqrt(1 - keep * keep) * random.normal();
    if (time > burstEnd) burst = 0;
    if (burst === 0 && random.next() < (bursts / (1 - bursts)) * (STEP / 12.5)) {
      burst = 0.03 + 0.09 * random.next();
      burstEnd = time + 5 + 15 * random.next();
    }
    count += speed * STEP * CONSTANT * factor * (1 + wander - burst);
  }
  const seconds = Float64Array.from(pulses, (_, s) => s);
  return {
    channels: [
      channel('gnss.speed', 'm/s', gnssTime, gnssSpeed), channel('gnss.course', 'rad', gnssTime, course),
      channel('wheel.pulses', 'count', seconds, Float64Array.from(pulses)), channel('implement.working', '1', seconds, Float64Array.from(working)),
    ],
    setup: { ...emptySetup, machine: { ...emptySetup.machine, wheel: { constant: { pulsesPerMetre: CONSTANT, entered: '20.00 pulses/m', form: 'pulses/m', decimals: 2 } } } },
  };
}

const channel = (id: string, unit: Unit, time: Float64Array, value: Float64Array): Channel => ({ id, unit, source: { file: 'short.csv', column: id }, time, value });
