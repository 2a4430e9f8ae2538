import { encodePack } from '../../shared/column-pack.ts';
import type { Analysis } from '../../shared/day.ts';
import type { RateView } from '../../shared/day-views.ts';
import type { Setup } from '../../shared/setup.ts';
import { createStretches, type Stretches } from '../episodes/create-stretches.ts';
import { once } from '../episodes/memo.ts';
import { fieldMap } from './field-map.ts';
import { ratesOverTime } from './rate-over-time.ts';
import { createRunPicture } from './run-picture.ts';
import { createInstant } from './values-at.ts';

/** The pictures of one judged day, each computed when first asked for. Times are seconds from the day's start. */
export interface DayViews {
  /** `RunPictureMeta` and its column, packed. */
  readonly runs: (from: number, to: number, columns: number) => ArrayBuffer;
  /** `FieldMapMeta` and its columns, packed; undefined without positions. */
  readonly map: () => ArrayBuffer | undefined;
  /** A channel's value (SI) at the time of each piece of covered ground, as column `value`. */
  readonly mapColour: (channel: string) => ArrayBuffer | undefined;
  /** The applied rate, kg/m², at each piece of covered ground. */
  readonly mapRate: (tank: string) => ArrayBuffer | undefined;
  readonly rates: () => readonly RateView[];
  /** Values of channels (by position) at an instant; null = none known. */
  readonly valuesAt: (channels: readonly number[], at: number) => readonly (number | null)[];
}

/** `stretches` are those the day was judged by, where they are at hand: they cost as much as a second judging. */
export function createDayViews({ day, findings, measurements }: Pick<Analysis, 'day' | 'findings' | 'measurements'>, setup: Setup, stretches?: Stretches): DayViews {
  const { timeline, episodes } = stretches ?? createStretches(day, setup);
  const picture = once(() => createRunPicture(day, setup, timeline, episodes));
  const map = once(() => fieldMap(day, setup, timeline, episodes, findings));
  const rates = once(() => ratesOverTime({ setup, timeline, episodes, measurements }));
  const instant = createInstant(day);
  const overPieces = (perSecond: Float64Array | undefined): ArrayBuffer | undefined => {
    const times = map()?.columns['pieceTime'];
    if (times === undefined || perSecond === undefined) return undefined;
    return encodePack({ meta: {}, columns: { value: Float32Array.from(times, (t) => perSecond[Math.floor(t)] ?? Number.NaN) } });
  };
  return {
    runs: (from, to, columns) => encodePack(picture().over(from, to, columns)),
    map: () => {
      const field = map();
      return field === undefined ? undefined : encodePack(field);
    },
    mapColour: (channel) => overPieces(timeline.mean(channel)),
    mapRate: (tank) => overPieces(rates().find(({ view }) => view.tank === tank)?.rate),
    rates: () => rates().map(({ view }) => view),
    valuesAt: (channels, at) => channels.map((channel) => instant(channel, at)),
  };
}
