import { formatNumber, shownUnit } from '../../../shared/text.ts';
import { reading } from '../../state.ts';
import { standingOf, TOLERANCE, type Route } from '../../../shared/rate-routes.ts';

/** Every route to the rate on one scale round the target, drawn and in figures. */
export function RouteTable({ routes, target }: { readonly routes: readonly Route[]; readonly target: number | undefined }) {
  const shown = shownUnit('kg/m²', reading.value.units);
  const all = routes.flatMap(({ rate }) => [rate.low, rate.high]).concat(target === undefined ? [] : [target * (1 - 1.6 * TOLERANCE), target * (1 + 1.6 * TOLERANCE)]);
  const [least, most] = [Math.min(...all), Math.max(...all)];
  const margin = Math.max((most - least) * 0.06, most * 0.01);
  const x = (rate: number): number => ((rate - least + margin) / (most - least + 2 * margin)) * 100;
  return (
    <div class="scroll" tabIndex={0} role="group" aria-label="Rate by every route">
      <table class="routes blocks">
        <thead>
          <tr>
            <th scope="col">by</th>
            <th scope="col" class="drawn"><span class="unseen">drawn</span></th>
            <th scope="col" class="number">{shown.label}</th><th scope="col" class="number">95 % interval</th>
            {target !== undefined && <><th scope="col" class="number">from target</th><th scope="col">± 5 %</th></>}
          </tr>
        </thead>
        <tbody>
          {target !== undefined && (
            <tr class="target">
              <th scope="row">target<span class="quiet blind">shaded: ± 5 % of it</span></th><td class="drawn"><Drawn x={x} target={target} /></td>
              <td class="number" data-column={shown.label}>{formatNumber(shown.convert(target), 1)}</td><td /><td /><td />
            </tr>
          )}
          {routes.map((route) => (
            <tr key={`${route.mass} ${route.area}`}>
              <th scope="row">{route.mass}<span class="quiet blind">over {route.area}</span>{route.blindTo !== undefined && <span class="quiet blind">blind to {route.blindTo}</span>}</th>
              <td class="drawn"><Drawn x={x} target={target} route={route} /></td>
              <td class="number strong" data-column={shown.label}>{formatNumber(shown.convert(route.rate.value), 1)}</td>
              <td class="number" data-column="95 % interval">{route.hasInterval ? `${formatNumber(shown.convert(route.rate.low), 1)} to ${formatNumber(shown.convert(route.rate.high), 1)}` : 'not stated'}</td>
              {target !== undefined && <td class="number" data-column="from target">{formatNumber((route.rate.value / target - 1) * 100, 1)} %</td>}
              {target !== undefined && <td data-column="± 5 %">{route.hasInterval ? standingOf(route.rate, target) : '–'}</td>}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

function Drawn({ x, target, route }: { readonly x: (rate: number) => number; readonly target: number | undefined; readonly route?: Route }) {
  return (
    <svg class="whisker" viewBox="0 0 100 24" preserveAspectRatio="none" aria-hidden="true">
      {target !== undefined && <rect class="band" x={x(target * (1 - TOLERANCE))} width={x(target * (1 + TOLERANCE)) - x(target * (1 - TOLERANCE))} y="0" height="24" />}
      {target !== undefined && <line class="goal" x1={x(target)} x2={x(target)} y1="0" y2="24" />}
      {route?.hasInterval === true && <line class="reach" x1={x(route.rate.low)} x2={x(route.rate.high)} y1="12" y2="12" />}
      {route !== undefined && <line class={route.hasInterval ? 'dot' : 'dot claimed'} x1={x(route.rate.value)} x2={x(route.rate.value) + 0.01} y1="12" y2="12" />}
    </svg>
  );
}
