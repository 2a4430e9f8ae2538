import { describe, expect, test } from 'vitest';
import type { Channel } from '../../shared/channel.ts';
import type { Span } from '../../shared/span.ts';
import { emptySetup, type Setup } from '../../shared/setup.ts';
import { channelOf, drive, episodesOf, sampled, withGap } from './hand-made.ts';

const V = 8 / 3.6;
/** Parked, driven lifted, sown, driven lifted, parked. */
const day = drive([{ seconds: 100, speed: 0 }, { seconds: 200, speed: 4.5 }, { seconds: 600, speed: V, lowered: true }, { seconds: 200, speed: 4.5 }, { seconds: 100, speed: 0 }]);
const inWork = (t: number): number => (t >= 300 && t < 900 ? 1 : 0);
const without = (...ids: string[]): Channel[] => day.channels.filter(({ id }) => !ids.includes(id));

/** One span only, its ends this near. */
const only = (start: number, end: number, within: number) => (spans: readonly Span[]): boolean =>
  spans.length === 1 && Math.abs((spans[0]?.start ?? NaN) - start) <= within && Math.abs((spans[0]?.end ?? NaN) - end) <= within;

describe('working, whoever is left to say so', () => {
  const meter = sampled('meter.1.speed', 'rpm', day.seconds, 1, (t) => 40 * inWork(t));
  const section = sampled('section.1.on', '1', day.seconds, 1, inWork);

  test('the lift switch alone', () => expect(episodesOf(day.channels, day.seconds).working).toSatisfy(only(300, 900, 2)));

  test('the lift switch and a section that comes on later', () => {
    const late = sampled('section.1.on', '1', day.seconds, 1, (t) => (t >= 400 && t < 900 ? 1 : 0));
    expect(episodesOf([...day.channels, late], day.seconds).working).toSatisfy(only(400, 900, 2));
  });

  test('the lift switch and a target of zero until later', () => {
    const target = sampled('meter.1.target', 'kg/m²', day.seconds, 1, (t) => (t >= 500 ? 0.012 : 0));
    expect(episodesOf([...day.channels, target], day.seconds).working).toSatisfy(only(500, 900, 2));
  });

  test('a stalled meter does not end work that is commanded', () => {
    const stalled = sampled('meter.1.speed', 'rpm', day.seconds, 1, (t) => (t < 600 ? 40 * inWork(t) : 0));
    expect(episodesOf([...day.channels, section, stalled], day.seconds).working).toSatisfy(only(300, 900, 2));
  });

  test('no lift switch: the meter', () => expect(episodesOf([...without('implement.working'), meter], day.seconds).working).toSatisfy(only(300, 900, 2)));

  test('no lift switch: the meter’s turns', () => {
    const turns = sampled('meter.1.turns', 'turn', day.seconds, 1, (t) => Math.floor(0.67 * Math.min(600, Math.max(0, t - 300))));
    expect(episodesOf([...without('implement.working'), turns], day.seconds).working).toSatisfy(only(300, 900, 4));
  });

  test('no lift switch, no meter: the sections', () => expect(episodesOf([...without('implement.working'), section], day.seconds).working).toSatisfy(only(300, 900, 2)));

  test('nothing but speed: the speeds of work, not of the road', () => expect(episodesOf(without('implement.working'), day.seconds).working).toSatisfy(only(300, 900, 3)));

  test('a lift switch that never says anything is passed over when the meter does', () => {
    const dead = sampled('implement.working', '1', day.seconds, 1, () => 0);
    expect(episodesOf([...without('implement.working'), dead, meter], day.seconds).working).toSatisfy(only(300, 900, 2));
  });

  test('a day lifted all the time is no work, though the speed would fit', () => {
    const transport = drive([{ seconds: 900, speed: 3 }]);
    expect(episodesOf(transport.channels, 900).working).toEqual([]);
  });

  test('a catch test while parked is not work', () => {
    const parked = drive([{ seconds: 600, speed: 0 }]);
    const turning = sampled('meter.1.speed', 'rpm', 600, 1, (t) => (t > 200 && t < 260 ? 40 : 0));
    const { working, metering } = episodesOf([...parked.channels.filter(({ id }) => id !== 'implement.working'), turning], 600);
    expect(working).toEqual([]);
    expect(metering('1')).toHaveLength(1);
  });

  test('without any channel there is nothing, and no error', () => {
    const empty = episodesOf([], 100);
    expect([empty.working, empty.passes, empty.turning, empty.steady, empty.parked, empty.switches, empty.fills('1'), empty.quiet('1'), empty.metering('1')].flat()).toEqual([]);
  });
});

describe('speed without a GNSS speed', () => {
  test('from positions', () => {
    const { working, steady, parked } = episodesOf(without('gnss.speed', 'gnss.course'), day.seconds);
    expect(working).toSatisfy(only(300, 900, 3));
    expect(steady.some(({ start, end }) => end - start > 400)).toBe(true);
    expect(parked).toHaveLength(2);
  });

  test('from wheel pulses with the constant of the setup', () => {
    const setup: Setup = { ...emptySetup, machine: { ...emptySetup.machine, wheel: { constant: { pulsesPerMetre: 20, entered: '20', form: 'pulses/m', decimals: 0 } } } };
    let metres = 0;
    const pulses = sampled('wheel.pulses', 'count', day.seconds, 1, (t) => Math.floor(20 * (metres += day.speed(t))));
    const { working, steady, parked } = episodesOf([...without('gnss.speed', 'gnss.course', 'gnss.lat', 'gnss.lon'), pulses], day.seconds, setup);
    expect(working).toSatisfy(only(300, 900, 3));
    expect(parked).toHaveLength(2);
    /* There is nothing to compare the wheel with. */
    expect(steady).toEqual([]);
  });

  test('a frozen receiver does not park a machine whose wheel turns, nor is it steady', () => {
    const freeze = (channel: Channel): Channel => {
      const at = channel.time.findIndex((t) => t >= 500);
      return channel.id.startsWith('gnss.') ? { ...channel, value: channel.value.map((x, i) => ((channel.time[i] ?? 0) >= 500 && (channel.time[i] ?? 0) < 560 ? (channel.value[at] ?? x) : x)) } : channel;
    };
    const wheel = sampled('wheel.speed', 'm/s', day.seconds, 1, day.speed);
    for (const shown of [0, 1]) {
      const frozen = day.channels.map(freeze).map((channel) => (channel.id === 'gnss.speed' && shown === 0 ? { ...channel, value: channel.value.map((x, i) => ((channel.time[i] ?? 0) >= 500 && (channel.time[i] ?? 0) < 560 ? 0 : x)) } : channel));
      const { parked, working, steady } = episodesOf([...frozen, wheel], day.seconds);
      expect(parked).toHaveLength(2);
      expect(working).toSatisfy(only(300, 900, 2));
      expect(steady.every(({ start, end }) => end <= 502 || start >= 558)).toBe(true);
    }
  });
});

describe('parked', () => {
  test('a stop of 15 s is none, one of 25 s is; creeping at 0.5 m/s is none', () => {
    const stops = drive([{ seconds: 60, speed: V }, { seconds: 15, speed: 0 }, { seconds: 60, speed: V }, { seconds: 25, speed: 0 }, { seconds: 60, speed: 0.5 }]);
    expect(episodesOf(stops.channels, stops.seconds).parked).toSatisfy(only(135, 160, 3));
  });

  test('wheels that stand while the GNSS drives (missing pulses) are no stop', () => {
    const going = drive([{ seconds: 200, speed: V }]);
    expect(episodesOf([...going.channels, sampled('wheel.speed', 'm/s', 200, 1, () => 0)], 200).parked).toEqual([]);
  });
});

describe('metering', () => {
  test('noise round zero is standing, a dip to a tenth for a moment is turning', () => {
    const noisy = sampled('meter.1.speed', 'rpm', 600, 1, (t) => (t >= 100 && t < 500 ? (t > 300 && t < 302 ? 4 : 40) : 0.3 * Math.sin(7 * t)));
    expect(episodesOf([noisy], 600).metering('1')).toSatisfy(only(100, 500, 2));
  });

  test('a gap ends it', () => {
    const cut = withGap(sampled('meter.1.speed', 'rpm', 600, 1, () => 40), 200, 260);
    expect(episodesOf([cut], 600).metering('1')).toHaveLength(2);
  });
});

describe('section switches', () => {
  test('sent on change: at the time sent; the first state is no switch', () => {
    const { switches } = episodesOf([channelOf('section.2.on', [[3.2, 0], [10.4, 1], [80.1, 0]]), channelOf('section.1.on', [[3.2, 1], [11.7, 0]])], 100);
    expect(switches).toEqual([
      { section: '2', time: 10.4, on: true }, { section: '1', time: 11.7, on: false }, { section: '2', time: 80.1, on: false },
    ]);
  });

  test('sampled once a second: on average half a second before it is seen', () => {
    const { switches } = episodesOf([sampled('section.1.on', '1', 100, 1, (t) => (t > 50 ? 1 : 0))], 100);
    expect(switches).toEqual([{ section: '1', time: 50, on: true }]);
  });

  test('a change inside a gap has no time, nor has one round a missing value', () => {
    const state = withGap(sampled('section.1.on', '1', 100, 1, (t) => (t > 50 ? 1 : 0)), 40, 60);
    expect(episodesOf([state], 100).switches).toEqual([]);
    expect(episodesOf([channelOf('section.1.on', [[1, 0], [10, NaN], [20, 1]])], 100).switches).toEqual([]);
  });
});
