import type { Fault } from '../support/world/faults.ts';
import type { DayPlan } from '../support/world/plan.ts';
import { createRandom, type Random } from '../support/world/random.ts';
import { near, type ExpectedFinding, type Truth } from '../support/world/truth.ts';
import { faultTruth, workHours, workday } from '../support/world/days/workday.ts';

/* Days nobody has looked at: one to three faults drawn from a list, of a size and at a moment drawn too. */

interface Drawn {
  readonly words: string;
  readonly faults: readonly Fault[];
  readonly plan?: Partial<DayPlan>;
  readonly expected: readonly ExpectedFinding[];
  readonly may?: Truth['may'];
}

interface Recipe {
  /** Faults of one domain hide each other, and are not drawn together. */
  readonly domain: 'run' | 'tower' | 'wheel' | 'fan' | 'scale' | 'rate' | 'position' | 'section';
  readonly draw: (random: Random) => Drawn;
}

const TOWERS = 'ABCDEF';
const DAY_START = 8 * 3600;
const clock = (second: number): string => new Date((DAY_START + second) * 1000).toISOString().slice(11, 19);
const whole = (random: Random, low: number, high: number): number => Math.floor(random.between(low, high + 1));
/** s; while seeding, some minutes after a start and well before the end. */
const whileSeeding = (random: Random): number => Math.round(random.uniform() < 0.5 ? random.between(2400, 9600) : random.between(13_200, 16_800));
const eitherSide = (random: Random, low: number, high: number): number => (random.uniform() < 0.5 ? -1 : 1) * random.between(low, high);

export const recipes: readonly Recipe[] = [
  { domain: 'run', draw: (random) => {
    const [run, at, fade] = [whole(random, 1, 60), whileSeeding(random), random.between(1, 10)];
    return { words: `run ${run} blocked`, faults: [{ kind: 'run-loss', run, loss: 1, fade, from: clock(at) }], expected: [{ codes: ['run.blocked'], subject: `run.${run}`, start: near(at, 45), severityAtLeast: 'action' }] };
  } },
  { domain: 'run', draw: (random) => {
    const [run, at, loss] = [whole(random, 1, 60), whileSeeding(random), random.between(0.3, 0.8)];
    return { words: `run ${run} loses ${loss.toFixed(2)}`, faults: [{ kind: 'run-loss', run, loss, fade: 3, from: clock(at) }], expected: [{ codes: ['run.restricted'], subject: `run.${run}`, start: near(at, 240), severityAtLeast: 'watch' }] };
  } },
  { domain: 'run', draw: (random) => {
    const [run, at] = [whole(random, 1, 60), whileSeeding(random)];
    return { words: `sensor ${run} silent`, faults: [{ kind: 'run-silent', runs: [run, run], missing: random.uniform() < 0.5, from: clock(at) }], expected: [{ codes: ['run.sensor-silent'], subject: `run.${run}`, start: near(at, 45), severityAtLeast: 'watch' }] };
  } },
  { domain: 'run', draw: (random) => {
    const [run, gain] = [whole(random, 1, 60), random.between(0.5, 0.75)];
    return { words: `sensor ${run} dirty to ${gain.toFixed(2)}`, faults: [{ kind: 'run-gain', run, gain, drift: 7200, from: clock(2400) }], expected: [{ codes: ['run.sensor-dirty'], subject: `run.${run}`, severityAtLeast: 'info' }] };
  } },
  { domain: 'tower', draw: (random) => {
    const [tower, at, left] = [whole(random, 1, 6), whileSeeding(random), random.between(0.3, 0.85)];
    return { words: `tower ${TOWERS[tower - 1]} keeps ${left.toFixed(2)}`, faults: [{ kind: 'tower-loss', tower, left, fade: 40, from: clock(at) }], expected: [{ codes: ['tower.low', 'tower.blocked'], subject: `tower.${TOWERS[tower - 1]}`, start: near(at, 240), severityAtLeast: 'watch' }] };
  } },
  { domain: 'wheel', draw: (random) => {
    const factor = 1 + eitherSide(random, 0.015, 0.08);
    return { words: `wheel × ${factor.toFixed(3)}`, faults: [{ kind: 'wheel-factor', factor }], expected: [{ codes: ['speed.calibration-off'], subject: 'wheel', measure: near(factor, 0.008), severityAtLeast: 'watch' }], may: [{ code: 'rate\\.off-target' }] };
  } },
  { domain: 'wheel', draw: (random) => {
    const [factor, at] = [1 + eitherSide(random, 0.02, 0.08), whileSeeding(random)];
    return { words: `wheel × ${factor.toFixed(3)} from ${clock(at)}`, faults: [{ kind: 'wheel-factor', factor, from: clock(at) }], expected: [{ codes: ['speed.calibration-shift'], subject: 'wheel', start: near(at, 300), severityAtLeast: 'watch' }], may: [{ code: 'rate\\..*' }, { code: 'speed\\.calibration-off' }] };
  } },
  { domain: 'wheel', draw: (random) => {
    const at = whileSeeding(random);
    return { words: 'wheel pulses missing', faults: [{ kind: 'wheel-dropout', burst: random.between(2, 5), every: random.between(30, 90), from: clock(at) }], expected: [{ codes: ['speed.pulses-missing'], subject: 'wheel', start: near(at, 400), severityAtLeast: 'watch' }], may: [{ code: 'speed\\..*' }, { code: 'rate\\..*' }] };
  } },
  { domain: 'fan', draw: (random) => {
    const [at, rpm] = [whileSeeding(random), random.between(2600, 3120)];
    return { words: `fan at ${rpm.toFixed(0)}`, faults: [{ kind: 'fan-slow', fan: 1, rpm, from: clock(at) }], expected: [{ codes: ['fan.below-floor'], subject: 'fan.1', start: near(at, 120), measure: near(rpm, 60), severityAtLeast: 'watch' }] };
  } },
  { domain: 'fan', draw: (random) => {
    const at = whileSeeding(random);
    return { words: 'fan hunts', faults: [{ kind: 'fan-hunting', fan: 1, amplitude: random.between(200, 400), period: random.between(2.5, 9.5), from: clock(at) }], expected: [{ codes: ['fan.unsteady'], subject: 'fan.1', start: near(at, 300), severityAtLeast: 'watch' }], may: [{ code: 'fan\\.below-floor' }] };
  } },
  { domain: 'scale', draw: (random) => {
    const kg = eitherSide(random, 120, 500);
    return { words: `scale jumps ${kg.toFixed(0)} kg`, faults: [{ kind: 'scale-offset', tank: 1, kg, from: clock(12_300) }], expected: [{ codes: ['scale.zero-moved'], subject: 'tank.1', start: near(12_300, 120), measure: near(kg, Math.max(25, 0.1 * Math.abs(kg))), severityAtLeast: 'watch' }] };
  } },
  { domain: 'scale', draw: (random) => {
    const factor = 1 + eitherSide(random, 0.03, 0.1);
    return { words: `scale span ${factor.toFixed(3)}`, faults: [{ kind: 'scale-span', tank: 1, factor }], expected: [{ codes: ['scale.span-off'], subject: 'tank.1', measure: near(factor, 0.02), severityAtLeast: 'watch' }], may: [{ code: 'rate\\..*' }] };
  } },
  { domain: 'rate', draw: (random) => {
    const factor = 1 + eitherSide(random, 0.06, 0.15);
    return { words: `kg per turn entered × ${factor.toFixed(3)}`, faults: [], plan: { tanks: { 1: { crop: 'wheat', target: 120, seedGrams: 38, start: 0, enteredFactor: factor } } }, expected: [{ codes: ['rate.off-target'], subject: 'tank.1', severityAtLeast: 'watch' }] };
  } },
  { domain: 'rate', draw: (random) => {
    const factor = 1 + eitherSide(random, 0.07, 0.15);
    return { words: `kg per turn × ${factor.toFixed(3)} after the fill`, faults: [{ kind: 'mass-per-turn', tank: 1, factor, from: '11:30' }], expected: [{ codes: ['rate.mass-per-turn-step'], subject: 'tank.1', start: near(12_600, 900), measure: near(factor, 0.03), severityAtLeast: 'watch' }], may: [{ code: 'rate\\.off-target' }] };
  } },
  { domain: 'position', draw: (random) => {
    const at = whileSeeding(random);
    const minutes = whole(random, 3, 12);
    return { words: `logs silent for ${minutes} min`, faults: (['cart', 'tractor'] as const).map((file): Fault => ({ kind: 'log-gap', file, from: clock(at), to: clock(at + minutes * 60) })), expected: [{ codes: ['log.gap'], subject: '.*', start: near(at, 5), measure: near(minutes * 60, 5), severityAtLeast: 'info' }] };
  } },
  { domain: 'section', draw: (random) => {
    const [section, at] = [whole(random, 1, 6), whileSeeding(random)];
    return { words: `section ${section} stays shut`, faults: [{ kind: 'section-stuck', section, on: false, from: clock(at), to: clock(at + 1200) }], expected: [{ codes: ['section.stuck', 'tower.blocked'], subject: `(section\\.${section}|tower\\.${TOWERS[section - 1]})`, start: near(at, 120), severityAtLeast: 'action' }], may: [{ code: 'tower\\..*' }] };
  } },
];

/** A day with one to three of the faults, the same for the same seed. */
export function unseenDay(seed: number): DayPlan {
  const random = createRandom(seed, 'unseen');
  const count = 1 + Math.floor(random.uniform() * 3);
  const left = [...recipes];
  const drawn: Drawn[] = [];
  while (drawn.length < count) {
    const [recipe] = left.splice(Math.floor(random.uniform() * left.length), 1);
    if (recipe === undefined) break;
    drawn.push(recipe.draw(random));
    for (let i = left.length - 1; i >= 0; i--) if (left[i]?.domain === recipe.domain || (recipe.domain === 'tower' && left[i]?.domain === 'section') || (recipe.domain === 'section' && left[i]?.domain === 'tower')) left.splice(i, 1);
  }
  const faults = drawn.flatMap((each) => each.faults);
  return workday({
    id: `U-${seed}`, title: drawn.map(({ words }) => words).join('; '), ...workHours(8), ...Object.assign({}, ...drawn.map(({ plan }) => plan ?? {})) as Partial<DayPlan>, faults,
    truth: faultTruth(() => drawn.flatMap(({ expected }) => expected), drawn.flatMap(({ may }) => may ?? [])),
  });
}
