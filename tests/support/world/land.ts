import { SECTION_WIDTH, TOWERS, WIDTH } from './machine.ts';
import type { DayPlan } from './plan.ts';
import type { Stretch } from './track.ts';

/** Fields side by side, north–south lanes, and the lie of the land. Metres from the origin. */
export interface Farm {
  readonly passLength: number;
  readonly passesPerField: number;
  /** East of a lane at a place along it, without guidance error. */
  readonly laneEast: (pass: number, north: number) => number;
  readonly boundaries: (pass: number) => Stretch;
  /** Whether the pass runs north. */
  readonly northbound: (pass: number) => boolean;
  /** Slope of the ground to the east and to the north, ratio. */
  readonly slope: (east: number, north: number) => readonly [number, number];
}

const FIELD_STEP = 1000;

export function createFarm(plan: DayPlan): Farm {
  const land = plan.land ?? {};
  const passLength = land.passLength ?? 780;
  const passesPerField = land.passesPerField ?? 44;
  const tan = Math.tan(land.boundaryAngle ?? 0);
  const contour = land.contour ?? 0;
  const grade = land.grade ?? 0;
  const side = land.side ?? 0;
  const northbound = (pass: number): boolean => pass % 2 === 0;

  const boundaries = (pass: number): Stretch => {
    const flat = { entry: TOWERS.map(() => 0), exit: TOWERS.map(() => passLength) };
    if (tan === 0 || pass >= (land.angledPasses ?? Number.POSITIVE_INFINITY)) return flat;
    /* Only the northern end is cut at an angle. */
    const lateral = TOWERS.map((_, k) => (k - 2.5) * SECTION_WIDTH);
    return northbound(pass)
      ? { entry: flat.entry, exit: lateral.map((right) => passLength + right * tan) }
      : { entry: lateral.map((right) => right * tan), exit: flat.exit };
  };

  return {
    passLength, passesPerField, northbound, boundaries,
    laneEast: (pass, north) => {
      const field = Math.floor(pass / passesPerField);
      const lane = pass % passesPerField;
      /* Neighbouring contour passes follow each other, with spacing a few centimetres to decimetres off. */
      const bend = contour === 0 ? 0 : contour * Math.sin((2 * Math.PI * north) / 400 + lane * 0.02);
      return field * FIELD_STEP + lane * WIDTH + bend;
    },
    slope: (east, north) => [
      side * Math.sin((2 * Math.PI * (east + 0.3 * north)) / 520),
      grade * Math.sin((2 * Math.PI * north) / 390 + east / 260),
    ],
  };
}

/** m past the mean far boundary at which the tool is lifted. */
export const liftMargin = (stretch: Stretch): number => (Math.max(...stretch.exit) - Math.min(...stretch.exit)) / 2 + 1;
/** m past the mean near boundary at which the tool is lowered (negative: before it, so that early ON commands find it down). */
export const lowerAt = (stretch: Stretch): number => Math.min(...stretch.entry) - 12;
