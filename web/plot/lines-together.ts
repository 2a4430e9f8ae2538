import type { Points } from './lines.ts';

/** Undefined = this line has no point there and runs on; null = it breaks there. */
export type Value = number | null | undefined;

export interface Together {
  readonly x: ArrayLike<number>;
  readonly lines: readonly ArrayLike<Value>[];
}

/** Several lines on one x axis, as uPlot needs them: the union of their x, each line running on over the others' places. */
export function together(all: readonly Points[]): Together {
  const [only] = all;
  if (only === undefined) return { x: [], lines: [] };
  if (all.length === 1) return { x: only.x, lines: [only.y] };
  if (all.every(({ x }) => sameColumns(x, only.x))) return { x: only.x, lines: all.map(({ y }) => y) };
  const x: number[] = [];
  const lines: Value[][] = all.map(() => []);
  const at = all.map(() => 0);
  for (;;) {
    let next = Infinity;
    all.forEach((line, k) => { next = Math.min(next, line.x[at[k] as number] ?? Infinity); });
    if (next === Infinity) return { x, lines };
    x.push(next);
    all.forEach((line, k) => {
      const i = at[k] as number;
      if (line.x[i] === next) {
        const value = line.y[i];
        (lines[k] as Value[]).push(Number.isNaN(value) ? null : value);
        at[k] = i + 1;
      } else (lines[k] as Value[]).push(undefined);
    });
  }
}

const sameColumns = (a: ArrayLike<number>, b: ArrayLike<number>): boolean =>
  a.length === b.length && a[0] === b[0] && a[a.length - 1] === b[b.length - 1] && a[a.length >> 1] === b[b.length >> 1];
