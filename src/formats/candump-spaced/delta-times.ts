/** Tells time stamps that are differences to the frame before (`candump -td`) from times, and adds them up. */
export interface DeltaTimes {
  /** Changes the times of a batch in place. */
  readonly apply: (times: Float64Array, count: number) => void;
  readonly notes: () => readonly string[];
}

/** s; differences are small, and clocks that start at zero only go forward. */
const LARGEST_DIFFERENCE = 86_400;
/** Share of steps back from which the stamps of the first batch are differences; frames a little out of order are far fewer. */
const SHARE_BACK = 0.15;
/** Fewer steps back than this prove nothing. */
const FEWEST_BACK = 3;

export function createDeltaTimes(): DeltaTimes {
  let isDelta: boolean | undefined;
  let sum = 0;
  return {
    apply: (times, count) => {
      isDelta ??= looksLikeDifferences(times, count);
      if (!isDelta) return;
      for (let i = 0; i < count; i += 1) {
        const step = times[i] as number;
        if (Number.isNaN(step)) continue;
        sum += step;
        times[i] = sum;
      }
    },
    notes: () => (isDelta === true ? ['The time stamps are differences to the frame before (candump -td): they were added up from 0.'] : []),
  };
}

function looksLikeDifferences(times: Float64Array, count: number): boolean {
  let back = 0;
  let steps = 0;
  let before = Number.NaN;
  for (let i = 0; i < count; i += 1) {
    const time = times[i] as number;
    if (Number.isNaN(time)) continue;
    if (time > LARGEST_DIFFERENCE) return false;
    if (time !== before && !Number.isNaN(before)) steps += 1;
    if (time < before) back += 1;
    before = time;
  }
  return back >= FEWEST_BACK && back > steps * SHARE_BACK;
}
