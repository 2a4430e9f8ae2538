import type { Span } from '../../../shared/span.ts';
import type { DetectorContext } from '../detector.ts';
import { median } from '../../series/robust.ts';
import { intersectSpans, subtractSpans } from '../../series/spans.ts';
import type { Slip } from './story.ts';
import type { RatioWindow } from './windows.ts';

/** What a wrong speed did to the ground. */
export interface RateEffect {
  /** m² really worked in the stretch; undefined without a working width. */
  readonly area?: number;
  /** kg more (+) or less (−) than ordered; undefined without target or width. */
  readonly mass?: number;
  /** kg/m² ordered and put out, of the product with the most. */
  readonly ordered?: number;
  readonly applied?: number;
  /** Which speed the meters follow, by their own turns. */
  readonly follows: 'wheel' | 'gnss' | 'unknown';
}

type Context = Pick<DetectorContext<string, never>, 'setup' | 'timeline' | 'episodes' | 'channels' | 'channel'>;

/** Where and by how much the wheel's claim was off while it lasted. */
export interface Misreading {
  readonly span: Span;
  /** Wheel ÷ GNSS. */
  readonly ratio: number;
}

/** A stretch at one ratio, but for the patches of slip in it, which had their own. */
export function misreadingsIn(span: Span, logRatio: number, slips: readonly Slip[]): readonly Misreading[] {
  const inside = slips.flatMap((slip) => intersectSpans([slip], [span]).map((part) => ({ span: part, ratio: Math.exp(slip.estimate.logRatio) })));
  return [...subtractSpans([span], inside.map((one) => one.span)).map((part) => ({ span: part, ratio: Math.exp(logRatio) })), ...inside];
}

/** A rate controller meters for the way it is told: target × claimed way ÷ real way. */
export function rateEffect(context: Context, misreadings: readonly Misreading[], ground: Float64Array, windows: readonly RatioWindow[]): RateEffect {
  const width = context.setup.machine.workingWidth;
  const follows = speedFollowed(context, ground, windows.filter((window) => misreadings.some(({ span }) => span.start <= window.start && window.end <= span.end)));
  if (width === undefined) return { follows };
  const area = misreadings.reduce((sum, { span }) => sum + width * wayIn(ground, intersectSpans(context.episodes.working, [span])), 0);
  if (follows === 'gnss') return { follows, area, mass: 0 };
  let [mass, most, applied, ordered] = [0, 0, Number.NaN, Number.NaN];
  for (const { target, metering } of products(context)) {
    let [wanted, extra, covered] = [0, 0, 0];
    for (const { span, ratio } of misreadings) {
      const worked = intersectSpans(context.episodes.working, [span]);
      const own = width * wayIn(ground, metering.length === 0 ? worked : intersectSpans(worked, metering));
      covered += own;
      wanted += target * own;
      extra += target * own * (ratio - 1);
    }
    mass += extra;
    if (wanted > most) [most, ordered, applied] = [wanted, target, (wanted + extra) / covered];
  }
  return most > 0 ? { follows, area, mass, ordered, applied } : { follows, area };
}

function wayIn(ground: Float64Array, spans: readonly Span[]): number {
  let way = 0;
  for (const { start, end } of spans) {
    for (let k = Math.floor(start); k < Math.min(end, ground.length); k++) way += (ground[k] as number) || 0;
  }
  return way;
}

interface Metered { readonly target: number; readonly metering: readonly Span[] }

/** kg/m² and metering times of every product: by the job sheet, else by the commanded rates that were logged. */
function products({ setup, timeline, episodes, channels }: Context): readonly Metered[] {
  const byJob = setup.job.products.flatMap(({ tank, targetRate }): Metered[] => {
    const meter = setup.machine.tanks.find(({ id }) => id === tank)?.meter ?? tank;
    return targetRate === undefined ? [] : [{ target: targetRate, metering: episodes.metering(meter) }];
  });
  if (byJob.length > 0) return byJob;
  return channels('meter.*.target').flatMap(({ id }): Metered[] => {
    const commanded = timeline.held(id)?.filter((value) => value > 0);
    const metering = episodes.metering(id.split('.')[1] ?? '');
    return commanded === undefined || commanded.length === 0 || metering.length === 0 ? [] : [{ target: median(commanded), metering }];
  });
}

/** Meter turns × kg per turn ÷ (target × width) is the speed the controller believed; whichever it lies closer to. */
function speedFollowed({ setup, timeline, channel }: Context, ground: Float64Array, windows: readonly RatioWindow[]): RateEffect['follows'] {
  const width = setup.machine.workingWidth;
  for (const { id, massPerTurn } of setup.machine.meters) {
    const target = timeline.held(`meter.${id}.target`);
    const rpm = channel(`meter.${id}.speed`) === undefined ? undefined : timeline.mean(`meter.${id}.speed`);
    if (width === undefined || massPerTurn === undefined || target === undefined || rpm === undefined) continue;
    const beliefs = windows.filter(({ lifted }) => !lifted).flatMap(({ start, end, logRatio }) => {
      const believed = meanOver(start, end, (k) => ((rpm[k] as number) / 60) * massPerTurn / ((target[k] as number) * width));
      const real = meanOver(start, end, (k) => ground[k] as number);
      const belief = Math.log(believed / real);
      return Number.isFinite(belief) ? [{ belief, logRatio }] : [];
    });
    if (beliefs.length < 4) continue;
    const belief = median(beliefs.map((one) => one.belief));
    const wheel = median(beliefs.map((one) => one.logRatio));
    if (Math.abs(belief - wheel) < 0.3 * Math.abs(wheel)) return 'wheel';
    if (Math.abs(belief) < 0.3 * Math.abs(wheel)) return 'gnss';
  }
  return 'unknown';
}

function meanOver(start: number, end: number, value: (second: number) => number): number {
  let sum = 0;
  for (let k = start; k < end; k++) sum += value(k);
  return sum / (end - start);
}
