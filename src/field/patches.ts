import { fromFrame, type ScanLines } from './scan-lines.ts';
import { simplified, type Point } from './simplify.ts';

/** One place covered twice, or left bare. */
export interface Patch {
  readonly kind: 'overlap' | 'missed';
  /** m² */
  readonly area: number;
  /** m, mean, measured along the line. */
  readonly width: number;
  /** Between passes side by side, rather than where they meet at an angle. */
  readonly between: boolean;
  /** m east and north, not closed. */
  readonly outline: readonly Point[];
  /** Indices of two swaths beside its middle, earlier one first: when it happened. */
  readonly swaths: readonly [number, number];
}

/** m; thinner slivers are position noise. */
const THINNEST = 0.1;
/** m */
const OUTLINE_TOLERANCE = 0.15;

interface Growing {
  readonly kind: Patch['kind'];
  readonly between: boolean;
  /** Swaths beside it, line by line. */
  readonly beside: (readonly [number, number])[];
  readonly firstLine: number;
  readonly left: number[];
  readonly right: number[];
}

/** Strings the pieces of neighbouring lines together into patches. */
export function createPatches(smallest: number) {
  const finished: Patch[] = [];

  const onLines = (lines: ScanLines) => {
    let active: Growing[] = [];
    let current = -1;

    const finish = (patch: Growing): void => {
      const widths = patch.left.map((left, i) => (patch.right[i] as number) - left);
      const area = widths.reduce((sum, width) => sum + width, 0) * lines.spacing;
      if (area < smallest) return;
      finished.push({
        kind: patch.kind, between: patch.between, area, swaths: inTime(patch.beside[widths.length >> 1] ?? [0, 0]),
        width: area / (widths.length * lines.spacing), outline: outlineOf(lines, patch),
      });
    };

    const isAt = (patch: Growing): number => patch.firstLine + patch.left.length;

    const goTo = (line: number): void => {
      if (line === current) return;
      current = line;
      active.filter((patch) => isAt(patch) < line).forEach(finish);
      active = active.filter((patch) => isAt(patch) >= line);
    };

    const add = (kind: Patch['kind'], line: number, left: number, right: number, beside: readonly [number, number], between: boolean): void => {
      if (right - left < THINNEST) return;
      goTo(line);
      const last = (values: readonly number[]): number => values.at(-1) ?? Number.NaN;
      const known = active.find((patch) => patch.kind === kind && patch.between === between && isAt(patch) === line && last(patch.left) < right && left < last(patch.right));
      if (known !== undefined) {
        known.left.push(left);
        known.right.push(right);
        known.beside.push(beside);
        return;
      }
      active.push({ kind, between, beside: [beside], firstLine: line, left: [left], right: [right] });
    };

    const end = (): void => {
      active.forEach(finish);
      active = [];
    };
    return { add, end };
  };

  return { onLines, listed: (): readonly Patch[] => finished.toSorted((a, b) => b.area - a.area) };
}

const inTime = ([one, other]: readonly [number, number]): readonly [number, number] => (one <= other ? [one, other] : [other, one]);

function outlineOf(lines: ScanLines, { firstLine, left, right }: Growing): readonly Point[] {
  const y = (i: number): number => (lines.first + firstLine + i + 0.5) * lines.spacing;
  const side = (values: readonly number[]): readonly Point[] => simplified(values.map((x, i) => fromFrame(lines, x, y(i))), OUTLINE_TOLERANCE);
  return [...side(left), ...side(right).toReversed()];
}
