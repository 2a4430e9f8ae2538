import { effect, useComputed, useSignal, type ReadonlySignal } from '@preact/signals';
import { useEffect, useMemo, useRef } from 'preact/hooks';
import type { DayView } from '../../../shared/api.ts';
import type { RateView } from '../../../shared/day-views.ts';
import { formatClock, formatNumber, quantity, renderText } from '../../../shared/text.ts';
import { useDrawing } from '../../plot/drawing.ts';
import { useFetched } from '../../plot/fetched.ts';
import { TableBehind } from '../../plot/table-behind.tsx';
import { cursor, drawnRange, isWhole, keepInView, placeCursor, shownRange } from '../../plot/time-view.ts';
import { address, reading } from '../../state.ts';
import { fetchColour, fetchField, placeAt, timeNear } from './field-store.ts';
import { colourScale } from './map-colour.ts';
import { ColourChoice, MapLegend } from './map-legend.tsx';
import { paintGround, paintMarker, paintPlaces, paintScale, paintWay } from './map-painting.ts';
import { followMapPointers } from './map-pointers.ts';
import { fit, moved, toPlane, toX, toY, zoomed, type Sight } from './map-sight.ts';
import { themeTurns } from '../../plot/palette.ts';

export interface FieldMapProps {
  readonly view: DayView;
  /** What the ground is coloured by when the address says nothing. */
  readonly colour?: string;
  readonly rates?: readonly RateView[];
  readonly at: ReadonlySignal<number | undefined>;
}

/** s along the way at one press of an arrow key, and with Shift. */
const WALK = 5;

/** The field as driven and sown, north up, on the day's own cursor. */
export function FieldMap({ view, colour, rates, at }: FieldMapProps) {
  const sight = useSignal<Sight | undefined>(undefined);
  const overlaps = useSignal(true);
  const misses = useSignal(true);
  const frame = useRef<HTMLDivElement>(null);
  const live = useRef<HTMLParagraphElement>(null);
  const chosenColour = useComputed(() => address.value.colour).value;
  const finding = useComputed(() => address.value.finding);
  const by = chosenColour ?? colour ?? '';

  const field = useFetched(() => fetchField(view.id), [view]);
  const colours = useFetched(async () => (by === '' ? undefined : { by, values: await fetchColour(view.id, by.startsWith('rate:') ? 'rate' : 'channel', by.replace(/^rate:/, '')) }), [view, by]);
  const known = field.status === 'ready' ? field.value : undefined;
  const values = colours.status === 'ready' && colours.value?.by === by ? colours.value.values : undefined;
  const scale = useMemo(() => (values === undefined || by === '' ? undefined : colourScale(by, values, view, rates, reading.value.units)), [values, by, rates, reading.value.units, themeTurns.value]);

  useEffect(() => {
    const element = frame.current;
    if (element === null || known === undefined) return undefined;
    const resize = (): void => {
      const [width, height] = [element.clientWidth, element.clientHeight];
      const now = sight.peek();
      sight.value = now === undefined || now.width < 2 ? fit(known.bounds, width, height) : { ...now, width, height };
    };
    resize();
    const watcher = new ResizeObserver(resize);
    watcher.observe(element);
    const release = followMapPointers(element, sight, (x, y) => {
      const now = sight.peek();
      if (now === undefined) return;
      const time = timeNear(known, toPlane(now, x, y), 24 / now.scale);
      if (time === undefined) return;
      placeCursor(time);
      keepInView(time);
    });
    /* near the edge, the marker takes the map along */
    const stop = effect(() => {
      const time = at.value;
      const now = sight.peek();
      const place = time === undefined ? undefined : placeAt(known, time);
      if (place === undefined || now === undefined || now.scale <= fit(known.bounds, now.width, now.height).scale * 1.05) return;
      const [x, y] = [toX(now, place.east), toY(now, place.north)];
      if (x < 30 || y < 30 || x > now.width - 30 || y > now.height - 30) sight.value = { ...now, east: place.east, north: place.north };
    });
    return () => {
      watcher.disconnect();
      release();
      stop();
    };
  }, [known]);

  const height = innerWidth >= 1600 ? 560 : 420;
  const ground = useDrawing(height, (pen) => { if (known !== undefined && sight.value !== undefined) paintGround(pen, sight.value, known, scale?.shade, { overlaps: overlaps.value, misses: misses.value }); }, [known, scale]);
  const ways = useDrawing(height, (pen) => {
    if (known === undefined || sight.value === undefined) return;
    if (!isWhole.value && known.ribbons.length > 0) paintWay(pen, sight.value, known, drawnRange.value);
    paintPlaces(pen, sight.value, known, finding.value);
    paintScale(pen, sight.value, reading.value.units);
  }, [known]);
  const marker = useDrawing(height, (pen) => {
    const place = at.value === undefined || known === undefined ? undefined : placeAt(known, at.value);
    if (frame.current !== null) frame.current.dataset['marker'] = place === undefined ? '' : `${place.east.toFixed(1)} ${place.north.toFixed(1)}`;
    if (place !== undefined && sight.value !== undefined) paintMarker(pen, sight.value, place);
  }, [known]);

  const change = (next: (now: Sight) => Sight): void => { if (sight.value !== undefined) sight.value = next(sight.value); };
  const whole = (): void => { if (known !== undefined) change((now) => fit(known.bounds, now.width, now.height)); };
  const walk = (by: number): void => {
    const time = (cursor.peek() ?? shownRange.peek().from) + by;
    placeCursor(time);
    keepInView(time);
    const place = known === undefined ? undefined : placeAt(known, time);
    if (live.current !== null) live.current.textContent = `${formatClock(time, reading.value)}: ${place === undefined ? 'place not known' : renderText(`${quantity.length(place.east, 0)} east, ${quantity.length(place.north, 0)} north of the middle`, reading.value)}`;
  };
  const keys = (event: KeyboardEvent): void => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.target !== event.currentTarget) return;
    const pan = (dx: number, dy: number) => (): void => change((now) => moved(now, dx, dy));
    const actions: Readonly<Record<string, () => void>> = event.shiftKey
      ? { ArrowLeft: pan(60, 0), ArrowRight: pan(-60, 0), ArrowUp: pan(0, 60), ArrowDown: pan(0, -60) }
      : { 'ArrowLeft': () => walk(-WALK), 'ArrowRight': () => walk(WALK), '+': () => change((now) => zoomed(now, 1.6)), '=': () => change((now) => zoomed(now, 1.6)), '-': () => change((now) => zoomed(now, 1 / 1.6)), '0': whole };
    const action = actions[event.key];
    if (action === undefined) return;
    event.preventDefault();
    action();
  };

  if (field.status === 'ready' && known === undefined) return <section class="field" aria-label="Field map"><p class="quiet">The logs hold no positions, so there is no map. Log gnss.lat and gnss.lon to get one.</p></section>;
  if (field.status === 'failed') return <section class="field" aria-label="Field map"><p role="alert" class="trouble">The map could not be fetched. Reload the page.</p></section>;
  const summary = known?.areas === undefined ? (known === undefined ? 'Drawing the field…' : 'The way driven. With the working width in the setup, the ground covered would show.')
    : renderText(`${quantity.area(known.areas.covered * 1e4, 1)} covered, ${quantity.area(known.areas.overlap * 1e4)} of it twice; ${quantity.area(known.areas.missed * 1e4)} missed between passes`, reading.value);
  return (
    <section class="field" aria-label="Field map">
      <div class="lane-head"><strong>Field</strong><span class="quiet">{summary}</span></div>
      <ColourChoice view={view} by={by} fallback={colour ?? ''} />
      <figure class="map" tabIndex={0} onKeyDown={keys} aria-label={`Field map, north up. ${summary}. Left and right move along the way, Shift and arrows move the map, plus and minus zoom.`}>
        <div class="map-frame" ref={frame} style={{ height: `${height}px` }} data-own-pointer>
          <canvas ref={ground} aria-hidden="true" /><canvas ref={ways} aria-hidden="true" /><canvas ref={marker} aria-hidden="true" />
        </div>
        <p ref={live} class="unseen" aria-live="polite" />
      </figure>
      <div class="row tight" role="group" aria-label="Move the map">
        <button type="button" class="small" onClick={() => change((now) => zoomed(now, 1.6))}>Closer</button>
        <button type="button" class="small" onClick={() => change((now) => zoomed(now, 1 / 1.6))}>Wider</button>
        <button type="button" class="small" onClick={whole}>Whole field</button>
        {([['west', '←', 80, 0], ['north', '↑', 0, 80], ['south', '↓', 0, -80], ['east', '→', -80, 0]] as const).map(([name, sign, dx, dy]) => <button type="button" key={name} class="small" aria-label={`Move the map ${name}`} onClick={() => change((now) => moved(now, dx, dy))}>{sign}</button>)}
      </div>
      <MapLegend scale={scale} overlaps={overlaps} misses={misses} hasPlaces={(known?.places.length ?? 0) > 0} hasGround={(known?.ribbons.length ?? 0) > 0} hasWay={!isWhole.value} />
      {known !== undefined && known.patches.length > 0 && (
        <TableBehind summary={`Places covered twice or missed: ${known.patches.length}`} columns={[{ label: 'what' }, { label: 'where' }, { label: 'area', isNumber: true }, { label: 'width', isNumber: true }, { label: 'when' }]}
          rows={() => known.patches.map((patch) => [
            patch.kind === 'overlap' ? 'twice' : 'missed', patch.between ? 'beside a pass' : 'at an end', renderText(quantity.area(patch.area, patch.area < 1000 ? 3 : 2), reading.value), renderText(quantity.length(patch.width, 2), reading.value),
            <button type="button" class="link" key="go" onClick={() => {
              placeCursor(patch.time);
              keepInView(patch.time);
              const [east, north] = patch.outline[0] ?? [0, 0];
              change((now) => ({ ...now, east, north, scale: Math.max(now.scale, 2) }));
            }}>{formatClock(patch.time, reading.value)}</button>,
          ])} />
      )}
      {known !== undefined && <p class="quiet small-print">The field lies at latitude {formatNumber(known.origin.latitude, 3)}°, longitude {formatNumber(known.origin.longitude, 3)}°.</p>}
    </section>
  );
}
