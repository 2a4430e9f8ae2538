import { useState } from 'preact/hooks';
import type { CaseListing } from '../../../shared/case.ts';
import { formatClock } from '../../../shared/text.ts';
import { kept } from '../../case-api.ts';
import { address, go } from '../../state.ts';
import { shownDate, shownName } from '../frame/names.ts';
import { Comparison } from './comparison.tsx';

/** What only several kept days tell: a machine over its season, and two days side by side. */
export function Season() {
  const cases = kept.value?.cases ?? [];
  const [chosen, setChosen] = useState<{ readonly before?: string; readonly after?: string }>({});
  const asked = address.value;
  const usual = latestTwo(cases);
  const isKept = (id: string | undefined): id is string => cases.some((listing) => listing.id === id);
  const side = (name: 'before' | 'after'): string => [chosen[name], asked[name], usual?.[name]].find(isKept) ?? '';
  const [before, after] = [side('before'), side('after')];
  const machines = [...new Set(cases.map(({ machine }) => machine))].filter((machine) => cases.filter((listing) => listing.machine === machine && listing.date !== 'undated').length > 1).sort();
  const isAsked = asked.before !== undefined && asked.after !== undefined;
  if (usual === undefined && !isAsked) return null;
  return (
    <div class="season">
      {machines.length > 0 && (
        <section aria-labelledby="season">
          <h3 id="season">A machine over its season</h3>
          <p class="quiet">What drifted, what stepped and when, and what was entered anew.</p>
          <p class="row">{machines.map((machine) => (
            <a key={machine} class="paper-link" href={`/api/machines/${encodeURIComponent(machine)}/history?units=${asked.units}`} target="_blank" rel="noopener">{shownName(machine)}<span class="unseen"> over its season (opens in a new tab)</span></a>
          ))}</p>
        </section>
      )}
      <section aria-labelledby="before-after">
        <h3 id="before-after">Before and after</h3>
        <p class="quiet">Did the new setting work? Two kept days side by side, each measurement with the difference and how sure it is.</p>
        {usual !== undefined && (
          <form class="row" onSubmit={(event) => {
            event.preventDefault();
            go({ before, after });
          }}>
            <Choice label="Before" id={before} cases={cases} choose={(id) => setChosen({ ...chosen, before: id })} />
            <Choice label="After" id={after} cases={cases} choose={(id) => setChosen({ ...chosen, after: id })} />
            <button type="submit" disabled={before === after}>Compare</button>
            {before === after && <span class="quiet">Choose two different days.</span>}
          </form>
        )}
        {asked.before !== undefined && asked.after !== undefined && <Comparison key={`${asked.before} ${asked.after}`} before={asked.before} after={asked.after} />}
      </section>
    </div>
  );
}

function Choice({ label, id, cases, choose }: { readonly label: string; readonly id: string; readonly cases: readonly CaseListing[]; readonly choose: (id: string) => void }) {
  return (
    <div class="choice">
      <label for={`compare-${label}`}>{label}</label>
      <select id={`compare-${label}`} value={id} onChange={(event) => choose(event.currentTarget.value)}>
        {cases.map((listing) => <option key={listing.id} value={listing.id}>{optionWords(listing)}</option>)}
      </select>
    </div>
  );
}

function optionWords({ date, zone, start, machine, name }: CaseListing): string {
  const when = date === 'undated' ? 'without a date' : `${shownDate(start, zone)}, ${formatClock(0, { units: 'metric', zone, dayStart: start }).slice(0, 5)}`;
  return `${when}, ${shownName(machine)}, ${shownName(name)}`;
}

/** The two latest days of the machine that has two most recently, else the two latest of all; days come newest first. */
function latestTwo(cases: readonly CaseListing[]): { readonly before: string; readonly after: string } | undefined {
  const latest = cases.find((listing, i) => cases.slice(i + 1).some(({ machine }) => machine === listing.machine)) ?? cases[0];
  const earlier = cases.find((listing) => listing !== latest && listing.machine === latest?.machine && listing.start <= latest.start) ?? cases[1];
  return latest === undefined || earlier === undefined ? undefined : { before: earlier.id, after: latest.id };
}
