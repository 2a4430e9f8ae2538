import { useState } from 'preact/hooks';
import type { DayView } from '../../../shared/api.ts';
import { toSi } from '../../../shared/units.ts';
import { address } from '../../state.ts';

const PAPERS = [
  { name: 'complaint', label: 'Complaint file', words: 'the verdict on one page, with its evidence' },
  { name: 'rates', label: 'Rate check', words: 'what went in against the target, by every route' },
  { name: 'tomorrow', label: 'List for tomorrow', words: 'what to do and what to load' },
] as const;

/** The three papers, each in a tab of its own to print or save; marks and notes made here are on them. */
export function HandOver({ view }: { readonly view: DayView }) {
  const [area, setArea] = useState('');
  const { units } = address.value;
  const unit = units === 'us' ? 'ac' : 'ha';
  const hectares = hectaresOf(area, unit);
  const isWrong = area.trim() !== '' && hectares === undefined;
  const addressOf = (paper: string): string => {
    const asked = new URLSearchParams({ units, ...(paper === 'tomorrow' && hectares !== undefined ? { hectares: String(hectares) } : {}) });
    return `/api/days/${encodeURIComponent(view.id)}/papers/${paper}?${asked}`;
  };
  return (
    <section class="hand-over" aria-labelledby="hand-over">
      <h3 id="hand-over">Hand it over</h3>
      <ul>
        {PAPERS.map(({ name, label, words }) => (
          <li key={name}>
            <a class="paper-link" href={addressOf(name)} target="_blank" rel="noopener">{label}<span class="unseen"> (opens in a new tab)</span></a> <span class="quiet">{words}</span>
            {name === 'tomorrow' && (
              <label class="paper-area">for <input type="text" inputMode="decimal" size={6} value={area} aria-invalid={isWrong} onInput={(event) => setArea(event.currentTarget.value)} aria-label={`Area to load for, ${unit}`} /> {unit}</label>
            )}
          </li>
        ))}
      </ul>
      {isWrong && <p role="alert" class="quiet">The area must be a number above 0; without it the list is for several sizes.</p>}
    </section>
  );
}

/** Undefined when it is no area. */
function hectaresOf(text: string, unit: 'ha' | 'ac'): number | undefined {
  const value = Number(text.trim().replace(',', '.'));
  const squareMetres = toSi(value, unit);
  return text.trim() === '' || squareMetres === undefined || !(squareMetres > 0) || squareMetres > 1e9 ? undefined : squareMetres / 1e4;
}
