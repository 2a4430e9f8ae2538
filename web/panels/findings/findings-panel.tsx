import type { DayView } from '../../../shared/api.ts';
import { formatNumber, quantity, renderText } from '../../../shared/text.ts';
import { verdictSentence } from '../../../shared/verdict.ts';
import { address, go, reading } from '../../state.ts';
import { FindingSheet } from './finding-sheet.tsx';
import { SEVERITY_WORDS, whenOf } from './wording.ts';

/** What to fix: the verdict, the findings by consequence, and one of them opened. */
export function FindingsPanel({ view }: { readonly view: DayView }) {
  const say = (text: string): string => renderText(text, reading.value);
  const chosen = view.findings.find((finding) => finding.id === address.value.finding) ?? view.findings[0];
  return (
    <>
      <p class="verdict" role="status">{say(verdictSentence(view.findings as never, view.checks))}</p>
      <div class="split">
        <section aria-label="Findings">
          <ol class="finding-list">
            {view.findings.map((finding) => (
              <li key={finding.id} class={finding.severity}>
                <button type="button" aria-current={finding === chosen} onClick={() => go({ finding: finding.id })}>
                  <span class="severity">{SEVERITY_WORDS[finding.severity]}</span> {say(finding.title)}
                  <span class="when">{say(whenOf(finding))}</span>
                </button>
              </li>
            ))}
          </ol>
          <DayFacts view={view} />
          <Checks view={view} />
        </section>
        {chosen === undefined ? <NothingFound /> : <FindingSheet key={chosen.id} view={view} finding={chosen} />}
      </div>
    </>
  );
}

function NothingFound() {
  return <section class="sheet"><h2>Nothing found</h2><p>The checks that could look found nothing wrong. What each of them looked at, and what it could not, stands beside.</p></section>;
}

function DayFacts({ view }: { readonly view: DayView }) {
  const say = (text: string): string => renderText(text, reading.value);
  return (
    <details open>
      <summary>The day in numbers</summary>
      <p>{say(quantity.area(view.summary.areaHa * 1e4, 1))} by GNSS, {formatNumber(view.summary.workingHours, 1)} h in work</p>
      {view.summary.products.map((product) => (
        <p key={product.tank}>
          Tank {product.tank}{product.name === undefined ? '' : `, ${product.name}`}:{' '}
          {product.appliedKgPerHa === undefined ? 'rate cannot be told'
            : `${say(quantity.rate(product.appliedKgPerHa.value * 1e-4))} went in (${say(quantity.rate(product.appliedKgPerHa.low * 1e-4))} to ${say(quantity.rate(product.appliedKgPerHa.high * 1e-4))})`}
          {product.targetKgPerHa === undefined ? '' : `, target ${say(quantity.rate(product.targetKgPerHa * 1e-4))}`}
        </p>
      ))}
    </details>
  );
}

function Checks({ view }: { readonly view: DayView }) {
  return (
    <details>
      <summary>What was looked at</summary>
      <table>
        <tbody>
          {view.checks.map((check) => (
            <tr key={check.detector}><th scope="row">{check.detector}</th><td>{check.status.replaceAll('-', ' ')}{check.why === '' ? '' : `: ${renderText(check.why, reading.value)}`}</td></tr>
          ))}
        </tbody>
      </table>
    </details>
  );
}
