import { quantity } from '../../../shared/text.ts';
import type { Span } from '../../../shared/span.ts';
import { countedProducts } from './cost.ts';
import { medianOfPositive } from './typed-median.ts';
import { percent, type Story } from './story.ts';
import { towerName } from './evidence.ts';

/** s before the onset in which a cause is looked for. */
const LOOK_BACK = 300;
const SPIN_SECONDS = 5;
const STOP_BEFORE = 120;

/** Sentences on what came right before a fault, as far as the log shows it. */
export function precursors(story: Story, tower: number, start: number): readonly string[] {
  return [...beforeStart(story, start), ...airBefore(story, tower, start)];
}

function beforeStart({ context, log }: Story, start: number): readonly string[] {
  const { timeline, say, episodes } = context;
  const first = Math.max(0, Math.floor(start - LOOK_BACK));
  const last = Math.min(timeline.length, Math.ceil(start) + 5);
  const told: string[] = [];
  const ground = timeline.mean('gnss.speed') ?? timeline.mean('wheel.speed');
  const drive = timeline.mean('drive.speed');
  if (ground !== undefined && drive !== undefined) {
    const spinning = secondsWhere(first, last, (k) => (ground[k] as number) < 0.5 && (drive[k] as number) > (ground[k] as number) + 1);
    if (spinning.length >= SPIN_SECONDS) told.push(say('afterSpin', { clock: quantity.clock(spinning[0] as number) }));
  }
  const backing = backingSeconds(context, first, last);
  if (backing.length >= 2) told.push(say('afterReverse', { clock: quantity.clock(backing[0] as number) }));
  const stop = episodes.parked.find(({ start: from, end }) => end > start - STOP_BEFORE && from < start + log.step);
  if (told.length === 0 && stop !== undefined) told.push(say('afterStop', { clock: quantity.clock(stop.end) }));
  return told;
}

const secondsWhere = (first: number, last: number, test: (second: number) => boolean): readonly number[] =>
  Array.from({ length: Math.max(0, last - first) }, (_, k) => first + k).filter(test);

/** Slow travel against the vehicle's heading, or, without a heading, against the course at work before. */
function backingSeconds({ timeline }: Story['context'], first: number, last: number): readonly number[] {
  const speed = timeline.mean('gnss.speed');
  const course = timeline.mean('gnss.course');
  if (speed === undefined || course === undefined) return [];
  const heading = timeline.mean('heading');
  let before = Number.NaN;
  const found: number[] = [];
  for (let k = Math.max(0, first - 60); k < last; k++) {
    const v = speed[k] as number;
    if (v > 1.5) before = course[k] as number;
    const ahead = heading?.[k] ?? before;
    if (k >= first && v > 0.25 && v < 1.5 && Math.cos((course[k] as number) - ahead) < -0.8) found.push(k);
  }
  return found;
}

function airBefore(story: Story, tower: number, start: number): readonly string[] {
  const { context, log, thresholds } = story;
  const fan = fanShare(story, { start: start - 60, end: start + 10 });
  if (fan === undefined || fan.share >= thresholds.slowFan) return [];
  const speed = quantity.rotation(fan.speed);
  const slow = fan.target === undefined
    ? context.say('fanSlowUsual', { speed, share: percent(fan.share) })
    : context.say('fanSlow', { speed, share: percent(fan.share), target: quantity.rotation(fan.target) });
  const isOuter = log.towers.length > 2 && (tower === 0 || tower === log.towers.length - 1);
  return isOuter ? [slow, context.say('farTower', { tower: towerName(story, tower) })] : [slow];
}

export interface FanShare {
  /** rpm, mean over the span. */
  readonly speed: number;
  readonly target?: number;
  /** Speed ÷ target, or ÷ its usual speed when no target is logged. */
  readonly share: number;
}

/** How fast the fan of the counted product ran in a span; undefined when it is not logged. */
export function fanShare({ context, log }: Story, { start, end }: Span): FanShare | undefined {
  const { timeline, setup } = context;
  const fan = countedProducts(setup.job.products).find((product) => product.fan !== undefined)?.fan ?? '1';
  const speed = timeline.mean(`fan.${fan}.speed`);
  if (speed === undefined) return undefined;
  const mean = meanOver(speed, start, end);
  if (Number.isNaN(mean)) return undefined;
  const target = meanOver(timeline.held(`fan.${fan}.target`) ?? new Float64Array(0), start, end);
  if (target > 0) return { speed: mean, target, share: mean / target };
  const working = speed.filter((_, k) => log.working[Math.floor(k / log.step)] === 1);
  return { speed: mean, share: mean / medianOfPositive(working) };
}

function meanOver(values: Float64Array, start: number, end: number): number {
  let sum = 0;
  let n = 0;
  for (let k = Math.max(0, Math.floor(start)); k < Math.min(values.length, end); k++) {
    if (Number.isNaN(values[k] as number)) continue;
    sum += values[k] as number;
    n++;
  }
  return n === 0 ? Number.NaN : sum / n;
}

/** What the cart's own blockage flag of a run did meanwhile; nothing when it is not logged. */
export function flagSentence({ context }: Story, run: number, spans: readonly Span[]): readonly string[] {
  const flag = context.timeline.held(`run.${run}.blocked`);
  if (flag === undefined) return [];
  const { say } = context;
  for (const { start, end } of spans) {
    let on = -1;
    for (let k = Math.max(0, Math.floor(start)); k < Math.min(flag.length, Math.floor(end)); k++) {
      if (on < 0 && (flag[k] as number) > 0.5) on = k;
      if (on >= 0 && (flag[k] as number) < 0.5 && end - k >= MUTED_SECONDS) return [say('flagMuted', { on: quantity.clock(on), off: quantity.clock(k) })];
    }
    if (on >= 0) return [say('flagOn', { on: quantity.clock(on) })];
  }
  return [say('flagSilent')];
}

/** s for which a flag must be off while the fault goes on to count as acknowledged. */
const MUTED_SECONDS = 60;
