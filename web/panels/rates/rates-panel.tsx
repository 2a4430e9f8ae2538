import { useMemo } from 'preact/hooks';
import type { DayView } from '../../../shared/api.ts';
import type { ProductSummary, RateStretch } from '../../../shared/day.ts';
import type { RateView } from '../../../shared/day-views.ts';
import { formatClock, formatNumber, quantity, renderText } from '../../../shared/text.ts';
import { useFetched } from '../../plot/fetched.ts';
import { pinned } from '../../plot/time-view.ts';
import { go, reading } from '../../state.ts';
import { FieldMap } from '../map/field-map.tsx';
import { PassTable } from './pass-table.tsx';
import { routesOf, standingOf } from '../../../shared/rate-routes.ts';
import { RouteTable } from './route-table.tsx';
import { Tolerance } from './tolerance.tsx';

const rate = (kgPerSquareMetre: number): string => renderText(quantity.rate(kgPerSquareMetre), reading.value);

async function fetchRates(day: string): Promise<readonly RateView[]> {
  const response = await fetch(`/api/days/${encodeURIComponent(day)}/rates`);
  if (!response.ok) throw new Error(`answered ${response.status}`);
  return (await response.json()) as readonly RateView[];
}

/** What went in, how sure that is, and where it did not: per product by every route, over the field, pass by pass. */
export function RatesPanel({ view }: { readonly view: DayView }) {
  const fetched = useFetched(() => fetchRates(view.id), [view]);
  const rates = fetched.status === 'ready' ? fetched.value : undefined;
  const { products } = view.summary;
  const mapped = useMemo(() => rates?.find(({ total }) => total !== undefined), [rates]);
  if (products.length === 0) {
    return (
      <section class="rates sheet" aria-label="The rates">
        <h2>No product is known</h2>
        <p>The log alone does not say what was in which tank. Give the setup a product with its tank and target rate; then its rate can be told.</p>
        <div class="row"><button type="button" onClick={() => go({ reading: 'setup' })}>Enter the machine and the job</button></div>
      </section>
    );
  }
  return (
    <section class="rates" aria-label="The rates">
      <div class="rates-body">
        <div>
          {products.map((product) => <Product key={product.tank} product={product} over={rates?.find(({ tank }) => tank === product.tank)} />)}
          <h2>Pass by pass</h2>
          {fetched.status === 'failed' ? <p role="alert" class="trouble">The rates over time could not be fetched. Reload the page.</p>
            : rates === undefined ? <p class="quiet">Reckoning the rates…</p> : <PassTable rates={rates} />}
        </div>
        <FieldMap view={view} at={pinned} {...(mapped === undefined ? {} : { colour: `rate:${mapped.tank}` })} {...(rates === undefined ? {} : { rates })} />
      </div>
    </section>
  );
}

function Product({ product, over }: { readonly product: ProductSummary; readonly over: RateView | undefined }) {
  const target = product.targetKgPerHa === undefined ? over?.target : product.targetKgPerHa * 1e-4;
  const routes = routesOf(product, over);
  const best = routes.find(({ hasInterval }) => hasInterval);
  const name = product.name ?? `Tank ${product.tank}`;
  return (
    <article class="sheet product" aria-label={`Rates of ${name}`}>
      <h2>{name} <span class="quiet">tank {product.tank}</span></h2>
      <p class="answer">{best === undefined ? 'How much went in cannot be told: no scale reading, ticket or count of this tank holds for the day.' : answerOf(best.rate, target)}
        {product.dispensedKg !== undefined && ` ${renderText(`${quantity.mass(product.dispensedKg.value)} left the tank (${quantity.mass(product.dispensedKg.low)} to ${quantity.mass(product.dispensedKg.high)}).`, reading.value)}`}</p>
      {routes.length > 0 && <RouteTable routes={routes} target={target} />}
      {over !== undefined && (over.why === undefined ? <Tolerance rate={over} /> : <p class="quiet">Over the field it cannot be told: {over.why}</p>)}
      <Stretches title="By field" stretches={product.fields} />
      <Stretches title="By fill" stretches={product.fills} />
    </article>
  );
}

function answerOf(interval: { readonly value: number; readonly low: number; readonly high: number }, target: number | undefined): string {
  const went = `${rate(interval.value)} went in, ${rate(interval.low)} to ${rate(interval.high)} with 95 % certainty.`;
  if (target === undefined) return `${went} No target is known to hold it against.`;
  const off = formatNumber(Math.abs(interval.value / target - 1) * 100, 1);
  const standing = standingOf(interval, target);
  const against = `${off} % ${interval.value < target ? 'under' : 'over'} the target of ${rate(target)}`;
  return standing === 'cannot tell' ? `${went} That is ${against}; whether it is within 5 % cannot be told.` : `${went} That is ${against}${standing === 'within' ? ', within 5 %' : ', more than 5 % for certain'}.`;
}

function Stretches({ title, stretches }: { readonly title: string; readonly stretches: readonly RateStretch[] | undefined }) {
  if (stretches === undefined || stretches.length === 0) return null;
  const say = (text: string): string => renderText(text, reading.value);
  return (
    <div class="scroll" tabIndex={0} role="group" aria-label={title}>
      <table class="blocks">
        <caption>{title}</caption>
        <thead><tr><th scope="col">name</th><th scope="col">from</th><th scope="col">to</th><th scope="col" class="number">ground</th><th scope="col" class="number">rate</th><th scope="col" class="number">95 % interval</th></tr></thead>
        <tbody>
          {stretches.map(({ name, start, end, areaHa, appliedKgPerHa }) => (
            <tr key={`${name} ${start}`}>
              <th scope="row">{name}</th><td data-column="from">{formatClock(start, reading.value)}</td><td data-column="to">{formatClock(end, reading.value)}</td><td class="number" data-column="ground">{say(quantity.area(areaHa * 1e4))}</td>
              <td class="number" data-column="rate">{appliedKgPerHa === undefined ? 'cannot tell' : rate(appliedKgPerHa.value * 1e-4)}</td>
              <td class="number" data-column="95 % interval">{appliedKgPerHa === undefined ? '' : `${rate(appliedKgPerHa.low * 1e-4)} to ${rate(appliedKgPerHa.high * 1e-4)}`}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
