import type { Channel } from '../../../shared/channel.ts';
import { identifier } from './can-frames.ts';
import type { FrameTrack } from './can-frames.ts';
import { RECEIVER } from './can-messages.ts';

const DAY = 86_400;
const POSITION_BYTES = 43;
/** 6 bytes in the first frame, 7 in each further one. */
const FRAMES = 1 + Math.ceil((POSITION_BYTES - 6) / 7);

/** NMEA 2000 129029 once a second as fast packets: position, fix method, satellites, HDOP. */
export function positionReports(channels: ReadonlyMap<string, Channel>, dayStart: number): FrameTrack {
  const fix = channels.get('gnss.fix');
  const lat = channels.get('gnss.lat');
  const lon = channels.get('gnss.lon');
  const time = fix?.time ?? new Float64Array();
  const frames = new Float64Array(time.length * FRAMES);
  const data = new Uint8Array(frames.length * 8).fill(0xff);
  const message = new Uint8Array(POSITION_BYTES);
  const view = new DataView(message.buffer);
  const sats = valueAt(channels.get('gnss.sats'));
  const hdop = valueAt(channels.get('gnss.hdop'));
  const [north, east] = [latest(lat), latest(lon)];
  for (let i = 0; i < time.length; i++) {
    const moment = time[i] as number;
    const epoch = dayStart + moment;
    message.fill(0xff);
    message[0] = i % 253;
    view.setUint16(1, Math.floor(epoch / DAY), true);
    view.setUint32(3, Math.round((epoch % DAY) * 1e4), true);
    /* 1e-16 degree per bit: through whole 1e-9 degrees, which a double holds exactly. */
    view.setBigInt64(7, BigInt(Math.round(north(moment) * 1e9)) * 10_000_000n, true);
    view.setBigInt64(15, BigInt(Math.round(east(moment) * 1e9)) * 10_000_000n, true);
    view.setBigInt64(23, 250_000_000n, true);
    message[31] = ((fix?.value[i] as number) << 4) | 0;
    message[32] = 0xfc;
    message[33] = sats(moment) ?? 0xff;
    view.setInt16(34, Math.round((hdop(moment) ?? 327.67) * 100), true);
    view.setInt16(36, 0x7fff, true);
    view.setInt32(38, 0x7fffffff, true);
    message[42] = 0;
    for (let f = 0; f < FRAMES; f++) {
      const start = (i * FRAMES + f) * 8;
      frames[i * FRAMES + f] = moment;
      data[start] = ((i % 8) << 5) | f;
      if (f === 0) {
        data[start + 1] = POSITION_BYTES;
        data.set(message.subarray(0, 6), start + 2);
      } else data.set(message.subarray(6 + (f - 1) * 7, Math.min(POSITION_BYTES, 6 + f * 7)), start + 1);
    }
  }
  return { id: identifier(3, 129029, RECEIVER), time: frames, data, length: 8 };
}

/** The last sample at or before a moment, of the first ones the first; moments must ascend. */
function latest(channel: Channel | undefined): (moment: number) => number {
  let at = 0;
  return (moment) => {
    if (channel === undefined) return 0;
    while (at + 1 < channel.time.length && (channel.time[at + 1] as number) <= moment) at++;
    return channel.value[at] ?? 0;
  };
}

/** Value of a channel's sample at a moment; moments must ascend. */
function valueAt(channel: Channel | undefined): (moment: number) => number | undefined {
  let at = 0;
  return (moment) => {
    if (channel === undefined) return undefined;
    while (at < channel.time.length && (channel.time[at] as number) < moment) at++;
    return channel.time[at] === moment ? channel.value[at] : undefined;
  };
}

/** NMEA 2000 126992: the receiver's UTC, whenever it is recorded. */
export function timeReports(dayStart: number, time: Float64Array): FrameTrack {
  const data = new Uint8Array(time.length * 8).fill(0xff);
  const view = new DataView(data.buffer);
  for (let i = 0; i < time.length; i++) {
    const epoch = dayStart + (time[i] as number);
    data[i * 8] = i % 253;
    data[i * 8 + 1] = 0xf0;
    view.setUint16(i * 8 + 2, Math.floor(epoch / DAY), true);
    view.setUint32(i * 8 + 4, Math.round((epoch % DAY) * 1e4), true);
  }
  return { id: identifier(3, 126992, RECEIVER), time, data, length: 8 };
}
