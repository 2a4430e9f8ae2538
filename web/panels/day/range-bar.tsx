import { useSignal } from '@preact/signals';
import { formatClock } from '../../../shared/text.ts';
import { parseClock } from '../../plot/show-value.ts';
import { drawnRange, isWhole, panBy, setRange, undoZoom, undoable, wholeDay, zoomAbout, zoomCentre } from '../../plot/time-view.ts';
import { reading, view } from '../../state.ts';

/** The stretch in view in figures and buttons: all that a hand can drag can be typed or pressed as well. */
export function RangeBar() {
  const wrong = useSignal('');
  const { from, to } = drawnRange.value;
  const duration = view.value?.duration ?? 0;
  const type = (text: string, part: 'from' | 'to'): void => {
    const at = parseClock(text, reading.value, duration);
    const next = at === undefined ? undefined : part === 'from' ? { from: at, to: Math.max(to, at + 1) } : { from: Math.min(from, at - 1), to: at };
    wrong.value = next === undefined ? `“${text}” is no time between ${formatClock(0, reading.value)} and ${formatClock(duration, reading.value)}. Write it as 10:42 or 10:42:15.` : '';
    if (next !== undefined) setRange(next);
  };
  const field = (part: 'from' | 'to', label: string) => (
    <label>{label} <input class="clock" key={`${part}${part === 'from' ? from : to}${reading.value.zone}`} defaultValue={formatClock(part === 'from' ? from : to, reading.value)} inputMode="numeric" autocomplete="off" size={8}
      onChange={(event) => type(event.currentTarget.value, part)} /></label>
  );
  return (
    <div class="range-bar" role="group" aria-label="Stretch in view">
      {field('from', 'from')} {field('to', 'to')} <span class="quiet">{reading.value.zone}</span>
      <span class="buttons">
        <button type="button" class="small" onClick={() => panBy(-0.5)} disabled={from <= 0}>Earlier</button>
        <button type="button" class="small" onClick={() => panBy(0.5)} disabled={to >= duration}>Later</button>
        <button type="button" class="small" onClick={() => zoomAbout(zoomCentre(), 0.5)}>Closer</button>
        <button type="button" class="small" onClick={() => zoomAbout(zoomCentre(), 2)} disabled={isWhole.value}>Wider</button>
        <button type="button" class="small" onClick={undoZoom} disabled={undoable.value === 0}>Undo</button>
        <button type="button" class="small" onClick={wholeDay} disabled={isWhole.value}>Whole day</button>
      </span>
      {wrong.value !== '' && <p role="alert" class="wrong">{wrong.value}</p>}
    </div>
  );
}
