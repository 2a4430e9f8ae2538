/** Colours of plots, from the page's theme. Six are told apart by colour-blind readers and stand 3:1 against the ground; after them dashes begin. */
const NAMES = ['--line-1', '--line-2', '--line-3', '--line-4', '--line-5', '--line-6'] as const;

export interface Stroke {
  readonly colour: string;
  readonly dash: readonly number[];
}

export function themeColour(name: string): string {
  return getComputedStyle(document.documentElement).getPropertyValue(name).trim();
}

export function strokeOf(index: number): Stroke {
  const name = NAMES[index % NAMES.length] ?? '--line-1';
  const turn = Math.floor(index / NAMES.length);
  return { colour: themeColour(name), dash: turn === 0 ? [] : turn === 1 ? [6, 3] : [2, 3] };
}
