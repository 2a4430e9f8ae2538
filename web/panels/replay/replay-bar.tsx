import { effect } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import type { DayView, FindingView } from '../../../shared/api.ts';
import { formatClock } from '../../../shared/text.ts';
import { cursor, isPlaying, keepInView, pinned, placeCursor, shownRange } from '../../plot/time-view.ts';
import { go, reading } from '../../state.ts';
import { SPEEDS, pause, playOrPause, speed } from './replay-clock.ts';
import { areKeysOn } from './shortcuts.ts';

/** Play, pace, and the way from finding to finding. */
export function ReplayBar({ view }: { readonly view: DayView }) {
  const clock = useRef<HTMLSpanElement>(null);
  useEffect(() => effect(() => {
    if (clock.current !== null) clock.current.textContent = formatClock(cursor.value ?? shownRange.value.from, reading.value);
  }), []);
  useEffect(() => {
    const keys = (event: KeyboardEvent): void => {
      if (event.ctrlKey || event.metaKey || event.altKey || !(event.target instanceof Element)) return;
      if (event.target.closest('input, select, textarea, [contenteditable]') !== null) return;
      if (event.key === ' ' && event.target.closest('button, summary, a') === null) playOrPause();
      else if (event.key === '.' && areKeysOn.value) toFinding(view, 1);
      else if (event.key === ',' && areKeysOn.value) toFinding(view, -1);
      else return;
      event.preventDefault();
    };
    addEventListener('keydown', keys);
    return () => {
      removeEventListener('keydown', keys);
      if (isPlaying.peek()) pause();
    };
  }, [view]);
  return (
    <div class="replay" role="group" aria-label="Replay">
      <button type="button" class="main" aria-pressed={isPlaying.value} onClick={playOrPause}>{isPlaying.value ? 'Pause' : 'Play'}</button>
      <label><span class="unseen">Pace</span>
        <select value={speed.value} onChange={(event) => { speed.value = Number(event.currentTarget.value); }}>
          {SPEEDS.map((each) => <option key={each} value={each}>{each}×</option>)}
        </select>
      </label>
      <span ref={clock} class="clock-face" />
      <button type="button" disabled={view.findings.length === 0} onClick={() => toFinding(view, -1)}>Finding before</button>
      <button type="button" disabled={view.findings.length === 0} onClick={() => toFinding(view, 1)}>Next finding</button>
    </div>
  );
}

/** Goes to the start of the next or previous finding from the cursor. */
function toFinding(view: DayView, by: 1 | -1): void {
  const ordered = view.findings.toSorted((a, b) => a.span.start - b.span.start);
  const at = pinned.peek() ?? (by > 0 ? -1 : Infinity);
  const next: FindingView | undefined = by > 0 ? ordered.find(({ span }) => span.start > at + 0.05) ?? ordered[0] : ordered.findLast(({ span }) => span.start < at - 0.05) ?? ordered.at(-1);
  if (next === undefined) return;
  placeCursor(next.span.start);
  keepInView(next.span.start);
  go({ finding: next.id }, 'replace');
}
