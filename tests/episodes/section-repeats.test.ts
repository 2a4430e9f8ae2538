import { expect, it } from 'vitest';
import type { Channel } from '../../shared/channel.ts';
import { sectionSwitches } from '../../src/episodes/section-switching.ts';

const channel = (samples: readonly (readonly [number, number])[]): Channel => ({
  id: 'section.1.on', unit: '1', source: { file: 'test.csv' },
  time: Float64Array.from(samples, ([time]) => time), value: Float32Array.from(samples, ([, value]) => value),
});

it('takes a state that is sent on change and repeated every second at the time it was sent', () => {
  const edges = [20.3, 41.7, 63.1, 80.9];
  const stateAt = (time: number): number => edges.filter((edge) => edge <= time).length % 2;
  const samples = [...Array.from({ length: 100 }, (_, s) => s), ...edges].toSorted((a, b) => a - b).map((time) => [time, stateAt(time)] as const);
  expect(sectionSwitches([channel(samples)]).map(({ time }) => time)).toEqual(edges);
});

it('still takes a state that is only sampled half an interval back', () => {
  const samples = Array.from({ length: 100 }, (_, s) => [s, s >= 30 && s < 60 ? 1 : 0] as const);
  expect(sectionSwitches([channel(samples)]).map(({ time }) => time)).toEqual([29.5, 59.5]);
});
