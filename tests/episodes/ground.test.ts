import { describe, expect, test } from 'vitest';
import type { Channel } from '../../shared/channel.ts';
import { parseSetup } from '../../shared/setup-file.ts';
import { emptySetup, type Setup } from '../../shared/setup.ts';
import { createEpisodes } from '../../src/episodes/create-episodes.ts';
import { createTimeline } from '../../src/episodes/create-timeline.ts';
import { createGround, type Ground } from '../../src/episodes/ground.ts';
import { passSpacings } from '../../src/field/pass-spacing.ts';
import { scenario } from '../support/world/scenario.ts';
import { channelOf, drive } from './hand-made.ts';

function groundOf(channels: readonly Channel[], duration: number, setup: Setup): Ground {
  const timeline = createTimeline({ channels, duration });
  const episodes = createEpisodes({ channels }, setup, timeline);
  const byId = (id: string): Channel => channels.find((channel) => channel.id === id) ?? channelOf(id, []);
  return createGround({ latitude: byId('gnss.lat'), longitude: byId('gnss.lon'), sections: channels.filter(({ id }) => id.startsWith('section.')), setup, timeline, episodes });
}

const wide = (width: number, delays?: { on: number; off: number }): Setup => ({
  ...emptySetup,
  machine: { ...emptySetup.machine, workingWidth: width, ...(delays === undefined ? {} : { delays: { all: delays, tanks: new Map(), sections: new Map() } }) },
});

describe('one pass', () => {
  const day = drive([{ seconds: 60, speed: 2 }, { seconds: 200, speed: 2, lowered: true }, { seconds: 60, speed: 2 }]);

  test('covers its length times the width', () => {
    expect(groundOf(day.channels, day.seconds, wide(12)).coverage().area).toBeCloseTo(12 * 400, -2);
  });

  test('without a width there is no area', () => {
    const ground = groundOf(day.channels, day.seconds, emptySetup);
    expect(ground.strips).toEqual([]);
    expect(ground.coverage().area).toBe(0);
    expect(ground.outlines()).toEqual([]);
  });

  test('commands are known to the moment, and moved by the delay', () => {
    const commands = [channelOf('section.1.on', [[0, 0], [80.25, 1], [180.75, 0]]), channelOf('section.2.on', [[0, 0], [80.25, 1], [130.25, 0]])];
    const { strips, coverage } = groundOf([...day.channels, ...commands], day.seconds, wide(12, { on: 3, off: 1 }));
    expect(strips.map(({ on }) => on)).toEqual([[{ start: 83.25, end: 181.75 }], [{ start: 83.25, end: 131.25 }]]);
    expect(Math.abs(coverage().area - 6 * 2 * (98.5 + 48))).toBeLessThan(8);
  });

  test('positions that were never logged give an empty ground', () => {
    const ground = groundOf(day.channels.filter(({ id }) => id !== 'gnss.lat'), day.seconds, wide(12));
    expect(ground.coverage().area).toBe(0);
  });
});

describe('synthetic days', () => {
  test('V14, a receiver that freezes twice: the area is whole but for the minute that is unknown', () => {
    const { channels, duration, setup, truth } = scenario('V14').build(1);
    const ground = groundOf(channels, duration, parseSetup(setup).setup);
    const { area, overlap, missed } = ground.coverage();
    const lost = (2 * 35 * (8 / 3.6) * 18.288) / 1e4;
    expect(Math.abs(area / 1e4 - ((truth.exact['areaHa'] ?? NaN) - lost))).toBeLessThan(0.1);
    expect(overlap.total / area).toBeLessThan(0.003);
    expect(missed.total / area).toBeLessThan(0.003);
    const spacings = passSpacings(ground.openers, ground.strips[0]?.on ?? []);
    expect(spacings.length).toBeGreaterThan(30);
    for (const { spacing } of spacings) expect(Math.abs(spacing - 18.288)).toBeLessThan(0.15);
  });

  test('D-overlap, passes 0.7 m too close: overlap is 0.7 m of every pass', () => {
    const { channels, duration, setup } = scenario('D-overlap').build(1);
    const { overlap, missed, area, applied } = groundOf(channels, duration, parseSetup(setup).setup).coverage();
    expect(Math.abs(overlap.between / applied - 0.7 / 18.288)).toBeLessThan(0.002);
    expect(missed.total / area).toBeLessThan(0.001);
  });
});
