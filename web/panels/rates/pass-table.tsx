import type { RateView } from '../../../shared/day-views.ts';
import { formatClock, formatNumber, quantity, renderText, shownUnit } from '../../../shared/text.ts';
import { Pages } from '../../plot/table-behind.tsx';
import { go, reading } from '../../state.ts';

/** Every pass with the rate of every product; the time leads to the day. */
export function PassTable({ rates }: { readonly rates: readonly RateView[] }) {
  const first = rates.find(({ passes }) => passes.length > 0);
  if (first === undefined) return <p class="quiet">No pass was found: nothing was in the ground for a minute or a hundred metres at a stretch.</p>;
  const say = (text: string): string => renderText(text, reading.value);
  const shown = shownUnit('kg/m²', reading.value.units);
  const rated = rates.filter(({ passes }) => passes.some(({ rate }) => rate !== undefined));
  const columns = [
    { label: 'pass', isNumber: true }, { label: 'from' }, { label: 'length', isNumber: true }, { label: 'ground', isNumber: true }, { label: 'speed', isNumber: true },
    ...rated.flatMap(({ name, tank }) => [{ label: `${name ?? `tank ${tank}`}, ${shown.label}`, isNumber: true }, { label: `from target (tank ${tank})`, isNumber: true }]),
  ];
  const rows = first.passes.map((pass, k) => [
    String(k + 1),
    <button type="button" class="link" key="go" onClick={() => go({ reading: 'day', from: Math.max(0, pass.start - 20), to: pass.end + 20, at: pass.start })}>{formatClock(pass.start, reading.value)}</button>,
    say(quantity.length(pass.length, 0)), say(quantity.area(pass.area)), say(quantity.speed(pass.speed)),
    ...rated.flatMap(({ passes, target }) => {
      const rate = passes[k]?.rate;
      return [rate === undefined ? '–' : formatNumber(shown.convert(rate), 1), rate === undefined || target === undefined ? '–' : `${formatNumber((rate / target - 1) * 100, 1)} %`];
    }),
  ]);
  return <Pages columns={columns} rows={rows} />;
}
