import { decodePack, columnOf } from '../../../../shared/column-pack.ts';
import type { FieldMapMeta, RateClassName } from '../../../../shared/day-views.ts';
import { simplified, type Point } from '../../../field/simplify.ts';
import type { PaperViews } from '../paper.ts';

/** A stretch of the machine's way while it sowed, m east and north of the origin. */
export interface Stretch {
  readonly points: readonly Point[];
  /** How the rate stood to its target; undefined = not known. */
  readonly rate?: RateClassName | undefined;
}

/** The ground of a day as a small picture needs it. */
export interface Ground {
  readonly origin: { readonly latitude: number; readonly longitude: number };
  /** m; the machine's width, or a thin line where the setup gives none. */
  readonly width: number;
  readonly areas: FieldMapMeta['areas'];
  readonly stretches: readonly Stretch[];
}

/** m; a way drawn this much off is not seen on paper. */
const TOLERANCE = 1.5;
/** s between two places of one stretch. */
const LONGEST_STEP = 3;

/** Where it was sown, as the way of the openers; coloured by a tank's rate where one is asked for. Undefined without positions. */
export function groundOf(views: PaperViews, tank?: string, target?: number): Ground | undefined {
  const packed = views.map();
  if (packed === undefined) return undefined;
  const field = decodePack<FieldMapMeta>(packed);
  const time = columnOf(field, 'time', Float64Array);
  const east = columnOf(field, 'east', Float32Array);
  const north = columnOf(field, 'north', Float32Array);
  const broken = columnOf(field, 'broken', Uint8Array);
  const pieces = columnOf(field, 'pieceTime', Float64Array);
  const classes = classesBySecond(views, pieces, tank, target);
  const sown = classes ?? new Map([...pieces].map((t) => [Math.floor(t), undefined]));
  const isAll = sown.size === 0;
  const stretches: Stretch[] = [];
  let points: Point[] = [];
  let rate: RateClassName | undefined;
  let last = Number.NEGATIVE_INFINITY;
  const close = (): void => {
    if (points.length > 1) stretches.push({ points: simplified(points, TOLERANCE), rate });
    points = [];
  };
  for (let i = 0; i < time.length; i++) {
    const t = time[i] as number;
    const second = Math.floor(t);
    if (broken[i] === 1 || t - last > LONGEST_STEP || (!isAll && !sown.has(second))) close();
    last = t;
    if (!isAll && !sown.has(second)) continue;
    const here: Point = [east[i] as number, north[i] as number];
    const own = sown.get(second);
    if (points.length > 0 && own !== rate) {
      points.push(here);
      close();
    }
    rate = own;
    points.push(here);
  }
  close();
  const { origin, width, areas } = field.meta;
  return { origin, width: width ?? 2, areas, stretches };
}

/** The rate's class in each second that was sown; undefined when no rate of this tank is known over time. */
function classesBySecond(views: PaperViews, pieces: Float64Array, tank: string | undefined, target: number | undefined): ReadonlyMap<number, RateClassName | undefined> | undefined {
  const packed = tank === undefined || target === undefined ? undefined : views.mapRate(tank);
  if (packed === undefined || target === undefined) return undefined;
  const value = columnOf(decodePack(packed), 'value', Float32Array);
  return new Map([...pieces].map((t, k) => [Math.floor(t), classOf((value[k] as number) / target - 1)]));
}

function classOf(off: number): RateClassName | undefined {
  if (Number.isNaN(off)) return undefined;
  const side = off < 0 ? 'under' : 'over';
  return Math.abs(off) <= 0.05 ? 'within5' : Math.abs(off) <= 0.1 ? `${side}5` : `${side}10`;
}
