import type { Span } from '../../../shared/span.ts';
import type { Patch } from '../../field/patches.ts';
import { contains } from '../../series/spans.ts';
import type { Pass } from '../../episodes/episodes.ts';
import type { Timeline } from '../../episodes/timeline.ts';
import type { CoverageOptions } from './options.ts';
import type { WorkedField } from './worked-field.ts';

/** Ground sown twice, or left bare, and how much of it could have been helped; m². */
export interface Tally {
  readonly total: number;
  /** Wanted by the setup. */
  readonly meant: number;
  /** Headland corners, slanting ends, last narrow passes, slivers thinner than positions are known. */
  readonly unavoidable: number;
  readonly avoidable: number;
  /** The part of it at pass ends. */
  readonly atEnds: number;
  /** The places that make it up, largest first. */
  readonly places: readonly Judged[];
}

export interface Judged {
  readonly patch: Patch;
  /** m² of the patch that could have been helped. */
  readonly avoidable: number;
  readonly meant: number;
}

/** What the setup wants, m. */
export interface Wanted {
  readonly passes: number;
  readonly ends: number;
}

/** Overlap that steering, section control or settings could have avoided. */
export function overlapTally(field: WorkedField, wanted: Wanted, options: CoverageOptions): Tally {
  const timeOf = timesOf(field);
  const judged = patchesOf(field, 'overlap').map((patch): Judged => {
    if (!patch.between) {
      if (isCorner(patch, timeOf, options)) return { patch, avoidable: 0, meant: 0 };
      const meant = Math.min(patch.area, wanted.ends * acrossOf(patch));
      return { patch, meant, avoidable: Math.max(0, patch.area - meant - floorOf(patch, field)) };
    }
    const length = patch.area / patch.width;
    const isNarrow = patch.width <= options.narrowShare * (field.width ?? Infinity) + wanted.passes;
    /* Where the last pass of a field is narrower than the drill, sections can only be switched whole. */
    const excused = isNarrow ? wanted.passes : Math.max(wanted.passes, field.sectionWidth);
    return { patch, meant: Math.min(patch.area, wanted.passes * length), avoidable: Math.max(0, patch.area - excused * length) };
  });
  return tallied(field.coverage.overlap.total, judged);
}

/** Bare ground between neighbours that no section was meant to leave. */
export function missTally(field: WorkedField, passes: readonly Pass[], options: CoverageOptions): Tally {
  const timeOf = timesOf(field);
  const judged = patchesOf(field, 'missed').map((patch): Judged => {
    const nothing = { patch, avoidable: 0, meant: 0 };
    if (isSwitchedOff(patch, field, timeOf)) return nothing;
    if (!patch.between) return isCorner(patch, timeOf, options) ? nothing : { ...nothing, avoidable: Math.max(0, patch.area - floorOf(patch, field)) };
    const isNarrow = patch.width <= options.narrowShare * (field.width ?? Infinity);
    /* A wide strip between passes that did not follow each other may be a track, a ditch or a neighbour's field. */
    return isNarrow || followEachOther(patch, passes, timeOf) ? { ...nothing, avoidable: patch.area } : nothing;
  });
  return tallied(field.coverage.missed.total, judged);
}

/** Bare strips long enough that a section was forgotten, or left off on purpose: commanded off for certain, not merely unheard. */
export function leftOff(field: WorkedField, { held }: Pick<Timeline, 'held'>, options: CoverageOptions): readonly Patch[] {
  const timeOf = timesOf(field);
  const states = field.ground.strips.map(({ id }) => held(`section.${id}.on`));
  const isOff = (swath: number): boolean => states.some((state) => (state?.[Math.floor(timeOf(swath))] ?? Number.NaN) < 0.5);
  return patchesOf(field, 'missed').filter((patch) => patch.between && patch.area / patch.width >= options.leftOffMetres && patch.width > 0.5 * field.sectionWidth && patch.swaths.some(isOff));
}

const patchesOf = ({ coverage }: WorkedField, kind: Patch['kind']): readonly Patch[] => coverage.patches.filter((patch) => patch.kind === kind);

type TimeOf = (swath: number) => number;
const timesOf = ({ ground }: WorkedField): TimeOf => {
  const { time } = ground.swaths();
  return (swath) => time[swath] ?? Number.NaN;
};

/** Driven round in one go, as the corner of a headland lap is. */
function isCorner({ swaths }: Patch, timeOf: TimeOf, { cornerSeconds }: CoverageOptions): boolean {
  return Math.abs(timeOf(swaths[1]) - timeOf(swaths[0])) < cornerSeconds;
}

/** m across the pass that ends there: an end is shallower than the drill is wide. */
const acrossOf = ({ area, width }: Patch): number => Math.max(width, area / width);

/** m² that a slanting end leaves however well it is switched: half of w²·tan α for every section of width w. */
function floorOf(patch: Patch, { ground, sectionWidth }: WorkedField): number {
  const { heading } = ground.swaths();
  const angle = (heading[patch.swaths[1]] ?? 0) - (heading[patch.swaths[0]] ?? 0);
  const slant = Math.min(Math.abs(Math.cos(angle)) / Math.max(1e-6, Math.abs(Math.sin(angle))), Math.sqrt(3));
  return (acrossOf(patch) * sectionWidth * slant) / 2;
}

/** Whether a section was commanded off where the gap begins. */
function isSwitchedOff({ swaths }: Patch, { ground }: WorkedField, timeOf: TimeOf): boolean {
  return ground.strips.length > 1 && swaths.some((swath) => !ground.strips.every(({ on }) => isOn(on, timeOf(swath))));
}

const isOn = (on: readonly Span[], time: number): boolean => contains(on, time);

function followEachOther({ swaths }: Patch, passes: readonly Pass[], timeOf: TimeOf): boolean {
  const [one, other] = swaths.map((swath) => passIndexAt(passes, timeOf(swath)));
  return one !== undefined && other !== undefined && Math.abs(one - other) === 1;
}

function passIndexAt(passes: readonly Pass[], time: number): number {
  return passes.findIndex(({ end }) => time <= end + 10);
}

function tallied(total: number, judged: readonly Judged[]): Tally {
  const sum = (pick: (each: Judged) => number): number => judged.reduce((all, each) => all + pick(each), 0);
  const avoidable = sum((each) => each.avoidable);
  const meant = sum((each) => each.meant);
  return {
    total, meant, avoidable, unavoidable: Math.max(0, total - avoidable - meant),
    atEnds: sum(({ patch, avoidable: part }) => (patch.between ? 0 : part)),
    places: judged.filter((each) => each.avoidable > 0).toSorted((a, b) => b.avoidable - a.avoidable),
  };
}
