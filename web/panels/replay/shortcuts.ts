import { signal } from '@preact/signals';

/* WCAG 2.1.4: keys that are single characters can be turned off; the choice stays on this computer. */

const NAME = 'sowtrace-keys';
export const areKeysOn = signal(localStorage.getItem(NAME) !== 'off');

export function setKeysOn(on: boolean): void {
  areKeysOn.value = on;
  localStorage.setItem(NAME, on ? 'on' : 'off');
}
