import { effect, type ReadonlySignal } from '@preact/signals';
import { useEffect, useMemo, useRef } from 'preact/hooks';
import type { DayView } from '../../../shared/api.ts';
import type { ValuesAt } from '../../../shared/day-views.ts';
import type { Setup } from '../../../shared/setup.ts';
import { formatClock, shownUnit } from '../../../shared/text.ts';
import { latestOnly } from '../../plot/latest-only.ts';
import { valueIn, type Lane } from '../../plot/lane-store.ts';
import { strokeOf } from '../../plot/palette.ts';
import { showValue } from '../../plot/show-value.ts';
import { cursor, isPlaying } from '../../plot/time-view.ts';
import { reading } from '../../state.ts';
import { shortName, type LanePlan } from './lane-plan.ts';
import { doingAt } from './story-lane.tsx';
import { Swatch } from './swatch.tsx';

/** s; shorter pauses than this are never gaps. */
const SHORTEST_HOLD = 3;

export interface ReadItem {
  readonly lane: string;
  readonly channel: number;
  readonly id: string;
  readonly label: string;
  readonly unit: string;
  readonly hold: number;
  readonly stroke: ReturnType<typeof strokeOf>;
}

export function readItems(plans: readonly LanePlan[], view: DayView, setup: Setup): readonly ReadItem[] {
  return plans.flatMap((plan) => plan.channels.map(({ index, id, unit, samples }, k) => ({
    lane: plan.id, channel: index, id, label: plan.isAdded ? id : plan.id === 'speeds' ? `${shortName(id, setup)} speed` : shortName(id, setup), unit,
    hold: Math.max(SHORTEST_HOLD, (5 * view.duration) / Math.max(1, samples)), stroke: strokeOf(k),
  })));
}

/** The values at the cursor as text, by the fetched data; used by the strip and read out to who cannot see it. */
export function sayValues(items: readonly ReadItem[], lanes: ReadonlyMap<number, Lane>, at: number): string {
  const values = items.map(({ channel, label, unit, hold }) => {
    const shown = shownUnit(unit, reading.peek().units);
    const value = valueIn(lanes.get(channel), at, hold);
    return `${label} ${Number.isNaN(value) ? 'no value' : showValue(shown.convert(value), shown.label)}`;
  });
  return `${formatClock(at, reading.peek())}: ${values.join(', ')}`;
}

export interface ReadOutProps {
  readonly view: DayView;
  readonly items: readonly ReadItem[];
  readonly lanes: ReadonlySignal<ReadonlyMap<number, Lane>>;
}

/** Everything in view at the cursor. Written straight into its places, so that a replay draws nothing else; at rest the store's exact values. */
export function ReadOut({ view, items, lanes }: ReadOutProps) {
  const strip = useRef<HTMLDListElement>(null);
  const time = useRef<HTMLSpanElement>(null);
  const ask = useMemo(() => latestOnly(async ({ at, channels }: { readonly at: number; readonly channels: readonly number[] }) => {
    const response = await fetch(`/api/days/${encodeURIComponent(view.id)}/values?${new URLSearchParams({ channels: channels.join(','), at: String(at) })}`);
    if (!response.ok) throw new Error(`answered ${response.status}`);
    return (await response.json()) as ValuesAt;
  }, (answer, { channels }) => {
    if (cursor.peek() === answer.at) write(strip.current, channels.map((_, k) => answer.values[k] ?? Number.NaN), items, 'exact');
  }), [view, items]);

  useEffect(() => {
    let rest = 0;
    const stop = effect(() => {
      const at = cursor.value;
      const { units } = reading.value;
      void units;
      const fetched = lanes.value;
      if (time.current !== null) time.current.textContent = at === undefined ? 'Point at a lane, or click, to read its values.' : `${formatClock(at, reading.value)} · ${doingAt(view, at)}`;
      write(strip.current, items.map(({ channel, hold }) => (at === undefined ? Number.NaN : valueIn(fetched.get(channel), at, hold))), items, 'fetched');
      clearTimeout(rest);
      if (at !== undefined && !isPlaying.value) rest = window.setTimeout(() => ask({ at, channels: items.map(({ channel }) => channel) }), 15);
    });
    return () => {
      stop();
      clearTimeout(rest);
    };
  }, [items, view, lanes]);

  return (
    <div class="read-out" aria-label="Values at the cursor" role="group">
      <span ref={time} class="read-time" />
      <dl ref={strip}>
        {items.map(({ channel, label, stroke, lane }) => (
          <div key={`${lane} ${channel}`}><dt><Swatch stroke={stroke} />{label}</dt><dd data-channel={channel}>–</dd></div>
        ))}
      </dl>
    </div>
  );
}

function write(strip: HTMLElement | null, values: readonly number[], items: readonly ReadItem[], source: 'fetched' | 'exact'): void {
  if (strip === null) return;
  strip.dataset['source'] = source;
  const { units } = reading.peek();
  [...strip.children].forEach((row, k) => {
    const item = items[k];
    const place = row.lastElementChild;
    if (item === undefined || place === null) return;
    const shown = shownUnit(item.unit, units);
    const value = values[k] ?? Number.NaN;
    const text = Number.isNaN(value) ? '–' : showValue(shown.convert(value), shown.label);
    if (place.textContent !== text) place.textContent = text;
  });
}
