import type { RateClassName, RateView } from '../../../shared/day-views.ts';
import { formatNumber, quantity, renderText } from '../../../shared/text.ts';
import { rampOf } from '../../plot/ramp.ts';
import { reading } from '../../state.ts';
import { isDark, themeTurns } from '../../plot/palette.ts';

const NAMES: Readonly<Record<RateClassName, string>> = { under10: 'more than 10 % under', under5: '5–10 % under', within5: 'within 5 %', over5: '5–10 % over', over10: 'more than 10 % over' };
const PLACE: Readonly<Record<RateClassName, number>> = { under10: 0.08, under5: 0.28, within5: 0.5, over5: 0.72, over10: 0.92 };

/** How much ground got how close to its target, as one bar and its table. */
export function Tolerance({ rate }: { readonly rate: RateView }) {
  void themeTurns.value;
  const all = rate.classes.reduce((sum, { area }) => sum + area, 0);
  if (all === 0) return null;
  const ramp = rampOf('two-sided', isDark());
  return (
    <div class="tolerance">
      <svg viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true">
        {rate.classes.map(({ name, area }, k) => {
          const before = rate.classes.slice(0, k).reduce((sum, each) => sum + each.area, 0);
          return <rect key={name} x={(before / all) * 100} width={(area / all) * 100} y="0" height="10" fill={ramp.colourOf(PLACE[name])} />;
        })}
      </svg>
      <table>
        <thead><tr><th scope="col">along the rows, 15 s at a time</th><th scope="col" class="number">ground</th><th scope="col" class="number">share</th></tr></thead>
        <tbody>
          {rate.classes.map(({ name, area }) => (
            <tr key={name}><th scope="row"><svg class="tolerance-chip" width="14" height="12" aria-hidden="true"><rect width="14" height="12" fill={ramp.colourOf(PLACE[name])} /></svg>{NAMES[name]}</th>
              <td class="number">{renderText(quantity.area(area), reading.value)}</td><td class="number">{formatNumber((area / all) * 100, 1)} %</td></tr>
          ))}
        </tbody>
      </table>
      <p class="quiet small-print">From meter turns, the {rate.massPerTurn?.from} mass per turn and GNSS area. It shows where the meter hurried or lagged, not whether a turn gave what it should: the routes above tell that.</p>
    </div>
  );
}
