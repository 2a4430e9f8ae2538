import { expect, test } from 'vitest';
import { parseSetup } from '../../shared/setup-file.ts';
import { analyse } from '../../src/analyse.ts';
import { buildWorld } from '../support/world/simulate.ts';
import { scoreDay } from './score-day.ts';
import { unseenDay } from './unseen.ts';

/* Drawn days that once were judged wrongly; `npm run score -- --unseen 50` draws new ones. */
test.each([
  [12, 'an empty tank reads below zero because its span is wrong: one cause'],
  [17, 'kg per turn that changed in a fill is not a lost cell'],
  [34, 'a section in the middle of the drill stays shut, and is the only one open at a slanting headland'],
  [50, 'a tower that fell forty minutes after the fan is not the fan’s doing'],
  [51, 'a tower low on a day on which the wheel, and the flow with it, drops out every minute and a half'],
])('drawn day %i: %s', (seed) => {
  const world = buildWorld(unseenDay(seed), seed);
  const { findings } = analyse({ start: world.dayStart, duration: world.duration, channels: world.channels, logs: [], messages: [], gaps: [] }, parseSetup(world.setup).setup);
  const { expected, falseFindings, trapped } = scoreDay({ findings }, world.truth);
  expect(expected.flatMap(({ wrong }) => wrong)).toEqual([]);
  expect([...falseFindings, ...trapped].map(({ code, subject }) => `${code} ${subject}`)).toEqual([]);
});
