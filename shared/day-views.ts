import type { Span } from './span.ts';

/** What the pictures of a day are made of, as the server sends them. Times are seconds from the day's start. */

/** Thousandths: nothing to compare there. */
export const BLANK_RATIO = 0xffff;

/** Every run over time: `ratio` (u16, rows × columns, row by row) is flow ÷ tower mates ÷ the run's own usual share in thousandths; BLANK_RATIO = off, not logged or not comparable. */
export interface RunPictureMeta {
  readonly from: number;
  readonly to: number;
  readonly columns: number;
  readonly runs: readonly RunRow[];
}

export interface RunRow {
  readonly run: number;
  /** Tower of the setup; '' when it names none. */
  readonly tower: string;
  readonly section?: string;
  /** Set aside by the setup: shown, never judged, and no mate to others. */
  readonly aside: boolean;
}

/**
 * The field on a plane, m east and north of the origin. Columns: track `time` f64, `east` `north` `heading` f32, `broken` u8
 * (the antenna's way carried to the openers); ground covered within about a second each: `pieceTime` f64,
 * `corner` f32 (8 each: rear left, rear right, front right, front left; east, north).
 */
export interface FieldMapMeta {
  readonly origin: { readonly latitude: number; readonly longitude: number };
  /** m; undefined when the setup gives none: then there is no covered ground. */
  readonly width?: number;
  /** Ha; undefined without covered ground. */
  readonly areas?: { readonly covered: number; readonly overlap: number; readonly missed: number };
  readonly patches: readonly MapPatch[];
  /** Places of findings, in metres. */
  readonly places: readonly MapPlace[];
}

export interface MapPatch {
  readonly kind: 'overlap' | 'missed';
  /** Between passes side by side, rather than where they meet at an angle. */
  readonly between: boolean;
  /** m² and m. */
  readonly area: number;
  readonly width: number;
  /** When the later of the two passes was there. */
  readonly time: number;
  readonly outline: readonly (readonly [east: number, north: number])[];
}

export interface MapPlace {
  readonly finding: string;
  readonly kind: 'line' | 'area';
  readonly text: string;
  readonly points: readonly (readonly [east: number, north: number])[];
}

/** The applied rate of one product through the day, from meter turns, kg per turn and area by GNSS. */
export interface RateView {
  readonly tank: string;
  readonly name?: string;
  /** kg/m²; from the job sheet, else the usual logged target. */
  readonly target?: number;
  /** Where kg per turn came from. */
  readonly massPerTurn?: { readonly value: number; readonly from: 'measured' | 'entered' };
  /** m² and kg of all seconds with a known rate. */
  readonly total?: { readonly area: number; readonly mass: number };
  /** Why there is no rate over time. */
  readonly why?: string;
  readonly classes: readonly RateClass[];
  readonly passes: readonly PassRate[];
}

/** By distance from the target: more than 10 % under, 5–10 % under, within 5 %, 5–10 % over, more than 10 % over. */
export type RateClassName = 'under10' | 'under5' | 'within5' | 'over5' | 'over10';

export interface RateClass {
  readonly name: RateClassName;
  /** m² */
  readonly area: number;
}

export interface PassRate extends Span {
  /** m, m² */
  readonly length: number;
  readonly area: number;
  /** m/s */
  readonly speed: number;
  /** kg/m²; NaN is left out. */
  readonly rate?: number;
}

/** Values of several channels at one instant, in the order asked; null = none known then. */
export interface ValuesAt {
  readonly at: number;
  readonly values: readonly (number | null)[];
}
