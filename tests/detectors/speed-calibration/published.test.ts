import geodesic from 'geographiclib-geodesic';
import { describe, expect, test } from 'vitest';
import type { Channel } from '../../../shared/channel.ts';
import type { WheelConstant } from '../../../shared/setup.ts';
import { correctionOf } from '../../../src/detectors/speed-calibration/off-finding.ts';
import { speedMessages } from '../../../src/detectors/speed-calibration/messages.ts';
import { speedCalibration } from '../../../src/detectors/speed-calibration/speed-calibration.ts';
import { runDetector, type TestDay } from '../../support/detector-tester.ts';
import { shortDay } from './short-day.ts';
import { wheelDay } from './wheel-day.ts';

const FORMS = { 'pulses/m': (n: number) => n, 'm/pulse': (n: number) => 1 / n, 'pulses/100 m': (n: number) => n / 100, 'pulses/400 ft': (n: number) => n / 121.92 } as const;
function constant(entered: string): WheelConstant {
  const [number = '', ...unit] = entered.split(' ');
  const form = unit.join(' ') as WheelConstant['form'];
  return { pulsesPerMetre: FORMS[form](Number(number)), entered, form, decimals: number.split('.')[1]?.length ?? 0 };
}
const corrected = (entered: string, ratio: number): string => correctionOf((message) => speedMessages[message], constant(entered), ratio).new;

/* Speed calibration, both conventions: drive 400 ft taped, the display says 390 ft, it reads 2.5 % low. Algebra. */
describe('corrected constant', () => {
  test.each([
    /* pulses per distance: new = old × indicated ÷ actual; 5 pulses/ft over 400 ft make 1,950 at 390/400 */
    ['2000 pulses/400 ft', 390 / 400, '1950 pulses/400 ft'],
    ['5120 pulses/100 m', 390 / 400, '4992 pulses/100 m'],
    ['51.20 pulses/m', 390 / 400, '49.92 pulses/m'],
    /* distance per pulse: new = old × actual ÷ indicated */
    ['0.01953125 m/pulse', 390 / 400, '0.02003205 m/pulse'],
    ['18.80 pulses/m', 20 / 18.8, '20.00 pulses/m'],
  ])('%s at %d becomes %s', (entered, ratio, expected) => expect(corrected(entered, ratio)).toBe(expected));

  test('product of both conventions stays 1', () => {
    const perHundred = Number.parseFloat(corrected('5120 pulses/100 m', 0.975));
    const perPulse = Number.parseFloat(corrected('0.01953125 m/pulse', 0.975));
    expect(perHundred * perPulse / 100).toBeCloseTo(1, 6);
  });

  test('the wrong way round would read 4.9 % low, not right', () => {
    const wrong = 500 * 400 / 390;
    expect(1950 / (wrong / 100)).toBeCloseTo(380.25, 2);
  });

  test('fed back, the ratio is 1 and no new number is asked for', () => {
    const off = withConstant(shortDay({ factor: 1, slip: 0.004, memory: 5 }, 3), '18.80 pulses/m');
    const first = runDetector(speedCalibration, off).findings[0]?.correction?.new ?? '';
    const second = runDetector(speedCalibration, withConstant(off, first));
    expect(Number.parseFloat(first)).toBeCloseTo(20, 0);
    expect(second.findings).toEqual([]);
    expect(second.measurements.find(({ name }) => name === 'wheel.ratio')?.value).toBeCloseTo(1, 3);
  });
});

function withConstant(day: TestDay, entered: string): TestDay {
  const { setup } = day;
  return setup === undefined ? day : { ...day, setup: { ...setup, machine: { ...setup.machine, wheel: { constant: constant(entered) } } } };
}

/* A rate controller puts out target × indicated ÷ true: a wheel 2.5 % low under-applies by 2.5 % and counts 2.5 % too few hectares. Algebra. */
test('a wheel that reads 2.5 % low puts out 2.5 % less', () => {
  const day = shortDay({ factor: 0.975, slip: 0.002, memory: 5 }, 1);
  const setup = day.setup === undefined ? undefined : {
    machine: { ...day.setup.machine, workingWidth: 10, tanks: [{ id: '1', meter: '1' }] },
    job: { ...day.setup.job, products: [{ tank: '1', targetRate: 0.01 }] },
  };
  const finding = runDetector(speedCalibration, { ...day, ...(setup === undefined ? {} : { setup }) }).findings[0];
  const kilograms = (finding?.consequence?.areaHa ?? 0) * 100;
  expect(kilograms).toBeGreaterThan(200);
  expect((finding?.consequence?.massKg ?? 0) / kilograms).toBeCloseTo(-0.025, 3);
});

/* geographiclib-geodesic: an east–west pass at 52° N, where a sphere of mean radius would be 0.32 % out. */
test('positions are measured on the ellipsoid', () => {
  const day = shortDay({ factor: 1, slip: 0.0005, memory: 5, passes: 4, passSeconds: 300 }, 1);
  const speed = day.channels.find(({ id }) => id === 'gnss.speed');
  if (speed === undefined) throw new Error('no speed');
  let longitude = -106;
  const points = Array.from(speed.value, (value) => {
    longitude = geodesic.Geodesic.WGS84.Direct(52, longitude, 90, value * 0.2).lon2 ?? Number.NaN;
    return longitude;
  });
  const positions: Channel[] = [
    { id: 'gnss.lat', unit: 'deg', source: speed.source, time: speed.time, value: speed.time.map(() => 52) },
    { id: 'gnss.lon', unit: 'deg', source: speed.source, time: speed.time, value: Float64Array.from(points) },
  ];
  const { measurements } = runDetector(speedCalibration, { ...day, channels: [...day.channels.filter(({ id }) => id !== 'gnss.speed'), ...positions] });
  expect(Math.abs((measurements.find(({ name }) => name === 'wheel.ratio')?.value ?? Number.NaN) - 1)).toBeLessThan(0.0005);
});

/* Low-cost 1 Hz receivers were up to 2.16 s late: Sensors 14 (2014) 23490, abstract. */
test('a receiver 2.16 s late is found out and taken out', () => {
  const day = wheelDay({ late: 1.96, rate: 1, entered: { wheelConstant: 18.8 }, slip: { mean: 0, sd: 0.008, drive: 0.1 } }, 1);
  const finding = runDetector(speedCalibration, day).findings[0];
  const lag = Number(/it came ‹duration\|([\d.]+)/.exec(finding?.excludes.join(' ') ?? '')?.[1]);
  /* To half a sampling interval. */
  expect(lag).toBeGreaterThan(2.16 - 0.5);
  expect(lag).toBeLessThan(2.16 + 0.5);
  expect(finding?.measure?.value).toBeCloseTo(20 / 18.8, 2);
});

describe('other ways to the ground', () => {
  const ratioOf = (day: TestDay): number => runDetector(speedCalibration, day).measurements.find(({ name }) => name === 'wheel.ratio')?.value ?? Number.NaN;

  test('positions alone give the same ratio as Doppler speed', () => {
    const day = wheelDay({ to: '10:00' }, 1);
    const positions = { ...day, channels: day.channels.filter(({ id }) => id !== 'gnss.speed') };
    expect(Math.abs(ratioOf(positions) - ratioOf(day))).toBeLessThan(0.0015);
  });

  test('slopes are allowed for when the pitch was logged', () => {
    const day = shortDay({ factor: 1, slip: 0.002, memory: 5 }, 1);
    const speed = day.channels.find(({ id }) => id === 'gnss.speed');
    const pitch = (time: number): number => 0.14 * Math.sin(time / 50);
    const level: Channel[] = speed === undefined ? [] : [
      { ...speed, value: Float64Array.from(speed.value, (value, i) => value * Math.cos(pitch(speed.time[i] ?? 0))) },
      { id: 'pitch', unit: 'rad', source: speed.source, time: speed.time, value: speed.time.map((time) => pitch(time) + 0.02) },
    ];
    const hilly = { ...day, channels: [...day.channels.filter(({ id }) => id !== 'gnss.speed'), ...level] };
    expect(Math.abs(ratioOf(hilly) - 1)).toBeLessThan(0.001);
    expect(ratioOf({ ...hilly, channels: hilly.channels.filter(({ id }) => id !== 'pitch') }) - 1).toBeGreaterThan(0.003);
  });

  test('pulses without a constant still say what it should be', () => {
    const day = shortDay({ factor: 1, slip: 0.004, memory: 5 }, 2);
    const { outcome, measurements } = runDetector(speedCalibration, { channels: day.channels });
    expect(outcome).toMatchObject({ status: 'not-set-up' });
    expect(measurements.find(({ name }) => name === 'wheel.constant')?.value).toBeCloseTo(20, 1);
  });

  test('a typed-in speed is not judged', () => {
    const day = wheelDay({ wheel: ['wheel.speed'], agenda: [{ do: 'seed', until: '12:00', wavering: 2 }] }, 1);
    const typed = { ...day, channels: day.channels.map((one) => (one.id === 'wheel.speed' ? { ...one, value: one.value.map(() => 2.5) } : one)) };
    const { outcome, findings } = runDetector(speedCalibration, typed);
    expect(findings).toEqual([]);
    expect(outcome).toMatchObject({ status: 'too-little-data' });
  });

  test('a wheel that died is said, not divided by', () => {
    const day = wheelDay({ to: '10:00', wheel: ['wheel.speed'] }, 1);
    const dead = { ...day, channels: day.channels.map((one) => (one.id === 'wheel.speed' ? { ...one, value: Float64Array.from(one.value, (value, i) => ((one.time[i] ?? 0) > 5400 ? 0 : value)) } : one)) };
    expect(runDetector(speedCalibration, dead).findings.map(({ code, severity }) => [code, severity])).toEqual([['speed.pulses-missing', 'action']]);
  });
});
