import { useMemo } from 'preact/hooks';
import type { ReadonlySignal } from '@preact/signals';
import type { Span } from '../../../shared/span.ts';
import { formatClock, formatNumber, renderText, shownUnit } from '../../../shared/text.ts';
import type { Setup } from '../../../shared/setup.ts';
import { LanePlot } from '../../plot/lane-plot.tsx';
import type { Lane } from '../../plot/lane-store.ts';
import { pointsOf } from '../../plot/lines.ts';
import { together } from '../../plot/lines-together.ts';
import { strokeOf, themeTurns } from '../../plot/palette.ts';
import { showNumber } from '../../plot/show-value.ts';
import { TableBehind } from '../../plot/table-behind.tsx';
import { shownRange } from '../../plot/time-view.ts';
import { reading } from '../../state.ts';
import { shortName, type LanePlan } from './lane-plan.ts';
import { Swatch } from './swatch.tsx';

export interface LineLaneProps {
  readonly plan: LanePlan;
  readonly setup: Setup;
  readonly lanes: ReadonlySignal<ReadonlyMap<number, Lane>>;
  readonly shaded: readonly Span[];
  readonly height: number;
  readonly onRemove?: () => void;
}

/** One lane of lines: its title with the key of its colours, an honest word on what is drawn, the lines, the table behind. */
export function LineLane({ plan, setup, lanes, shaded, height, onRemove }: LineLaneProps) {
  const { units } = reading.value;
  const shown = shownUnit(plan.unit, units);
  const data = plan.channels.map(({ index }) => lanes.value.get(index));
  const drawn = useMemo(() => together(data.map((lane) => (lane === undefined ? { x: [], y: [] } : pointsOf(lane, shown.convert)))), [...data, units]);
  const lines = useMemo(() => plan.channels.map(({ id }, k) => ({ label: id, stroke: strokeOf(k) })), [plan.channels.map(({ id }) => id).join(), themeTurns.value]);
  const levels = useMemo(() => plan.levels.map((level) => ({ label: level.label, value: shown.convert(level.value) })), [plan.levels.map(({ value }) => value).join(), units]);
  const events = useMemo(() => plan.events.map(({ at, label }) => ({ at, label: renderText(label, reading.value) })), [plan.events.length, units]);
  const rows = (): (readonly string[])[] => {
    const { from, to } = shownRange.peek();
    const inside = Array.from(drawn.x, (time, i) => ({ time, i })).filter(({ time, i }) => time >= from && time <= to && drawn.lines.some((line) => line[i] !== undefined));
    const stride = Math.max(1, Math.ceil(inside.length / 500));
    return inside.filter((_, k) => k % stride === 0).map(({ time, i }) => [formatClock(time, reading.value), ...drawn.lines.map((line) => showNumber(line[i], shown.label))]);
  };
  return (
    <figure class="lane" tabIndex={0} data-lane={plan.id} aria-label={`${plan.title} over time${shown.label === '' ? '' : `, ${shown.label}`}`}>
      <figcaption class="lane-head">
        <strong>{plan.title}</strong>
        {shown.label !== '' && <span class="quiet">{shown.label}</span>}
        {plan.channels.length > 1 && lines.map((line) => <span key={line.label} class="key"><Swatch stroke={line.stroke} />{shortName(line.label, setup)}</span>)}
        <span class="grow" />
        <Density data={data} />
        {onRemove !== undefined && <button type="button" class="small" onClick={onRemove}>Remove<span class="unseen"> {plan.title}</span></button>}
      </figcaption>
      <LanePlot lines={lines} data={drawn} height={height} shaded={shaded} levels={levels} events={events} />
      <TableBehind summary={<>Numbers<span class="unseen">: {plan.title}</span></>} columns={[{ label: 'time' }, ...plan.channels.map(({ id }) => ({ label: shown.label === '' ? id : `${id}, ${shown.label}`, isNumber: true }))]} rows={rows} />
    </figure>
  );
}

/** Says exactly when blocks are drawn instead of samples. */
function Density({ data }: { readonly data: readonly (Lane | undefined)[] }) {
  const blocks = data.filter((lane) => lane?.kind === 'blocks');
  if (blocks.length === 0) return <span class="quiet density">{data.some((lane) => lane !== undefined) ? 'every sample' : ''}</span>;
  const most = Math.max(...blocks.map((lane) => lane.samples / Math.max(1, lane.min.length)));
  return <span class="quiet density">least and most of {formatNumber(most, most < 10 ? 1 : 0)} samples per pixel</span>;
}
