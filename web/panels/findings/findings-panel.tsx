import { useEffect, useRef } from 'preact/hooks';
import type { DayView } from '../../../shared/api.ts';
import { quantity } from '../../../shared/text.ts';
import { verdictSentence, workedWords } from '../../../shared/verdict.ts';
import { go, marks } from '../../state.ts';
import { PrintHead } from '../frame/print-head.tsx';
import { areKeysOn } from '../replay/shortcuts.ts';
import { HandOver } from '../papers/hand-over.tsx';
import { Checks } from './checks.tsx';
import { FindingSheet } from './finding-sheet.tsx';
import { Measurements } from './measurements.tsx';
import { openFinding, stepFinding } from './neighbours.ts';
import { say } from './say.ts';
import { MARK_WORDS, SEVERITY_WORDS, whenOf } from './wording.ts';

/** What to fix: the verdict, the findings by consequence, one of them opened, and below what the verdict rests on. */
export function FindingsPanel({ view }: { readonly view: DayView }) {
  const open = openFinding(view);
  const first = useRef(open?.id);
  const isChosen = useRef(false);
  if (open?.id !== first.current) isChosen.current = true;
  useEffect(() => {
    const keys = (event: KeyboardEvent): void => {
      if (event.ctrlKey || event.metaKey || event.altKey || !areKeysOn.value) return;
      if (event.target instanceof Element && event.target.closest('input, select, textarea, dialog') !== null) return;
      if (event.key !== '.' && event.key !== ',') return;
      event.preventDefault();
      stepFinding(view, event.key === '.' ? 1 : -1);
    };
    addEventListener('keydown', keys);
    return () => removeEventListener('keydown', keys);
  }, [view]);
  return (
    <>
      <PrintHead view={view} />
      <p class="verdict" role="status">{say(verdictSentence(view.findings as never, view.checks))}</p>
      <div class="split">
        <section class="choose" aria-labelledby="findings">
          <h2 id="findings" class="unseen">Findings</h2>
          {view.findings.length > 0 && (
            <ol class="finding-list">
              {view.findings.map((finding) => {
                const mark = marks.value.get(finding.id);
                return (
                  <li key={finding.id} class={finding.severity}>
                    <button type="button" aria-current={finding === open} onClick={() => go({ finding: finding.id })}>
                      <span class="severity">{SEVERITY_WORDS[finding.severity]}</span> {say(finding.title)}
                      <span class="when">{say(whenOf(finding))}{mark !== undefined && <span class={`mark ${mark.state}`}>{MARK_WORDS[mark.state]}</span>}</span>
                    </button>
                  </li>
                );
              })}
            </ol>
          )}
          <DayFacts view={view} />
        </section>
        {open === undefined ? <NothingFound view={view} /> : <FindingSheet key={open.id} view={view} finding={open} isChosen={isChosen.current} />}
      </div>
      <HandOver view={view} />
      <div class="grounds">
        <Checks checks={view.checks} />
        <Measurements measurements={view.measurements} />
      </div>
    </>
  );
}

function NothingFound({ view }: { readonly view: DayView }) {
  const looked = view.checks.filter((check) => check.status === 'clean').length;
  return (
    <section class="sheet">
      <h2>{looked === 0 ? 'Nothing could be checked' : 'Nothing found'}</h2>
      <p>{looked === 0
        ? 'The logs and the setup lack what the checks need. What each of them lacks stands below; the setup may be the quickest to mend.'
        : 'The checks that could look found nothing wrong. What each of them looked at, and what could not be looked at, stands below.'}</p>
      <div class="row">
        <button type="button" onClick={() => go({ reading: 'day' })}>See the day</button>
        <button type="button" onClick={() => go({ reading: 'setup' })}>Enter the machine and the job</button>
      </div>
    </section>
  );
}

function DayFacts({ view }: { readonly view: DayView }) {
  const rate = (kgPerHa: number): string => say(quantity.rate(kgPerHa * 1e-4));
  return (
    <section class="day-facts" aria-labelledby="day-facts">
      <h3 id="day-facts">The day in numbers</h3>
      <p>{say(workedWords(view.summary))}.</p>
      {view.summary.products.map(({ tank, name, appliedKgPerHa: applied, targetKgPerHa: target }) => (
        <p key={tank}>
          Tank {tank}{name === undefined ? '' : `, ${name}`}:{' '}
          {applied === undefined ? 'what went in cannot be told' : say(`${rate(applied.value)} went in, between ${rate(applied.low)} and ${rate(applied.high)} (95 % sure)`)}
          {target === undefined ? '' : `; asked for ${rate(target)}`}.
        </p>
      ))}
    </section>
  );
}
