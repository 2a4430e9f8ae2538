import type uPlot from 'uplot';

/** Arrow keys walk the cursor over the data: one point, with Shift a tenth of the view; Home and End to its edges. */
export function keyboardCursor(event: KeyboardEvent, plot: uPlot | undefined, onMove: (index: number) => void): void {
  if (plot === undefined || event.ctrlKey || event.altKey || event.metaKey) return;
  const x = plot.data[0];
  const { min, max } = plot.scales['x'] ?? {};
  if (x.length === 0 || min === undefined || max === undefined) return;
  const first = nearestIndex(x, min);
  const last = nearestIndex(x, max);
  const step = event.shiftKey ? Math.max(1, Math.round((last - first) / 10)) : 1;
  const now = plot.cursor.idx ?? Math.round((first + last) / 2);
  const moves: Readonly<Record<string, number>> = { ArrowLeft: now - step, ArrowRight: now + step, Home: first, End: last };
  const wanted = moves[event.key];
  if (wanted === undefined) return;
  event.preventDefault();
  const index = Math.min(last, Math.max(first, wanted));
  plot.setCursor({ left: plot.valToPos(x[index] as number, 'x'), top: plot.over.clientHeight / 2 });
  onMove(index);
}

function nearestIndex(x: ArrayLike<number>, value: number): number {
  let low = 0;
  let high = x.length - 1;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((x[middle] as number) < value) low = middle + 1;
    else high = middle;
  }
  return low;
}
