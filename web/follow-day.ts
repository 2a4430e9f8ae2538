import { effect, signal } from '@preact/signals';
import { ServerError, api } from './api.ts';
import { desk } from './desk-api.ts';
import { address, dayState, isServerGone, marks, trouble } from './state.ts';

const ASK_AGAIN_MILLISECONDS = 100;
const PULSE_MILLISECONDS = 2500;

const pokes = signal(0);

/** Asks for the day's state at once instead of at its next pulse, after this window changed it. */
export function refreshDay(): void {
  pokes.value += 1;
}

/** Fetches the marks again, after they were changed here or elsewhere. */
export async function fetchMarks(day: string): Promise<void> {
  const list = await desk.marks(day);
  if (address.value.day === day) marks.value = new Map(list.map((mark) => [mark.finding, mark]));
}

/**
 * Keeps `dayState` and `marks` true to the day in the address: asks often while it is being read, and listens for its
 * pulse afterwards, so that what another window changes shows here too and a server that is gone is noticed.
 */
export function followDay(): () => void {
  let asked = '';
  let poked = 0;
  let timer = 0;
  let seen = { revision: 0, marks: -1 };

  const later = (day: string, milliseconds: number, ask: (day: string) => Promise<void>): void => {
    clearTimeout(timer);
    timer = window.setTimeout(() => void ask(day), milliseconds);
  };

  const fail = (error: unknown): void => {
    dayState.value = undefined;
    trouble.value = error instanceof ServerError ? error.reply : { kind: 'internal', message: String(error), whatToDo: 'Reload the page.' };
  };

  const askState = async (day: string): Promise<void> => {
    try {
      /* The pulse first: what changes between the two is then fetched again rather than missed. */
      const { revision } = await desk.pulse(day);
      const state = await api.state(day);
      if (asked !== day) return;
      seen.revision = revision;
      isServerGone.value = false;
      trouble.value = undefined;
      dayState.value = state;
      if (state.status === 'reading' || state.status === 'judging') later(day, ASK_AGAIN_MILLISECONDS, askState);
      else later(day, 0, listen);
    } catch (error) {
      if (asked !== day) return;
      if (isUnreachable(error)) later(day, PULSE_MILLISECONDS, askState);
      fail(error);
    }
  };

  const listen = async (day: string): Promise<void> => {
    try {
      const pulse = await desk.pulse(day);
      if (asked !== day) return;
      isServerGone.value = false;
      const isOther = pulse.revision !== seen.revision;
      if (pulse.status === 'ready' && pulse.marks !== seen.marks) await fetchMarks(day);
      seen = { revision: pulse.revision, marks: pulse.marks };
      if (isOther) later(day, 0, askState);
      else later(day, PULSE_MILLISECONDS, listen);
    } catch (error) {
      if (asked !== day) return;
      if (isUnreachable(error)) {
        isServerGone.value = true;
        later(day, PULSE_MILLISECONDS, listen);
      } else {
        isServerGone.value = false;
        fail(error);
      }
    }
  };

  return effect(() => {
    const { day } = address.value;
    const isPoked = pokes.value !== poked;
    poked = pokes.value;
    if (isPoked && day !== undefined && day === asked) later(day, 0, askState);
    if ((day ?? '') === asked) return;
    asked = day ?? '';
    seen = { revision: 0, marks: -1 };
    clearTimeout(timer);
    dayState.value = undefined;
    trouble.value = undefined;
    isServerGone.value = false;
    marks.value = new Map();
    if (day !== undefined) void askState(day);
  });
}

const isUnreachable = (error: unknown): boolean => error instanceof ServerError && error.reply.kind === 'unreachable';
