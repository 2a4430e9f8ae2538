import { effect } from '@preact/signals';
import { ServerError, api } from './api.ts';
import { address, dayState, trouble } from './state.ts';

const ASK_AGAIN_MILLISECONDS = 250;

/** Keeps `dayState` true to the day in the address, asking again while it is being read. */
export function followDay(): () => void {
  let asked = '';
  let timer = 0;
  const ask = async (day: string): Promise<void> => {
    try {
      const state = await api.state(day);
      if (asked !== day) return;
      dayState.value = state;
      if (state.status === 'reading' || state.status === 'judging') timer = window.setTimeout(() => void ask(day), ASK_AGAIN_MILLISECONDS);
    } catch (error) {
      if (asked !== day) return;
      dayState.value = undefined;
      trouble.value = error instanceof ServerError ? error.reply : { kind: 'internal', message: String(error), whatToDo: 'Reload the page.' };
    }
  };
  return effect(() => {
    const { day } = address.value;
    if ((day ?? '') === asked) return;
    asked = day ?? '';
    clearTimeout(timer);
    dayState.value = undefined;
    trouble.value = undefined;
    if (day !== undefined) void ask(day);
  });
}
