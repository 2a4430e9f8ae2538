/** A run of records in file order during which the log's clock only went forward, by ordinary steps. Seconds as logged. */
export interface ClockStretch {
  readonly first: number;
  readonly last: number;
  readonly records: number;
}

/** What a log's own clock did, from the times of its records in file order. Seconds as logged. */
export interface ClockHistory {
  readonly stretches: readonly ClockStretch[];
  /** Stretches without any record, longer than 5 s and than 20 usual intervals. */
  readonly gaps: readonly { readonly start: number; readonly end: number }[];
  readonly records: number;
  readonly untimed: number;
  /** Steps back shorter than `JITTER`: records that were written slightly out of order. */
  readonly jitter: { readonly count: number; readonly largest: number };
  /** Steps back longer than that, in seconds (positive), and the time stepped back from. */
  readonly stepsBack: readonly { readonly from: number; readonly by: number }[];
}

export interface RecordClock {
  readonly observe: (time: number) => void;
  readonly observeAll: (times: Float64Array, count: number) => void;
  readonly history: () => ClockHistory;
}

/** s; records of several buses reach a recorder's file this much out of order without any fault of the clock. */
export const JITTER = 1;
/** s; after a longer jump forward the clock may have been set: a new stretch, so that a far-off part can be told from the rest. */
export const CLOCK_SET = 12 * 3600;
/** s; contract for `gaps`: longer than both 5 s and 20 times the usual interval. */
const SHORTEST_GAP = 5;
const USUAL_INTERVALS = 20;
/** A clock that misbehaves more often than this is described by its first misdeeds. */
const MOST_KEPT = 1000;
/** Intervals are counted in classes of an eighth of an octave, told by the number's own bits: a logarithm per record would cost too much. */
const CLASSES_PER_DOUBLING = 8;
const LEAST_EXPONENT = -30;
const CLASSES = 64 * CLASSES_PER_DOUBLING;
/** The upper word of a double (IEEE 754) without all but the first three bits of its fraction, and what 2^LEAST_EXPONENT gives. */
const FRACTION_SHIFT = 17;
const FIRST_CLASS = (1023 + LEAST_EXPONENT) * CLASSES_PER_DOUBLING;

export function createRecordClock(): RecordClock {
  const stretches: ClockStretch[] = [];
  const stepsBack: { from: number; by: number }[] = [];
  const pauses: { start: number; end: number }[] = [];
  const intervals = new Float64Array(CLASSES);
  const double = new Float64Array(1);
  const words = new Uint32Array(double.buffer);
  const upper = isLittleEndian() ? 1 : 0;
  const jitter = { count: 0, largest: 0 };
  let records = 0;
  let untimed = 0;
  let first = Number.NaN;
  /* In an array, because a captured variable would allocate a number for every record. */
  const latest = Float64Array.of(Number.NaN);
  let inStretch = 0;

  const endStretch = (): void => {
    if (inStretch > 0 && stretches.length < MOST_KEPT) stretches.push({ first, last: latest[0] as number, records: inStretch });
    inStretch = 0;
  };

  const stepBack = (time: number): void => {
    const by = (latest[0] as number) - time;
    if (by < JITTER) {
      jitter.count += 1;
      jitter.largest = Math.max(jitter.largest, by);
      if (time < first) first = time;
      return;
    }
    if (stepsBack.length < MOST_KEPT) stepsBack.push({ from: latest[0] as number, by });
    endStretch();
    first = time;
    latest[0] = time;
  };

  const countInterval = (step: number): void => {
    double[0] = step;
    const place = Math.max(0, ((words[upper] as number) >>> FRACTION_SHIFT) - FIRST_CLASS);
    if (place < CLASSES) intervals[place] = (intervals[place] as number) + 1;
  };

  const observe = (time: number): void => {
    records += 1;
    if (!(time >= (latest[0] as number))) {
      if (Number.isNaN(time)) {
        untimed += 1;
        return;
      }
      if (Number.isNaN(latest[0] as number)) {
        first = time;
        latest[0] = time;
      } else stepBack(time);
    } else {
      const step = time - (latest[0] as number);
      if (step > 0) {
        countInterval(step);
        if (step > SHORTEST_GAP) pauses.push({ start: latest[0] as number, end: time });
        if (step > CLOCK_SET) {
          endStretch();
          first = time;
        }
      }
      latest[0] = time;
    }
    inStretch += 1;
  };

  return {
    observe,
    observeAll: (times, count) => {
      /* Once per record of a whole day: ordinary steps are taken here, in local variables. */
      let before = latest[0] as number;
      let ordinary = 0;
      for (let i = 0; i < count; i += 1) {
        const time = times[i] as number;
        const step = time - before;
        if (step >= 0 && step <= SHORTEST_GAP) {
          if (step > 0) countInterval(step);
          before = time;
          ordinary += 1;
          continue;
        }
        latest[0] = before;
        records += ordinary;
        inStretch += ordinary;
        ordinary = 0;
        observe(time);
        before = latest[0] as number;
      }
      latest[0] = before;
      records += ordinary;
      inStretch += ordinary;
    },
    history: () => {
      const usual = medianOfClasses(intervals);
      const open = inStretch > 0 ? [{ first, last: latest[0] as number, records: inStretch }] : [];
      return {
        stretches: [...stretches, ...open],
        gaps: pauses.filter(({ start, end }) => end - start > Math.max(SHORTEST_GAP, USUAL_INTERVALS * usual)),
        records,
        untimed,
        jitter,
        stepsBack,
      };
    },
  };
}

function isLittleEndian(): boolean {
  return new Uint8Array(Uint16Array.of(1).buffer)[0] === 1;
}

/** Upper edge of the class that holds the median interval, s: within 12.5 %. */
function medianOfClasses(counts: Float64Array): number {
  let total = 0;
  for (const count of counts) total += count;
  let seen = 0;
  for (let i = 0; i < counts.length; i += 1) {
    seen += counts[i] as number;
    if (seen > 0 && seen * 2 >= total) return 2 ** (Math.floor(i / CLASSES_PER_DOUBLING) + LEAST_EXPONENT) * (1 + (i % CLASSES_PER_DOUBLING + 1) / CLASSES_PER_DOUBLING);
  }
  return 0;
}
