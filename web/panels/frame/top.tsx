import type { ReadingName } from '../../address.ts';
import { address, go, view } from '../../state.ts';

const READINGS: readonly { readonly name: ReadingName; readonly label: string }[] = [
  { name: 'fix', label: 'What to fix' },
  { name: 'day', label: 'The day' },
  { name: 'rates', label: 'The rates' },
];

export function Top() {
  const day = view.value;
  return (
    <header class="top">
      <h1>Sowtrace</h1>
      {day !== undefined && <span class="quiet">{day.name}</span>}
      <span class="grow" />
      {day !== undefined && (
        <nav class="readings" aria-label="Readings of the day">
          {READINGS.map(({ name, label }) => (
            <button type="button" key={name} aria-current={address.value.reading === name ? 'page' : undefined} onClick={() => go({ reading: name })}>{label}</button>
          ))}
        </nav>
      )}
      <label class="units">
        <span>Units</span>
        <select value={address.value.units} onChange={(event) => go({ units: event.currentTarget.value === 'us' ? 'us' : 'metric' })}>
          <option value="metric">metric</option>
          <option value="us">US</option>
        </select>
      </label>
      {address.value.day !== undefined && <button type="button" onClick={() => go({ day: undefined, finding: undefined, from: undefined, to: undefined, at: undefined, channels: [] })}>Another day</button>}
    </header>
  );
}
