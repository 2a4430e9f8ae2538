/** The drill and cart of all synthetic days (scenarios.md section 0; inputs from memory unless trade.md gives a source). SI. */
export const RUNS = 60;
export const TOWERS = ['A', 'B', 'C', 'D', 'E', 'F'] as const;
export const RUNS_PER_TOWER = 10;
export const ROW_SPACING = 0.3048;
export const WIDTH = 18.288;
export const SECTION_WIDTH = WIDTH / TOWERS.length;
/** m; openers behind the antenna. */
export const AFT = 9.2;
/** pulses/m as the wheel really rolls. */
export const TRUE_WHEEL_CONSTANT = 20;
/** Seconds between steps of the simulation: 5 Hz. */
export const STEP = 0.2;
export const STEPS_PER_SECOND = 5;

/** m from the meter to each tower, then to the opener. */
const PRIMARY = [16, 12, 9, 9, 12, 16] as const;
const SECONDARY = 3;
/** s: meter and drop, fall to the ground; linear rise; exponential OFF tail; OFF half-time minus ON half-time. */
const METER_AND_DROP = 0.6;
const FALL = 0.2;
export const RISE = 0.8;
export const TAIL = 0.9;
const OFF_MINUS_ON = 0.3;

export const FAN_TARGETS: readonly number[] = [3600, 4200];
/** Pa at 3,600 rpm of fan 1; fan 2 holds its tanks a little higher at 4,200 rpm. */
export const TANK_PRESSURE = [4100, 4800] as const;

export type Crop = 'wheat' | 'canola' | 'pea' | 'starter' | 'urea';

/** How a product flows and is counted. */
export interface ProductPhysics {
  /** m/s of the particles in primary and secondary hose at the fan's full speed. */
  readonly primarySpeed: number;
  readonly secondarySpeed: number;
  /** Variance over mean of 1 s counts. */
  readonly fano: number;
  /** Row-to-row spread, ratio. */
  readonly spread: number;
  /** kg per turn of the meter, true. */
  readonly massPerTurn: number;
  /** rpm below which the product may plug (a job-sheet figure). */
  readonly fanFloor: number;
}

export const PRODUCTS: Readonly<Record<Crop, ProductPhysics>> = {
  wheat: { primarySpeed: 14, secondarySpeed: 11, fano: 1.5, spread: 0.06, massPerTurn: 0.62, fanFloor: 3200 },
  canola: { primarySpeed: 15, secondarySpeed: 12, fano: 2, spread: 0.1, massPerTurn: 0.024, fanFloor: 2900 },
  pea: { primarySpeed: 14, secondarySpeed: 11, fano: 1.2, spread: 0.07, massPerTurn: 0.75, fanFloor: 3300 },
  starter: { primarySpeed: 14, secondarySpeed: 11, fano: 1.5, spread: 0.08, massPerTurn: 0.5, fanFloor: 3800 },
  urea: { primarySpeed: 14, secondarySpeed: 11, fano: 1.5, spread: 0.08, massPerTurn: 0.7, fanFloor: 3800 },
};

export interface TankPhysics {
  /** kg */
  readonly capacity: number;
  /** kg of the tank itself on the load cells. */
  readonly tare: number;
  /** Index of the fan that carries its product. */
  readonly fan: 0 | 1;
  /** Whether the run sensors see its product. */
  readonly counted: boolean;
}

export const TANKS: readonly TankPhysics[] = [
  { capacity: 6000, tare: 1600, fan: 0, counted: true },
  { capacity: 3200, tare: 1100, fan: 1, counted: false },
  { capacity: 5000, tare: 1500, fan: 1, counted: false },
  { capacity: 900, tare: 400, fan: 0, counted: true },
];

/** Seconds from command to the first seed at the openers of a tower, fan at `fanShare` of its full speed. */
export function firstArrival(tower: number, product: ProductPhysics, fanShare = 1): number {
  const air = (PRIMARY[tower] as number) / product.primarySpeed + SECONDARY / product.secondarySpeed;
  return METER_AND_DROP + air / Math.max(fanShare, 0.3) + FALL;
}

/** Seconds from command to half flow, ON and OFF. */
export function halfFlowDelays(tower: number, product: ProductPhysics): { readonly on: number; readonly off: number } {
  const on = firstArrival(tower, product) + RISE / 2;
  return { on, off: on + OFF_MINUS_ON };
}

/** Seconds from first arrival to the begin of the OFF tail. */
export const TAIL_START = RISE / 2 + OFF_MINUS_ON - TAIL * Math.LN2;
