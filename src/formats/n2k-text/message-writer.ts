import { createZoneClock } from '../csv/zone-clock.ts';
import { createFrameWriter } from '../frame-writer.ts';
import type { LogSink } from '../log-format.ts';
import type { LineTime } from './line-time.ts';
import type { MessageLine } from './message-line.ts';

export interface MessageWriter {
  readonly push: (message: MessageLine) => void;
  readonly finish: () => void;
}

const BUS = 'n2k';
const DAY = 86_400;
const FIRST_BROADCAST_FORMAT = 240;
const LONGEST_FRAME = 8;

/** Hands frames and whole messages on in the order written, each with the line's own time. */
export function createMessageWriter(sink: LogSink, zone: string): MessageWriter {
  const frames = createFrameWriter(sink);
  const wallClock = createZoneClock(zone);
  const bus = sink.bus(BUS);
  let midnights = 0;
  let latestClock = Number.NaN;
  let withoutDate = 0;
  let withoutZone = 0;
  let untimed = 0;

  /** A time of day that jumps back by more than half a day has passed midnight. */
  const clockOf = (seconds: number): number => {
    if (seconds < latestClock - DAY / 2) midnights += 1;
    else if (seconds > latestClock + DAY / 2 && midnights > 0) midnights -= 1;
    latestClock = seconds;
    withoutDate += 1;
    return seconds + midnights * DAY;
  };

  const timeOf = (time: LineTime): number => {
    if (time.kind === 'seconds') return time.seconds;
    if (time.kind === 'clock') return clockOf(time.seconds);
    if (time.kind === 'wall') {
      withoutZone += 1;
      return wallClock.toUtc(time.seconds);
    }
    untimed += 1;
    return Number.NaN;
  };

  return {
    push: ({ time, priority, pgn, source, destination, data, isWhole }) => {
      const seconds = timeOf(time);
      if (isWhole || data.length > LONGEST_FRAME) {
        frames.flush();
        sink.message({ time: seconds, bus, priority, pgn, source, destination, data });
        return;
      }
      const specific = ((pgn >> 8) & 0xff) < FIRST_BROADCAST_FORMAT ? destination : pgn & 0xff;
      const id = (priority << 26 | (pgn & 0x3ff00) << 8 | specific << 8 | source) & 0x1fffffff;
      frames.push(seconds, bus, id, true, data, 0, data.length);
    },
    finish: () => {
      frames.flush();
      if (withoutDate > 0) sink.note('The log gives the time of day without a date: it is kept as seconds from midnight.');
      if (withoutZone > 0) sink.note(`${withoutZone} times are written without a zone: read as ${zone}.`);
      if (untimed > 0) sink.note(`${untimed} messages are written without a time.`);
      for (const note of wallClock.notes()) sink.note(note);
    },
  };
}
