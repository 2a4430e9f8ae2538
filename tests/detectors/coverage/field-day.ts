import type { Channel } from '../../../shared/channel.ts';
import { parseSetup } from '../../../shared/setup-file.ts';
import type { Machine, Setup } from '../../../shared/setup.ts';
import type { Unit } from '../../../shared/units.ts';
import type { TestDay } from '../../support/detector-tester.ts';
import { receive } from '../../support/world/gnss.ts';
import { loseRecords } from '../../support/world/log-loss.ts';
import { STEPS_PER_SECOND, STEP, TOWERS } from '../../support/world/machine.ts';
import { drive } from '../../support/world/path.ts';
import { dayLength, dayStart, type DayPlan } from '../../support/world/plan.ts';
import { createRandom } from '../../support/world/random.ts';
import { commandSections } from '../../support/world/sections.ts';
import { setupFile } from '../../support/world/setup-file.ts';
import { rollWheel } from '../../support/world/wheel.ts';

/** A day on which only positions, wheel, lift switch and sections were logged: quick to build, as the tests of the field want many. */
export interface FieldDay extends Partial<DayPlan> {
  /** What the setup says of the machine beyond what was planned. */
  readonly machine?: Partial<Machine>;
  readonly without?: readonly (keyof Machine)[];
  /** Channels that were logged; default all. */
  readonly logged?: RegExp;
  readonly change?: (channel: Channel) => Channel;
}

export function fieldDay({ machine = {}, without = [], logged = /./, change = (channel) => channel, ...day }: FieldDay, seed: number): TestDay {
  const plan: DayPlan = {
    id: 'field', title: 'field', date: '2031-05-03', from: '08:00', to: '11:00',
    tanks: { 1: { crop: 'wheat', target: 120, seedGrams: 38, start: 5000 } },
    agenda: [{ do: 'park', until: '08:05' }, { do: 'seed', until: day.to ?? '11:00' }],
    truth: () => ({ clean: true, expected: [], mustNot: [], may: [], exact: {} }),
    ...day,
  };
  const track = drive(plan, createRandom(seed, 'path'));
  const wheel = rollWheel(plan, track, createRandom(seed, 'wheel'));
  const gnss = receive(plan, track, createRandom(seed, 'gnss'));
  const commands = commandSections(plan, track, createRandom(seed, 'sections'));
  const seconds = Math.floor((track.steps - 1) / STEPS_PER_SECOND);
  const everySecond = Float64Array.from({ length: seconds + 1 }, (_, s) => s);
  const everyStep = Float64Array.from({ length: track.steps }, (_, i) => Math.round(i * STEP * 10) / 10);
  const perSecond = (values: ArrayLike<number>): Float64Array => everySecond.map((s) => values[s * STEPS_PER_SECOND] as number);
  const channels: Channel[] = [
    channel('tractor', 'gnss.lat', 'deg', everyStep, gnss.latitude),
    channel('tractor', 'gnss.lon', 'deg', everyStep, gnss.longitude),
    channel('tractor', 'gnss.speed', 'm/s', everyStep, Float64Array.from(gnss.speed)),
    channel('tractor', 'gnss.course', 'rad', everyStep, Float64Array.from(gnss.course)),
    channel('tractor', 'gnss.fix', '1', everySecond, perSecond(gnss.fix)),
    channel('tractor', 'gnss.hdop', '1', everySecond, perSecond(gnss.hdop)),
    channel('tractor', 'implement.working', '1', everySecond, perSecond(track.working)),
    channel('cart', 'wheel.pulses', 'count', everySecond, perSecond(wheel.pulses).map(Math.floor)),
    channel('cart', 'wheel.speed', 'm/s', everySecond, perSecond(wheel.indicated)),
    channel('cart', 'fan.1.speed', 'rpm', everySecond, everySecond.map((s) => 3600 + 25 * Math.sin(s))),
    ...TOWERS.map((_, k) => switched(`section.${k + 1}.on`, commands.edges[k] ?? [], seconds)),
  ];
  const read = parseSetup(setupFile(plan)).setup;
  const known = Object.fromEntries(Object.entries({ ...read.machine, ...machine }).filter(([key]) => !without.some((name) => name === key)));
  const setup: Setup = { ...read, machine: { towers: [], tanks: [], meters: [], fans: [], setAside: [], ...known } };
  return {
    channels: loseRecords(plan, channels.filter(({ id }) => logged.test(id)).map(change), createRandom(seed, 'loss')),
    dayStart: dayStart(plan), duration: dayLength(plan), setup,
  };
}

/** A state sent on change and repeated every second. */
function switched(id: string, edges: readonly { readonly time: number; readonly on: boolean }[], seconds: number): Channel {
  const rows: (readonly [time: number, value: number])[] = edges.filter(({ time }) => time > 0 && time <= seconds).map(({ time, on }) => [time, on ? 1 : 0]);
  let next = 0;
  for (let s = 0; s <= seconds; s++) {
    while (next < edges.length && (edges[next]?.time ?? Infinity) <= s) next++;
    rows.push([s, edges[next - 1]?.on === true ? 1 : 0]);
  }
  rows.sort((a, b) => a[0] - b[0]);
  return channel('cart', id, '1', Float64Array.from(rows, ([time]) => time), Float64Array.from(rows, ([, value]) => value));
}

const channel = (file: string, id: string, unit: Unit, time: Float64Array, value: Float64Array): Channel => ({ id, unit, source: { file: `${file}.csv`, column: id }, time, value });
