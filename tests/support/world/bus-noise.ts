import { identifier } from './can-frames.ts';
import type { FrameTrack } from './can-frames.ts';
import { createRandom } from './random.ts';

/** Messages of other machines on the same bus: unknown ones, and standard ones nobody here needs. */
export function noiseTracks(seconds: number): readonly FrameTrack[] {
  const random = createRandom(7, 'bus');
  const track = (priority: number, pgn: number, source: number, every: number): FrameTrack => {
    const time = Float64Array.from({ length: Math.floor(seconds / every) }, (_, i) => i * every + 0.05);
    return { id: identifier(priority, pgn, source), time, data: Uint8Array.from({ length: time.length * 8 }, () => Math.floor(random.uniform() * 250)), length: 8 };
  };
  return [track(6, 65440, 0x44, 0.5), track(6, 65270, 0x00, 1), track(7, 65441, CART_NEIGHBOUR, 2), track(6, 65226, 0x00, 1)];
}

const CART_NEIGHBOUR = 0x93;

/** Lines that are no data frame, or none at all. `text` gets seconds since 1970. */
export function oddLines(seconds: number): readonly { readonly time: number; readonly text: (epoch: number) => string }[] {
  const stamp = (epoch: number): string => `(${epoch.toFixed(6).padStart(17, '0')})`;
  const kinds: readonly ((epoch: number) => string)[] = [
    (epoch) => `${stamp(epoch)} can0 20000004#0004000000000000`,
    (epoch) => `${stamp(epoch)} can0 123#0102`,
    (epoch) => `${stamp(epoch)} can0 18EAFFF0#R3`,
    (epoch) => `${stamp(epoch)} can0 18FE48F0#00Z4`,
    (epoch) => `${stamp(epoch)} can0 18FE4`,
    () => 'DROPCOUNT: dropped 3 CAN frames on \'can0\' socket (total drops 3)',
  ];
  return Array.from({ length: Math.floor(seconds / 90) }, (_, i) => ({ time: 45 + i * 90, text: kinds[i % kinds.length] as (epoch: number) => string }));
}
