import type { CheckReport } from '../../../shared/finding.ts';
import { renderText } from '../../../shared/text.ts';
import { go, reading } from '../../state.ts';
import { titleOfCheck } from '../setup/what-it-enables.ts';
import { STATUS_WORDS } from './wording.ts';

const SEEN: ReadonlySet<CheckReport['status']> = new Set(['clean', 'found']);

/** Every check in words: what looked and what it saw, what could not look and why. */
export function Checks({ checks }: { readonly checks: readonly CheckReport[] }) {
  const sorted = checks.toSorted((a, b) => Number(SEEN.has(a.status)) - Number(SEEN.has(b.status)));
  return (
    <section class="checks" aria-labelledby="checks">
      <h3 id="checks">What was looked at, and what could not be</h3>
      <table>
        <thead><tr><th scope="col">Check</th><th scope="col">Outcome</th><th scope="col">In words</th></tr></thead>
        <tbody>
          {sorted.map((check) => (
            <tr key={check.detector} class={SEEN.has(check.status) ? '' : 'not-looked'}>
              <th scope="row">{titleOfCheck(check.detector)}</th>
              <td>{STATUS_WORDS[check.status]}</td>
              <td>{renderText(check.why, reading.value)}{check.status === 'not-set-up' && <> <button type="button" class="link" onClick={() => go({ reading: 'setup' })}>Enter it<span class="unseen"> for {titleOfCheck(check.detector)}</span></button></>}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
