import { useMemo } from 'preact/hooks';
import { useSignal } from '@preact/signals';
import type { DayView } from '../../../shared/api.ts';
import { compareNaturally } from '../../../shared/glob.ts';
import { nearest } from '../../../shared/nearest.ts';
import { go } from '../../state.ts';

/** Any channel by its name as one more lane. */
export function AddChannel({ view, shown }: { readonly view: DayView; readonly shown: readonly string[] }) {
  const ids = useMemo(() => [...new Set(view.channels.map(({ id }) => id))].sort(compareNaturally), [view]);
  const wrong = useSignal('');
  const add = (input: HTMLInputElement): void => {
    const id = input.value.trim();
    if (id === '') return;
    if (ids.includes(id)) {
      if (!shown.includes(id)) go({ channels: [...shown, id] });
      input.value = '';
      wrong.value = '';
      return;
    }
    const close = nearest(id, ids);
    wrong.value = `There is no channel “${id}” in this day.${close === undefined ? '' : ` Did you mean ${close}?`}`;
  };
  return (
    <form class="row" onSubmit={(event) => {
      event.preventDefault();
      const input = event.currentTarget.elements.namedItem('channel');
      if (input instanceof HTMLInputElement) add(input);
    }}>
      <label>Add a channel <input name="channel" list="channel-ids" placeholder="e.g. run.23.count" autocomplete="off" onChange={(event) => add(event.currentTarget)} /></label>
      <datalist id="channel-ids">{ids.map((id) => <option key={id} value={id} />)}</datalist>
      <button type="submit">Add</button>
      <span class="quiet">{ids.length} channels</span>
      {wrong.value !== '' && <span role="alert" class="wrong">{wrong.value}</span>}
    </form>
  );
}
