/** Every key of the viewer, for the sheet that `?` opens. */
export interface KeyLine {
  readonly keys: readonly string[];
  readonly does: string;
  /** A single character that works wherever the focus is; such keys can be turned off (WCAG 2.1.4). */
  readonly isSingle: boolean;
}

export interface KeyGroup {
  readonly where: string;
  readonly lines: readonly KeyLine[];
}

const anywhere = (key: string, does: string): KeyLine => ({ keys: [key], does, isSingle: true });
const focused = (keys: readonly string[], does: string): KeyLine => ({ keys, does, isSingle: false });

export const KEY_GROUPS: readonly KeyGroup[] = [
  { where: 'Anywhere', lines: [anywhere('?', 'opens this sheet'), focused(['Tab', 'Shift Tab'], 'to the next thing that can be worked with, and back'), focused(['Esc'], 'closes this sheet')] },
  { where: 'What to fix, and the day', lines: [anywhere('.', 'next finding'), anywhere(',', 'finding before')] },
  {
    where: 'The day', lines: [
      focused(['Space'], 'plays and pauses the replay'), focused(['←', '→'], 'on a lane: moves the cursor'), focused(['Shift ←', 'Shift →'], 'on a lane: moves the view'),
      focused(['+', '−'], 'on a lane: closer, wider'), focused(['0'], 'on a lane: the whole day'), focused(['Backspace'], 'on a lane: undoes the last zoom'), focused(['Home', 'End'], 'on a lane: to the edge of the view'),
    ],
  },
  { where: 'On a plot of the evidence', lines: [focused(['←', '→'], 'walks from point to point and reads it out'), focused(['Shift ←', 'Shift →'], 'a tenth of the plot at a time'), focused(['Home', 'End'], 'first and last point')] },
];
