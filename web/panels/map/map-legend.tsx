import type { Signal } from '@preact/signals';
import { useMemo } from 'preact/hooks';
import type { DayView } from '../../../shared/api.ts';
import { compareNaturally } from '../../../shared/glob.ts';
import { showNumber } from '../../plot/show-value.ts';
import { go } from '../../state.ts';
import type { ColourScale } from './map-colour.ts';

/** What the ground is coloured by. */
export function ColourChoice({ view, by, fallback }: { readonly view: DayView; readonly by: string; readonly fallback: string }) {
  const ids = useMemo(() => [...new Set(view.channels.filter(({ samples, id }) => samples > 0 && !id.startsWith('gnss.l')).map(({ id }) => id))].sort(compareNaturally), [view]);
  return (
    <label class="colour-choice">Ground shows{' '}
      <select value={by} onChange={(event) => go({ colour: event.currentTarget.value === fallback ? undefined : event.currentTarget.value })}>
        <option value="">where it was sown</option>
        {view.summary.products.map(({ tank, name }) => <option key={tank} value={`rate:${tank}`}>applied rate, {name ?? `tank ${tank}`}</option>)}
        {ids.map((id) => <option key={id} value={id}>{id}</option>)}
      </select>
    </label>
  );
}

export interface MapLegendProps {
  readonly scale: ColourScale | undefined;
  readonly overlaps: Signal<boolean>;
  readonly misses: Signal<boolean>;
  readonly hasPlaces: boolean;
  readonly hasGround: boolean;
  readonly hasWay: boolean;
}

export function MapLegend({ scale, overlaps, misses, hasPlaces, hasGround, hasWay }: MapLegendProps) {
  return (
    <div class="map-legend">
      {scale !== undefined && (
        <span class="ramp-legend" role="img" aria-label={`Colour: ${scale.title}, from ${showNumber(scale.low, scale.unit)} to ${showNumber(scale.high, scale.unit)} ${scale.unit}`}>
          {scale.title}: {showNumber(scale.low, scale.unit)}
          <svg width="120" height="12" aria-hidden="true">{Array.from({ length: 30 }, (_, k) => <rect key={k} x={k * 4} y="0" width="4.5" height="12" fill={scale.ramp.colourOf(k / 29)} />)}</svg>
          {showNumber(scale.high, scale.unit)} {scale.unit}
        </span>
      )}
      {hasGround && scale === undefined && <span class="key"><i class="box covered" aria-hidden="true" />sown</span>}
      {hasGround && <label class="key"><input type="checkbox" checked={overlaps.value} onChange={(event) => { overlaps.value = event.currentTarget.checked; }} /><i class="box overlap" aria-hidden="true" />sown twice</label>}
      {hasGround && <label class="key"><input type="checkbox" checked={misses.value} onChange={(event) => { misses.value = event.currentTarget.checked; }} /><i class="box missed" aria-hidden="true" />missed</label>}
      {hasPlaces && <span class="key"><i class="box place" aria-hidden="true" />a finding</span>}
      {hasWay && <span class="key"><i class="box way" aria-hidden="true" />way in view</span>}
    </div>
  );
}
