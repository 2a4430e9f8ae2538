import { epoch, secondsOfDay } from './clock.ts';
import type { Fault, FaultKind, FaultOf, Timed } from './faults.ts';
import type { Crop } from './machine.ts';
import type { Truth } from './truth.ts';

/** One synthetic day as data: what was planned, what was entered in the controller, what went wrong. */
export interface DayPlan {
  readonly id: string;
  readonly title: string;
  /** `2031-05-03` */
  readonly date: string;
  /** Clock times at which the log starts and ends; second 0 is `from`. */
  readonly from: string;
  readonly to: string;
  readonly tanks: Readonly<Record<number, TankPlan>>;
  readonly agenda: readonly Task[];
  readonly entered?: Entered;
  readonly land?: Land;
  readonly slip?: { readonly mean: number; readonly sd: number; readonly drive: number };
  readonly weather?: { readonly airStart: number; readonly airEnd: number; readonly oilStart: number };
  /** Tanks whose load cells are logged one by one, and whether pitch and roll are logged. */
  readonly cells?: readonly number[];
  readonly attitude?: boolean;
  readonly faults?: readonly Fault[];
  readonly truth: (facts: Facts) => Truth;
}

export interface TankPlan {
  readonly crop: Crop;
  /** kg/ha */
  readonly target: number;
  /** g per 1,000 seeds, for counted products. */
  readonly seedGrams?: number;
  /** kg in the tank at second 0. */
  readonly start: number;
  /** kg/turn entered ÷ true. */
  readonly enteredFactor?: number;
  /** Row-to-row spread, ratio; default by crop. */
  readonly spread?: number;
  /** Takes over when this tank is empty. */
  readonly standIn?: number;
  /** Is itself a stand-in: idle until called. */
  readonly waits?: boolean;
}

/** What the operator typed in, where it differs from the machine. */
export interface Entered {
  readonly wheelConstant?: number;
  readonly width?: number;
  readonly on?: number;
  readonly off?: number;
  readonly aft?: number;
  readonly right?: number;
  /** The job sheet's rate, kg/ha by tank, where it differs from what the controller was given. */
  readonly jobSheet?: Readonly<Record<number, number>>;
  /** True m by which the openers sit right of the antenna. */
  readonly trueRight?: number;
}

export interface Land {
  /** Steepest grade, ratio, and steepest side slope. */
  readonly grade?: number;
  readonly side?: number;
  /** m by which lanes snake (contour passes). */
  readonly contour?: number;
  /** rad; far boundary against the square across the pass. */
  readonly boundaryAngle?: number;
  /** Passes with the angled boundary; default all. */
  readonly angledPasses?: number;
  readonly passLength?: number;
  readonly passesPerField?: number;
  /** Laps round each field before its passes. */
  readonly headlandLaps?: number;
  /** m between passes as driven; default the machine's width. And how much wider each next one gets. */
  readonly spacing?: number;
  readonly spacingDrift?: number;
  /** m, sd of the steering. */
  readonly steering?: number;
}

export interface FillTask {
  readonly tank: number;
  readonly mass: number;
  readonly at: string;
  readonly minutes: number;
  /** Weigh ticket in the job sheet, default yes. */
  readonly ticket?: boolean;
  /** Ticket minus real mass, kg. */
  readonly ticketError?: number;
  /** People on the cart: the frame moves by up to this, kg. */
  readonly jolt?: number;
}

export type Task =
  | { readonly do: 'park'; readonly until: string; readonly fills?: readonly FillTask[]; readonly fans?: boolean; readonly engine?: boolean }
  | { readonly do: 'road'; readonly until: string; readonly metres: number; readonly testSpeed?: number }
  | { readonly do: 'seed'; readonly until?: string; readonly hectares?: number; readonly passes?: number; readonly kmh?: number; readonly kmhEnd?: number; readonly wavering?: number; readonly slowExits?: number }
  | { readonly do: 'stuck'; readonly until: string; readonly back: number }
  /** Meters turned while standing, at a made-up speed. */
  | { readonly do: 'prime'; readonly seconds: number; readonly kmh: number }
  | { readonly do: 'pause'; readonly seconds: number };

/** What really happened, for the truth of a day. Clock → seconds from the day's start. */
export interface Facts {
  readonly at: (clock: string) => number;
  /** True hectares worked (commanded on × true ground speed) in a span of seconds; whole day when left out. */
  readonly hectares: (from?: number, to?: number) => number;
  /** kg that left the tank's meter in a span. */
  readonly dispensed: (tank: number, from?: number, to?: number) => number;
  /** kg the scale of a tank shows at a moment, as logged. */
  readonly shown: (tank: number, time: number) => number;
  /** m driven with the tool in the ground and section of `run` on. */
  readonly rowMetres: (run: number, from: number, to: number) => number;
  /** When a tank first ran dry, s; NaN = never. */
  readonly dry: (tank: number) => number;
  /** Passes and headland sides that were driven into. */
  readonly entries: () => number;
  /** Commanded edges of all sections in a span. */
  readonly edges: (from?: number, to?: number) => number;
}

export const dayStart = (plan: DayPlan): number => epoch(plan.date, plan.from);
export const dayLength = (plan: DayPlan): number => secondsOfDay(plan.to) - secondsOfDay(plan.from);
/** Clock → seconds from the day's start. */
export const clockOf = (plan: DayPlan) => (clock: string): number => secondsOfDay(clock) - secondsOfDay(plan.from);

/** The day's faults of one kind, with their spans. */
export function faultsOf<K extends FaultKind>(plan: DayPlan, kind: K): readonly Timed<K>[] {
  const at = clockOf(plan);
  return (plan.faults ?? [])
    .filter((fault): fault is Fault & FaultOf<K> => fault.kind === kind)
    .map((fault) => Object.assign({
      start: fault.from === undefined ? Number.NEGATIVE_INFINITY : at(fault.from),
      end: fault.to === undefined ? Number.POSITIVE_INFINITY : at(fault.to),
    }, fault) as Timed<K>);
}

/** A fill with its span in seconds from the day's start. */
export type TimedFill = FillTask & { readonly start: number; readonly end: number };

export function fillsOf(plan: DayPlan): readonly TimedFill[] {
  const at = clockOf(plan);
  return plan.agenda
    .flatMap((task) => (task.do === 'park' ? task.fills ?? [] : []))
    .map((fill) => Object.assign({ start: at(fill.at), end: at(fill.at) + fill.minutes * 60 }, fill));
}

export const during = (span: { readonly start: number; readonly end: number }, time: number): boolean => time >= span.start && time < span.end;
