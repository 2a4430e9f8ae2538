import { expect, test } from 'vitest';
import { decodeLanes, encodeLanes } from '../../shared/api.ts';
import { columnOf, decodePack, encodePack } from '../../shared/column-pack.ts';

test('columns of every type come back as they went, whatever the length of the words before them', () => {
  for (const name of ['', 'ü', 'a longer name than before']) {
    const columns = { time: Float64Array.of(1, Number.NaN, -0), value: Float32Array.of(1.5), n: Uint32Array.of(7, 2 ** 32 - 1, 3), flag: Uint8Array.of(1, 0, 1), none: new Float64Array(0) };
    const back = decodePack<{ name: string }>(encodePack({ meta: { name }, columns }));
    expect(back).toEqual({ meta: { name }, columns });
    expect(() => columnOf(back, 'time', Float32Array)).toThrow('no column time');
  }
});

test('lanes of both kinds come back with their channels', () => {
  const samples = { kind: 'samples' as const, from: 0, to: 2, samples: 2, time: Float64Array.of(0, 1), value: Float64Array.of(5, Number.NaN) };
  const blocks = { kind: 'blocks' as const, from: 0, to: 2, samples: 9, first: Float32Array.of(1), min: Float32Array.of(0), max: Float32Array.of(4), last: Float32Array.of(2) };
  const lanes = [{ channel: 4, data: samples }, { channel: 90, data: blocks }, { channel: 1, data: samples }];
  expect(decodeLanes(encodeLanes({ lanes }))).toEqual({ lanes });
  expect(decodeLanes(encodeLanes({ lanes: [] }))).toEqual({ lanes: [] });
  const runs = encodePack({ meta: { runs: 60 }, columns: { ratio: Float32Array.of(1, Number.NaN, 0.5) } });
  expect(decodeLanes(encodeLanes({ lanes, runs }))).toEqual({ lanes, runs });
});
