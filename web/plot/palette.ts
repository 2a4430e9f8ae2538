import { signal } from '@preact/signals';

/** Colours of plots, from the page's theme. Six are told apart by colour-blind readers and stand 3:1 against the ground; after them dashes begin. */
const NAMES = ['--line-1', '--line-2', '--line-3', '--line-4', '--line-5', '--line-6'] as const;

export interface Stroke {
  readonly colour: string;
  readonly dash: readonly number[];
}

/** Grows whenever the page's colours change, so that canvases are painted again. */
export const themeTurns = signal(0);
const colours = new Map<string, string>();
const forget = (): void => {
  colours.clear();
  themeTurns.value++;
};
matchMedia('(prefers-color-scheme: dark)').addEventListener('change', forget);
new MutationObserver(forget).observe(document.documentElement, { attributes: true, attributeFilter: ['class', 'data-theme'] });

/** A colour of the theme by its name; asked of the page once per theme, since asking makes the page reckon its styles. */
export function themeColour(name: string): string {
  let colour = colours.get(name);
  if (colour === undefined) {
    colour = getComputedStyle(document.documentElement).getPropertyValue(name).trim();
    if (colour !== '') colours.set(name, colour);
  }
  return colour;
}

export function strokeOf(index: number): Stroke {
  const name = NAMES[index % NAMES.length] ?? '--line-1';
  const turn = Math.floor(index / NAMES.length);
  return { colour: themeColour(name), dash: turn === 0 ? [] : turn === 1 ? [6, 3] : [2, 3] };
}

/** Whether the page is dark now, by the reader's choice or else the computer's. */
export const isDark = (): boolean => {
  const forced = document.documentElement.dataset['theme'];
  return forced === undefined ? matchMedia('(prefers-color-scheme: dark)').matches : forced === 'dark';
};
