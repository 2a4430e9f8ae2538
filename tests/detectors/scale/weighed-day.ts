import type { Channel } from '../../../shared/channel.ts';
import { emptySetup, type Load, type Product, type Setup } from '../../../shared/setup.ts';
import type { Unit } from '../../../shared/units.ts';
import type { TestDay } from '../../support/detector-tester.ts';
import { createRandom, wander, type Random } from '../../support/world/random.ts';

/** A day of tanks, meters and speed only, made in milliseconds: enough for hundreds of seeds. Noise as in scenarios.md section 0. */
export interface WeighedPlan {
  /** Parked, loaded, then seeding for so many seconds, in turn; the tanks are loaded one after the other. */
  readonly rounds: readonly { readonly seed: number }[];
  readonly tanks: Readonly<Record<string, WeighedTank>>;
  /** m/s shown by the wheel ÷ true. */
  readonly wheel?: number;
}

export interface WeighedTank {
  /** kg loaded in each round; 0 = none. */
  readonly loads: readonly number[];
  /** kg per turn, turns per second. */
  readonly perTurn: number;
  readonly turnRate: number;
  /** kg per turn entered in the controller; default the true one. */
  readonly entered?: number;
  readonly capacity?: number;
  /** What flows at a second of the day, as a share of what the turns promise. */
  readonly flow?: (second: number, plan: Timetable) => number;
  /** What the scale makes of kg in the tank. */
  readonly shown?: (kg: number, second: number, plan: Timetable) => number;
  /** kg by which the frame swings while any tank is loaded. */
  readonly jolt?: number;
  /** kg, standard deviation of the tickets; error of single tickets by round; rounds nobody booked. */
  readonly ticketSd?: number;
  readonly ticketErrors?: Readonly<Record<number, number>>;
  readonly unbooked?: readonly number[];
  readonly product?: Partial<Product>;
  /** kg/m² the controller is told; default what the turns at the true kg per turn give on the true hectares. */
  readonly ordered?: number;
}

/** m/s and m of all days here. */
export const SPEED = 2.2;
export const WIDTH = 18;
/** kg/m² that a tank's turns promise. */
export const promised = ({ perTurn, turnRate }: Pick<WeighedTank, 'perTurn' | 'turnRate'>): number => (perTurn * turnRate) / (SPEED * WIDTH);

/** When each round stands and seeds, s. */
export interface Timetable {
  readonly rounds: readonly { readonly parked: number; readonly fills: Readonly<Record<string, number>>; readonly seeding: number; readonly end: number }[];
  readonly duration: number;
}

export const STAND = 240;
export const FILL = 360;
const PASS = 375;
const TURN = 25;
const STEP = 5;

export function timetableOf(plan: WeighedPlan): Timetable {
  const rounds: Timetable['rounds'][number][] = [];
  let time = 0;
  for (const [index, round] of plan.rounds.entries()) {
    const parked = time;
    const fills: Record<string, number> = {};
    time += STAND;
    for (const [id, tank] of Object.entries(plan.tanks)) {
      if (!((tank.loads[index] ?? 0) > 0)) continue;
      fills[id] = time;
      time += FILL + STAND;
    }
    rounds.push({ parked, fills, seeding: time, end: time + round.seed });
    time += round.seed;
  }
  return { rounds, duration: time + STAND };
}

/** The day's channels and setup; second 0 is 1970, as in all tests of the detectors. */
export function weighedDay(plan: WeighedPlan, seed: number): TestDay & { readonly setup: Setup; readonly duration: number } {
  const table = timetableOf(plan);
  const random = createRandom(seed, 'weighed-day');
  const time = Float64Array.from({ length: table.duration }, (_, k) => k);
  const feeding = time.map((k) => { const round = table.rounds.find(({ seeding, end }) => k >= seeding && k < end); return round !== undefined && (k - round.seeding) % (PASS + TURN) < PASS ? 1 : 0; });
  const moving = time.map((k) => (table.rounds.some(({ seeding, end }) => k >= seeding && k < end) ? 1 : 0));
  const speed = moving.map((moves) => (moves === 1 ? SPEED + 0.03 * random.normal() : 0));
  const channel = (id: string, unit: Unit, value: Float64Array): Channel => ({ id, unit, source: { file: 'cart.csv', column: id }, time, value });
  const tanks = Object.entries(plan.tanks);
  return {
    duration: table.duration, dayStart: 0,
    channels: [
      channel('gnss.speed', 'm/s', speed), channel('wheel.speed', 'm/s', speed.map((v) => v * (plan.wheel ?? 1))), channel('implement.working', '1', feeding),
      ...tanks.flatMap(([id, tank]) => {
        const { mass, turns } = weigh(id, tank, table, feeding, moving, random);
        const ordered = tank.ordered ?? promised(tank);
        return [channel(`tank.${id}.mass`, 'kg', mass), channel(`meter.${id}.turns`, 'turn', turns), channel(`meter.${id}.target`, 'kg/m²', time.map(() => ordered))];
      }),
    ],
    setup: {
      machine: { ...emptySetup.machine, workingWidth: WIDTH, tanks: tanks.map(([id, { capacity = 6000 }]) => ({ id, capacity })), meters: tanks.map(([id, { perTurn, entered = perTurn }]) => ({ id, massPerTurn: entered })) },
      job: { products: tanks.map(([id, { product }]) => ({ tank: id, ...product })), loads: tanks.flatMap(([id, tank]) => tickets(id, tank, table, random)) },
    },
  };
}

function weigh(id: string, tank: WeighedTank, table: Timetable, feeding: Float64Array, moving: Float64Array, random: Random): { readonly mass: Float64Array; readonly turns: Float64Array } {
  const { perTurn, turnRate, flow = () => 1, shown = (kg) => kg, jolt = 8 } = tank;
  const bounce = wander(random, 12, 1.5);
  const slow = wander(random, 6, 180);
  const swing = wander(random, jolt, 4);
  const loading = new Float64Array(table.duration);
  const swaying = new Uint8Array(table.duration);
  table.rounds.forEach(({ fills }, index) => {
    for (const [filled, start] of Object.entries(fills)) {
      swaying.fill(1, start, start + FILL);
      if (filled === id) loading.fill((tank.loads[index] ?? 0) / FILL, start, start + FILL);
    }
  });
  const mass = new Float64Array(table.duration);
  const turns = new Float64Array(table.duration);
  let stock = 0;
  let turned = 0;
  for (let k = 0; k < table.duration; k++) {
    const noise = slow(1) + (moving[k] === 1 ? bounce(1) : 2 * random.normal()) + (swaying[k] === 1 ? swing(1) : 0);
    mass[k] = Math.round((shown(stock, k, table) + noise) / STEP) * STEP;
    turns[k] = Math.floor(turned * 100) / 100;
    const turning = feeding[k] === 1 ? turnRate : 0;
    stock = Math.max(0, stock + (loading[k] as number) - turning * perTurn * flow(k, table));
    turned += turning;
  }
  return { mass, turns };
}

function tickets(id: string, { loads, ticketSd = 10, ticketErrors = {}, unbooked = [] }: WeighedTank, { rounds }: Timetable, random: Random): readonly Load[] {
  return rounds.flatMap(({ fills }, index) => {
    const time = fills[id];
    if (time === undefined || unbooked.includes(index)) return [];
    return [{ tank: id, time, mass: (loads[index] ?? 0) + ticketSd * random.normal() + (ticketErrors[index] ?? 0), uncertainty: 10 }];
  });
}
