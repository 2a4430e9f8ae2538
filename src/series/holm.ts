/**
 * Holm's step-down procedure (1979): the chance that any rejected test is a false one is at most the level, whatever
 * the dependence between tests. Gives the adjusted p-values in the order given; NaN (not tested) is not counted and stays.
 */
export function holm(p: ArrayLike<number>): Float64Array {
  const adjusted = new Float64Array(p.length).fill(Number.NaN);
  const order = Array.from({ length: p.length }, (_, i) => i).filter((i) => !Number.isNaN(p[i] as number)).sort((a, b) => (p[a] as number) - (p[b] as number));
  let most = 0;
  order.forEach((at, rank) => {
    most = Math.max(most, Math.min(1, (p[at] as number) * (order.length - rank)));
    adjusted[at] = most;
  });
  return adjusted;
}
