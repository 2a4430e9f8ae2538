const WIDTH = 120;
const HEIGHT = 28;

/** The course of a few values as one small line; gaps break it. What it shows stands in words beside it. */
export function Sparkline({ values }: { readonly values: readonly (number | null)[] }) {
  const numbers = values.filter((value) => value !== null);
  const [least, most] = [Math.min(...numbers), Math.max(...numbers)];
  const x = (index: number): string => ((index / Math.max(1, values.length - 1)) * (WIDTH - 4) + 2).toFixed(1);
  const y = (value: number): string => (most === least ? HEIGHT / 2 : HEIGHT - 3 - ((value - least) / (most - least)) * (HEIGHT - 6)).toFixed(1);
  let isDown = false;
  const path = values.map((value, index) => {
    if (value === null) {
      isDown = false;
      return '';
    }
    const step = `${isDown ? 'L' : 'M'}${x(index)} ${y(value)}${isDown ? '' : 'h0.1'}`;
    isDown = true;
    return step;
  }).join('');
  return <svg class="sparkline" width={WIDTH} height={HEIGHT} viewBox={`0 0 ${WIDTH} ${HEIGHT}`} aria-hidden="true"><path d={path} fill="none" stroke="currentColor" stroke-width="1.5" stroke-linecap="round" /></svg>;
}
