import type { Channel } from '../../../shared/channel.ts';
import { fromSi } from '../../../shared/units.ts';
import { createAsciiWriter, identifier, putBits } from './can-frames.ts';
import type { FrameTrack } from './can-frames.ts';
import { CART, ENGINE, RECEIVER, STANDARD, TRACTOR, ownMessages, signalsFile } from './can-messages.ts';
import type { CanField, CanMessage } from './can-messages.ts';
import { positionReports, timeReports } from './gnss-reports.ts';
import { noiseTracks, oddLines } from './bus-noise.ts';
import { clockShows } from './write-csv.ts';
import type { World } from './world.ts';

export interface CandumpOptions {
  /** Other machines' messages, error frames, damaged lines. */
  readonly noise?: boolean;
  /** Only the channels of one of the two logs; default both on one bus. */
  readonly file?: 'cart' | 'tractor';
}

export interface Candump {
  /** candump log text, ASCII. */
  readonly log: Uint8Array;
  /** Content of signals.json. */
  readonly signals: object;
}

/** s between frames that would leave at the same moment: about one frame at 250 kbit/s. */
const FRAME_TIME = 0.0005;

/** A day as candump log plus the signals.json that describes the cart's own messages. */
export function writeCandump(world: World, options: CandumpOptions = {}): Candump {
  const channels = new Map(world.channels.filter((channel) => options.file === undefined || channel.source.file.startsWith(options.file)).map((channel) => [channel.id, channel]));
  let largest = 0;
  for (const [id, channel] of channels) if (id.endsWith('.count')) for (const value of channel.value) if (value > largest) largest = value;
  const own = ownMessages(new Set(channels.keys()), largest);
  const tracks: FrameTrack[] = [...STANDARD, ...own].flatMap((message) => {
    const track = encode(message, channels);
    return track === undefined ? [] : [track];
  });
  const end = Math.floor(world.duration);
  const isTractor = options.file !== 'cart';
  if (isTractor) tracks.push(positionReports(channels, world.dayStart), timeReports(world.dayStart, channels.get('gnss.fix')?.time ?? Float64Array.from({ length: end + 1 }, (_, s) => s)));
  if (options.noise === true) tracks.push(...noiseTracks(end));
  return { log: merge(world, tracks, options), signals: signalsFile(own) };
}

function encode(message: CanMessage, channels: ReadonlyMap<string, Channel>): FrameTrack | undefined {
  const carried = message.fields.flatMap((f) => { const channel = channels.get(f.channel); return channel === undefined ? [] : [{ f, channel, scale: scaleOf(f, channel) }]; });
  if (carried.length === 0) return undefined;
  const time = unionOf(carried.map(({ channel }) => channel.time));
  const data = new Uint8Array(time.length * 8).fill(0xff);
  for (const fixed of message.fixed ?? []) for (let i = 0; i < time.length; i++) putBits(data, i * 8, fixed.startBit, fixed.length, fixed.raw);
  for (const { f, channel, scale } of carried) {
    let at = 0;
    let last = Number.NaN;
    for (let i = 0; i < time.length; i++) {
      let value = message.held === true ? last : Number.NaN;
      while (at < channel.time.length && (channel.time[at] as number) <= (time[i] as number)) {
        if (channel.time[at] === time[i] || message.held === true) value = channel.value[at] as number;
        at++;
      }
      last = value;
      if (!Number.isNaN(value)) putBits(data, i * 8, f.startBit, f.length, Math.round(value * scale.factor + scale.offset));
      else if (f.signed === true) putBits(data, i * 8, f.startBit, f.length, 2 ** (f.length - 1) - 1);
    }
  }
  return { id: identifier(message.priority, message.pgn, message.source), time, data, length: 8 };
}

/** SI value → raw = value × factor + offset. */
function scaleOf(f: CanField, channel: Channel): { readonly factor: number; readonly offset: number } {
  const toEntered = f.unit === undefined || channel.unit === 'deg' ? { factor: 1, offset: 0 } : { factor: (fromSi(1, f.unit) ?? 1) - (fromSi(0, f.unit) ?? 0), offset: fromSi(0, f.unit) ?? 0 };
  return { factor: toEntered.factor / f.factor, offset: (toEntered.offset - f.offset) / f.factor };
}

function unionOf(arrays: readonly Float64Array[]): Float64Array {
  const different = [...new Set(arrays)];
  if (different.length === 1 && different[0] !== undefined) return different[0];
  const all = Float64Array.from(different.flatMap((array) => [...array])).sort();
  return all.filter((time, i) => i === 0 || time !== all[i - 1]);
}

function merge(world: World, tracks: readonly FrameTrack[], options: CandumpOptions): Uint8Array {
  const writer = createAsciiWriter();
  const bus = new TextEncoder().encode('can0');
  const clock = world.clocks[options.file ?? 'tractor'];
  const claims = claimFrames();
  for (const [i, claim] of claims.entries()) writer.frame(clockShows(world.dayStart, i * FRAME_TIME, clock), bus, claim.id, claim.data, 0, 8);
  const odd = options.noise === true ? oddLines(world.duration) : [];
  let nextOdd = 0;
  const at = new Uint32Array(tracks.length);
  const heads = Float64Array.from(tracks, (track) => track.time[0] ?? Number.POSITIVE_INFINITY);
  let busFree = claims.length * FRAME_TIME;
  for (;;) {
    let earliest = Number.POSITIVE_INFINITY;
    for (let k = 0; k < heads.length; k++) earliest = Math.min(earliest, heads[k] as number);
    if (!Number.isFinite(earliest)) break;
    /* Of all frames that wait when the bus gets free, the lowest identifier wins. */
    const free = Math.max(earliest, busFree);
    let first = -1;
    for (let k = 0; k < heads.length; k++) if ((heads[k] as number) <= free && (first < 0 || (tracks[k] as FrameTrack).id < (tracks[first] as FrameTrack).id)) first = k;
    const due = heads[first] as number;
    while (nextOdd < odd.length && (odd[nextOdd]?.time ?? 0) <= due) {
      const line = odd[nextOdd++];
      if (line !== undefined) writer.line(line.text(clockShows(world.dayStart, due, clock)));
    }
    const track = tracks[first] as FrameTrack;
    const i = at[first] as number;
    const sent = Math.max(due, busFree);
    busFree = sent + FRAME_TIME;
    writer.frame(clockShows(world.dayStart, sent, clock), bus, track.id, track.data, i * track.length, track.length);
    at[first] = i + 1;
    heads[first] = track.time[i + 1] ?? Number.POSITIVE_INFINITY;
  }
  return writer.bytes();
}

/** Address claims (PGN 60928) as a log that starts at key-on holds them: function, device class, industry group agriculture. */
function claimFrames(): readonly { readonly id: number; readonly data: Uint8Array }[] {
  const claim = (source: number, identity: number, func: number, deviceClass: number, group: number): { id: number; data: Uint8Array } => {
    const data = new Uint8Array(8);
    putBits(data, 0, 0, 21, identity);
    putBits(data, 0, 21, 11, 2046);
    putBits(data, 0, 40, 8, func);
    putBits(data, 0, 49, 7, deviceClass);
    putBits(data, 0, 60, 3, group);
    putBits(data, 0, 63, 1, source === CART ? 1 : 0);
    return { id: identifier(6, 0xee00 | 0xff, source), data };
  };
  return [claim(ENGINE, 1001, 0, 1, 2), claim(TRACTOR, 1002, 132, 1, 2), claim(RECEIVER, 1003, 145, 60, 4), claim(CART, 1004, 128, 4, 2)];
}
