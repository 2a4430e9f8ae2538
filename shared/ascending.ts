/** How many of ascending numbers are at most `limit`: the index of the first beyond it. */
export function countUpTo(ascending: ArrayLike<number>, limit: number): number {
  let low = 0;
  let high = ascending.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((ascending[middle] as number) <= limit) low = middle + 1;
    else high = middle;
  }
  return low;
}
