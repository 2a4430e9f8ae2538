import { computed, effect, useComputed, useSignal } from '@preact/signals';
import { useEffect, useLayoutEffect, useMemo, useRef } from 'preact/hooks';
import type { DayView } from '../../../shared/api.ts';
import { createLaneStore } from '../../plot/lane-store.ts';
import { plotWidth } from '../../plot/stage-geometry.ts';
import { TimeAxis } from '../../plot/time-axis.tsx';
import { cursor, drawFresh, shownRange } from '../../plot/time-view.ts';
import { address, go } from '../../state.ts';
import { AddChannel } from '../channels/add-channel.tsx';
import { FieldMap } from '../map/field-map.tsx';
import { ReplayBar } from '../replay/replay-bar.tsx';
import { FindingsLane } from './findings-lane.tsx';
import { lanePlans, setupOf } from './lane-plan.ts';
import { LineLane } from './line-lane.tsx';
import { Minimap } from './minimap.tsx';
import { RangeBar } from './range-bar.tsx';
import { ReadOut, readItems, sayValues } from './read-out.tsx';
import { gridOf, ratioAt } from './run-grid.ts';
import { RunPicture } from './run-picture.tsx';
import { Stage } from './stage.tsx';
import { StoryLane } from './story-lane.tsx';

/** The day as the operator drove it: its story, speeds, air, tanks, runs and findings on one time axis, the field beside it. */
export function DayPanel({ view }: { readonly view: DayView }) {
  const setup = useMemo(() => setupOf(view), [view]);
  /* only what of the address is drawn here, so that a zoom does not render all lanes anew */
  const names = useComputed(() => address.value.channels.join()).value;
  const chosen = useComputed(() => address.value.finding).value;
  const added = useMemo(() => address.peek().channels, [names]);
  const plans = useMemo(() => lanePlans(view, setup, added), [view, setup, added]);
  const items = useMemo(() => readItems(plans, view, setup), [plans]);
  const lanes = useMemo(() => createLaneStore(view.id, view.duration), [view.id]);
  const grid = useMemo(() => computed(() => (lanes.runs.value === undefined ? undefined : gridOf(lanes.runs.value))), [lanes]);
  const chosenRun = useSignal<number | undefined>(undefined);
  const place = useRef<HTMLDivElement>(null);
  const live = useRef<HTMLParagraphElement>(null);
  const hasRuns = view.channels.some(({ id }) => /^run\.\d+\.count$/.test(id));
  const channels = items.map(({ channel }) => channel);

  /* asked for before the map, which takes the server longer */
  useLayoutEffect(() => {
    const element = place.current;
    if (element === null) return undefined;
    const ask = (): void => {
      const range = shownRange.value;
      const columns = Math.max(100, Math.round(plotWidth(element.clientWidth) * devicePixelRatio));
      const question = { channels: [...new Set(channels)], range, columns };
      /* The first look at the runs takes the server longest: the lines do not wait for it. */
      if (hasRuns && lanes.runs.peek() === undefined && channels.length > 0) lanes.want({ ...question, runs: false });
      lanes.want({ ...question, runs: hasRuns });
    };
    const stop = effect(ask);
    let width = element.clientWidth;
    const watcher = new ResizeObserver(() => {
      if (Math.abs(element.clientWidth - width) < 2) return;
      width = element.clientWidth;
      ask();
    });
    watcher.observe(element);
    return () => {
      stop();
      watcher.disconnect();
    };
  }, [channels.join(), lanes, hasRuns, view]);

  useEffect(() => effect(() => {
    const fresh = lanes.fresh.value;
    if (fresh === shownRange.peek()) drawFresh();
    /* what lies behind the picture, for whoever measures it from outside */
    if (place.current !== null && fresh !== undefined && (!hasRuns || lanes.runs.value !== undefined)) place.current.dataset['fresh'] = `${fresh.from} ${fresh.to}`;
  }), [lanes, hasRuns]);

  const announce = (at: number, plot: Element): void => {
    const lane = plot.closest('[data-lane]')?.getAttribute('data-lane');
    const own = items.filter((item) => item.lane === lane);
    const runs = grid.peek();
    const row = runs?.runs.findIndex(({ run }) => run === chosenRun.peek()) ?? -1;
    const run = lane === 'runs' && runs !== undefined && row >= 0 ? `, run ${chosenRun.peek()} ${Math.round(100 * ratioAt(runs, row, at))} % of its mates` : '';
    if (live.current !== null) live.current.textContent = `${sayValues(own.length > 0 ? own : items, lanes.lanes.peek(), at)}${run}`;
  };
  const shaded = useMemo(() => view.findings.find(({ id }) => id === chosen)?.episodes ?? [], [view, chosen]);

  return (
    <section class="day" aria-label="The day">
      <div class="day-head">
        <RangeBar />
        <Minimap view={view} />
        <ReplayBar view={view} />
      </div>
      <div class="day-body">
        <div class="day-lanes" ref={place}>
          <ReadOut view={view} items={items} lanes={lanes.lanes} />
          <Stage onWalk={announce}>
            <TimeAxis />
            <StoryLane view={view} />
            <FindingsLane view={view} />
            {plans.filter(({ isAdded }) => !isAdded).map((plan) => <LineLane key={plan.id} plan={plan} setup={setup} lanes={lanes.lanes} shaded={shaded} height={plan.id === 'tanks' ? 130 : 104} />)}
            {hasRuns && <RunPicture view={view} grid={grid} chosen={chosenRun} />}
            {plans.filter(({ isAdded }) => isAdded).map((plan) => (
              <LineLane key={plan.id} plan={plan} setup={setup} lanes={lanes.lanes} shaded={shaded} height={120} onRemove={() => go({ channels: added.filter((id) => id !== plan.title) })} />
            ))}
            <TimeAxis />
          </Stage>
          <p ref={live} class="unseen" aria-live="polite" />
          {lanes.failed.value && <p role="alert" class="trouble">The lanes could not be fetched. Is Sowtrace still running? Reload the page.</p>}
          <AddChannel view={view} shown={added} />
        </div>
        <FieldMap view={view} at={cursor} />
      </div>
    </section>
  );
}
