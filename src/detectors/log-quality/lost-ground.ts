import type { Span } from '../../../shared/span.ts';
import { intersectSpans, totalSeconds } from '../../series/spans.ts';
import { median } from '../../series/robust.ts';
import { indexAtOrBefore } from '../../series/resample.ts';
import type { DetectorContext } from '../detector.ts';
import { rollingSpeed } from './gnss-losses.ts';
import { valuesWithin } from './values-within.ts';

type Context = Pick<DetectorContext<string, object>, 'channel' | 'channels' | 'timeline' | 'episodes' | 'setup'>;

/** Ground of which something is not known. */
export interface LostGround {
  /** m driven; `measured` false = by the usual working speed. */
  readonly distance: number;
  readonly measured: boolean;
  /** m², at most; undefined = the setup has no width. */
  readonly area: number | undefined;
}

/** s within which work beside a silence shows that there was work in it. */
const SOON = 60;

/** Way driven at work during spans, by what was logged of it; with `unheard`, whether it was at work was not logged either, so that all of it counts. */
export function groundIn(context: Context, spans: readonly Span[], unheard = false): LostGround {
  const { working } = context.episodes;
  const speed = rollingSpeed(context) ?? context.timeline.mean('gnss.speed');
  const atWork = unheard ? spans : intersectSpans(working, spans);
  let distance = 0;
  let unknown = 0;
  for (const { start, end } of atWork) {
    for (let k = Math.floor(start); k < end; k++) {
      const seconds = Math.min(end, k + 1) - Math.max(start, k);
      const v = speed?.[k] ?? Number.NaN;
      if (Number.isNaN(v)) unknown += seconds;
      else distance += v * seconds;
    }
  }
  const counted = unknown > 0 ? countedWay(context, spans) : undefined;
  if (counted !== undefined) return ground(context, Math.max(distance, counted), true);
  return ground(context, distance + unknown * usualSpeed(context), unknown < 0.2 * totalSeconds(atWork));
}

/** m rolled during spans, at work or not; undefined = no wheel, radar or driveline speed was logged. */
export function wayRolled(context: Context, spans: readonly Span[]): number | undefined {
  const speed = rollingSpeed(context);
  return speed === undefined ? undefined : valuesWithin(speed, spans).reduce((sum, v) => sum + v, 0);
}

/** m² of the day's work, by time and usual speed. */
export function workedArea(context: Context): number | undefined {
  const width = widthOf(context);
  return width === undefined ? undefined : totalSeconds(context.episodes.working) * usualSpeed(context) * width;
}

/** Work just before and just after. */
export function isAmidWork(working: readonly Span[], { start, end }: Span): boolean {
  const isNear = (from: number, to: number): boolean => intersectSpans(working, [{ start: from, end: to }]).length > 0;
  return isNear(start - SOON, start + 1) && isNear(end - 1, end + SOON);
}

/** m by a wheel counter that ran on through the spans unheard. */
function countedWay({ channel, setup }: Context, spans: readonly Span[]): number | undefined {
  const distance = channel('wheel.distance');
  const constant = setup.machine.wheel?.constant.pulsesPerMetre;
  const counter = distance ?? (constant === undefined ? undefined : channel('wheel.pulses'));
  if (counter === undefined) return undefined;
  const perMetre = distance === undefined ? (constant ?? 1) : 1;
  let total = 0;
  for (const { start, end } of spans) {
    const before = counter.value[indexAtOrBefore(counter.time, start + 0.5)];
    const after = counter.value[indexAtOrBefore(counter.time, end - 0.5) + 1];
    if (before === undefined || after === undefined || !(after >= before)) return undefined;
    total += (after - before) / perMetre;
  }
  return total;
}

function usualSpeed(context: Context): number {
  const speed = context.timeline.mean('gnss.speed') ?? rollingSpeed(context);
  if (speed === undefined) return Number.NaN;
  const usual = median(valuesWithin(speed, context.episodes.working));
  return Number.isNaN(usual) ? 0 : usual;
}

function ground(context: Context, distance: number, measured: boolean): LostGround {
  const width = widthOf(context);
  return { distance, measured, area: width === undefined ? undefined : distance * width };
}

/** m; as entered, else by rows. */
function widthOf({ setup: { machine } }: Context): number | undefined {
  const runs = machine.towers.reduce((sum, tower) => sum + tower.runs.length, 0);
  return machine.workingWidth ?? (machine.rowSpacing === undefined || runs === 0 ? undefined : machine.rowSpacing * runs);
}
