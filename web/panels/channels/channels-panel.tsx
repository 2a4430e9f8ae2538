import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import type { Blocks, ChannelListing, DayView, Samples } from '../../../shared/api.ts';
import { compareNaturally } from '../../../shared/glob.ts';
import { formatClock, formatNumber, shownUnit } from '../../../shared/text.ts';
import { api } from '../../api.ts';
import { pointsOf } from '../../plot/lines.ts';
import { Plot } from '../../plot/plot.tsx';
import { strokeOf } from '../../plot/palette.ts';
import { address, go, range, reading } from '../../state.ts';
import { NumbersBehind } from '../evidence/evidence-view.tsx';

const FIRST_SHOWN = ['gnss.speed', 'wheel.speed', 'fan.1.speed', 'tank.1.mass', 'meter.1.speed', 'run.1.count'];

/** Any channels over time, one under the other, with one cursor through all. */
export function ChannelsPanel({ view }: { readonly view: DayView }) {
  const shown = address.value.channels.length > 0 ? address.value.channels : FIRST_SHOWN.filter((id) => view.channels.some((channel) => channel.id === id));
  const listings = shown.map((id) => view.channels.find((channel) => channel.id === id)).filter((channel) => channel !== undefined);
  const ids = useMemo(() => [...new Set(view.channels.map((channel) => channel.id))].sort(compareNaturally), [view]);
  const { from, to } = range.value;
  const isWhole = from <= 0 && to >= view.duration;
  const setRange = (start: number, end: number): void => go({ from: Math.max(0, start), to: Math.min(view.duration, end) });
  const shift = (share: number): void => setRange(from + (to - from) * share, to + (to - from) * share);
  const zoom = (factor: number): void => setRange((from + to) / 2 - ((to - from) * factor) / 2, (from + to) / 2 + ((to - from) * factor) / 2);
  return (
    <section>
      <div class="row">
        <label>Add a channel <input list="channel-ids" placeholder="e.g. run.23.count" onChange={(event) => {
          const id = event.currentTarget.value.trim();
          if (ids.includes(id) && !shown.includes(id)) go({ channels: [...shown, id] });
          event.currentTarget.value = '';
        }} /></label>
        <datalist id="channel-ids">{ids.map((id) => <option key={id} value={id} />)}</datalist>
        <span class="quiet">{formatClock(from, reading.value)} to {formatClock(to, reading.value)} {reading.value.zone}</span>
        <button type="button" onClick={() => shift(-0.5)}>Earlier</button>
        <button type="button" onClick={() => shift(0.5)}>Later</button>
        <button type="button" onClick={() => zoom(0.5)}>Closer</button>
        <button type="button" onClick={() => zoom(2)}>Wider</button>
        <button type="button" onClick={() => history.back()}>Undo</button>
        <button type="button" disabled={isWhole} onClick={() => go({ from: undefined, to: undefined })}>Whole day</button>
      </div>
      <p class="quiet">Drag over a plot to look closer.</p>
      <div class="lanes">
        {listings.map((channel) => (
          <ChannelLane key={channel.id} view={view} channel={channel} from={from} to={to} onRange={setRange} onRemove={() => go({ channels: shown.filter((id) => id !== channel.id) })} />
        ))}
      </div>
    </section>
  );
}

interface LaneProps {
  readonly view: DayView;
  readonly channel: ChannelListing;
  readonly from: number;
  readonly to: number;
  readonly onRange: (from: number, to: number) => void;
  readonly onRemove: () => void;
}

function ChannelLane({ view, channel, from, to, onRange, onRemove }: LaneProps) {
  const place = useRef<HTMLDivElement>(null);
  const [data, setData] = useState<Blocks | Samples>();
  const [failed, setFailed] = useState(false);
  useEffect(() => {
    const stop = new AbortController();
    const columns = Math.max(200, Math.round((place.current?.clientWidth ?? 900) * devicePixelRatio));
    const fetchIt = async (): Promise<void> => {
      try {
        setData(await api.blocks(view.id, channel.index, from, to, columns, stop.signal));
        setFailed(false);
      } catch (error) {
        if (!(error instanceof DOMException)) setFailed(true);
      }
    };
    void fetchIt();
    return () => stop.abort();
  }, [view.id, channel.index, from, to]);
  const shown = shownUnit(channel.unit, reading.value.units);
  const points = useMemo(() => (data === undefined ? { x: [], y: [] } : pointsOf(data, shown.convert)), [data, shown.label]);
  const lines = useMemo(() => [{ label: channel.id, stroke: strokeOf(0), y: points.y, style: 'line' as const }], [points, channel.id]);
  const formatX = (time: number): string => formatClock(time, reading.value);
  return (
    <div ref={place}>
      <div class="lane-head">
        <strong>{channel.id}</strong>
        <span class="quiet">{data?.kind === 'blocks' ? `least and most of ${formatNumber(data.samples / Math.max(1, data.time.length), 0)} samples per pixel` : `${formatNumber(channel.samples, 0)} samples in the day`}</span>
        <button type="button" onClick={onRemove}>Remove<span class="unseen"> {channel.id}</span></button>
      </div>
      {failed ? <p role="alert">This channel could not be fetched. Reload the page.</p>
        : <Plot name={`${channel.id} over time`} x={points.x} lines={lines} height={170} unit={shown.label} formatX={formatX} range={{ from, to }} cursorKey="day" onRange={onRange} />}
      <NumbersBehind x={points.x} lines={lines} xLabel="time" formatX={formatX} />
    </div>
  );
}
