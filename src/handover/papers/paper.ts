import type { Analysis } from '../../../shared/day.ts';
import type { RateView } from '../../../shared/day-views.ts';
import type { Mark } from '../../../shared/marks.ts';
import type { Setup } from '../../../shared/setup.ts';
import { quantity, renderText, type Reading } from '../../../shared/text.ts';

/** Who the paper is for: the technician, the agronomist, the operator. */
export type PaperName = 'complaint' | 'rates' | 'tomorrow';

export const PAPER_NAMES: readonly PaperName[] = ['complaint', 'rates', 'tomorrow'];

/** The pictures of a day that a paper may draw (`DayViews` of src/views fits). */
export interface PaperViews {
  /** `FieldMapMeta` and its columns, packed; undefined without positions. */
  readonly map: () => ArrayBuffer | undefined;
  /** kg/m² at each piece of covered ground, as column `value`, packed. */
  readonly mapRate: (tank: string) => ArrayBuffer | undefined;
  readonly rates: () => readonly RateView[];
}

/** Everything a paper is made of. */
export interface PaperSource {
  readonly analysis: Analysis;
  readonly setup: Setup;
  readonly reading: Reading;
  readonly views: PaperViews;
  /** Version of Sowtrace. */
  readonly version: string;
  /** The technician's own words, as typed. */
  readonly notes?: string;
  /** What people found at the machine. */
  readonly marks?: readonly Mark[];
  /** m² to be sown next, for the loads of the list for tomorrow. */
  readonly area?: number;
}

/** Tokens → what the reader of this paper reads. */
export const sayer = (reading: Reading) => (text: string): string => renderText(text, reading);

/** `3 May 2031` in the reader's zone. */
export function dateOf({ analysis, reading }: PaperSource): string {
  return new Intl.DateTimeFormat('en-GB', { timeZone: reading.zone, day: 'numeric', month: 'long', year: 'numeric' }).format(analysis.day.start * 1000);
}

/** `07:20 to 14:10`, with tokens. */
export const fromTo = ({ start, end }: { readonly start: number; readonly end: number }): string => `${quantity.clock(start)} to ${quantity.clock(end)}`;

export const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** The machine as the setup names it. */
export const machineOf = ({ setup }: PaperSource): string => shortName(setup.machine.name ?? 'not named in the setup');

const LONGEST_NAME = 60;

/** A name as long as a head bears; of a longer one both ends. */
export const shortName = (name: string): string => (name.length <= LONGEST_NAME ? name : `${name.slice(0, LONGEST_NAME - 20)}…${name.slice(-18)}`);

/** First letters of a hash: enough to tell logs apart by eye; the whole stands in the table at the end. */
export const shortHash = (sha256: string): string => sha256.slice(0, 12);
