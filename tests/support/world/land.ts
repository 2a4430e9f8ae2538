import { SECTION_WIDTH, TOWERS, WIDTH } from './machine.ts';
import type { DayPlan } from './plan.ts';
import type { Stretch } from './track.ts';

/** A line to be worked: m along it from its first boundary, rad from north clockwise. */
export interface Lane {
  readonly east: number;
  readonly north: number;
  readonly heading: number;
  readonly length: number;
  readonly stretch: Stretch;
  /** m to the right of the straight line, by m along it. */
  readonly bend: (along: number) => number;
}

/** Fields side by side, north–south lanes, headlands round them, and the lie of the land. */
export interface Farm {
  readonly lane: (index: number) => Lane;
  /** Slope of the ground to the east and to the north, ratio. */
  readonly slope: (east: number, north: number) => readonly [number, number];
}

/** m from one field to the next, at least; wide fields lie this far apart. */
const FIELD_STEP = 1000;
const FIELD_GAP = 60;
const SIDES = 4;

export function createFarm(plan: DayPlan): Farm {
  const land = plan.land ?? {};
  const length = land.passLength ?? 780;
  const spacing = land.spacing ?? WIDTH;
  const passes = land.passesPerField ?? 44;
  const laps = land.headlandLaps ?? 0;
  const lanesPerField = passes + SIDES * laps;
  const tan = Math.tan(land.boundaryAngle ?? 0);
  const contour = land.contour ?? 0;
  const drift = land.spacingDrift ?? 0;
  const right = plan.entered?.trueRight ?? 0;
  const fieldStep = Math.max(FIELD_STEP, passes * spacing + drift * passes ** 2 / 2 + 2 * laps * WIDTH + FIELD_GAP);
  /* Fields are never quite level: under 0.5 degrees. */
  const grade = land.grade ?? 0.006;
  const side = land.side ?? 0.004;
  const square = (far: number): Stretch => ({ entry: TOWERS.map(() => 0), exit: TOWERS.map(() => far) });

  const pass = (field: number, number: number): Lane => {
    const north = number % 2 === 0;
    const east = field * fieldStep + number * spacing + drift * (number * (number - 1)) / 2;
    const angled = tan !== 0 && number < (land.angledPasses ?? Number.POSITIVE_INFINITY);
    /* Only the northern end is cut at an angle; run 1 is on the left. */
    const cut = TOWERS.map((_, k) => (angled ? (k - 2.5) * SECTION_WIDTH * tan : 0));
    const stretch = north ? { entry: TOWERS.map(() => 0), exit: cut.map((c) => length + c) } : { entry: cut, exit: TOWERS.map(() => length) };
    /* Neighbouring contour passes follow each other, some centimetres to decimetres closer or wider. */
    const bend = (along: number): number => {
      const place = north ? along : length - along;
      return (north ? 1 : -1) * contour * Math.sin((2 * Math.PI * place) / 400 + number * 0.05) - right;
    };
    return { east, north: north ? 0 : length, heading: north ? 0 : Math.PI, length, stretch, bend };
  };

  /* Laps run clockwise round the block of passes, the inner one first; corners are turned lifted. */
  const headland = (field: number, number: number): Lane => {
    const out = (Math.floor(number / SIDES) + 0.5) * WIDTH;
    const west = field * fieldStep - WIDTH / 2;
    const east = west + passes * spacing;
    const corners: readonly (readonly [number, number])[] = [[west - out, -out], [west - out, length + out], [east + out, length + out], [east + out, -out]];
    const k = number % SIDES;
    const [fromEast, fromNorth] = corners[k] as readonly [number, number];
    const heading = (k * Math.PI) / 2;
    const far = k % 2 === 0 ? length + 2 * out : east - west + 2 * out;
    /* Each side begins where the last one's strip ends. */
    const begin = WIDTH / 2;
    return { east: fromEast + Math.sin(heading) * begin, north: fromNorth + Math.cos(heading) * begin, heading, length: far, stretch: square(far), bend: () => -right };
  };

  return {
    lane: (index) => {
      const field = Math.floor(index / lanesPerField);
      const number = index % lanesPerField;
      return number < SIDES * laps ? headland(field, number) : pass(field, number - SIDES * laps);
    },
    slope: (east, north) => [
      side * Math.sin((2 * Math.PI * (east + 0.3 * north)) / 520),
      grade * Math.sin((2 * Math.PI * north) / 390 + east / 260),
    ],
  };
}

/** m past the mean far boundary at which the tool is lifted: the seed under way still has to fall. */
export const liftAt = (lane: Lane): number => lane.length + (Math.max(...lane.stretch.exit) - Math.min(...lane.stretch.exit)) / 2 + 2.5;
/** m past the mean near boundary at which the tool is lowered (negative: before it, so that early ON commands find it down). */
export const lowerAt = (lane: Lane): number => Math.min(...lane.stretch.entry) - 12;
