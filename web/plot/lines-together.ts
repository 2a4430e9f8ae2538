import type { Points } from './lines.ts';

/** Undefined = this line has no point there and runs on; null = it breaks there. */
export type Value = number | null | undefined;

export interface Together {
  readonly x: readonly number[];
  readonly lines: readonly (readonly Value[])[];
}

/** Several lines on one x axis, as uPlot needs them: the union of their x, each line running on over the others' places. */
export function together(all: readonly Points[]): Together {
  const [only] = all;
  if (only === undefined) return { x: [], lines: [] };
  if (all.length === 1) return { x: only.x, lines: [only.y] };
  if (all.every(({ x }) => x.length === only.x.length && x[0] === only.x[0] && x.at(-1) === only.x.at(-1) && x[x.length >> 1] === only.x[x.length >> 1])) return { x: only.x, lines: all.map(({ y }) => y) };
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
        (lines[k] as Value[]).push(line.y[i]);
        at[k] = i + 1;
      } else (lines[k] as Value[]).push(undefined);
    });
  }
}
