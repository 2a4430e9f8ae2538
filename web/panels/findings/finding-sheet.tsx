import { useEffect, useRef, useState } from 'preact/hooks';
import type { ComponentChildren } from 'preact';
import type { DayView, ErrorReply, FindingView } from '../../../shared/api.ts';
import type { Evidence } from '../../../shared/evidence.ts';
import { counted } from '../../../shared/verdict.ts';
import { ServerError, api } from '../../api.ts';
import { go, reading } from '../../state.ts';
import { EvidenceView } from '../evidence/evidence-view.tsx';
import { Trouble } from '../frame/trouble.tsx';
import { MarkForm } from './mark-form.tsx';
import { measureSentence } from '../../../shared/measure-words.ts';
import { stepFinding } from './neighbours.ts';
import { say } from './say.ts';
import { withUnits } from './with-units.ts';
import { SEVERITY_WORDS, VERDICT_WORDS, whenOf } from './wording.ts';

/** One finding opened: its first evidence, then why, cost, setting and check; then what else there is to see. */
export function FindingSheet({ view, finding, isChosen }: { readonly view: DayView; readonly finding: FindingView; readonly isChosen: boolean }) {
  const heading = useRef<HTMLHeadingElement>(null);
  const { evidence, failure } = useEvidence(view, finding.id);
  /* A finding chosen by hand is read from its heading on; the one that opens with the page leaves the focus alone. */
  useEffect(() => {
    const element = heading.current;
    if (element === null || !isChosen) return;
    element.focus({ preventScroll: true });
    const { top } = element.getBoundingClientRect();
    if (top < 0 || top > innerHeight * 0.7) element.scrollIntoView({ block: 'start' });
  }, [finding.id]);

  const place = view.findings.indexOf(finding);
  const length = finding.span.end - finding.span.start;
  const around = { from: Math.max(0, finding.span.start - length * 0.25 - 60), to: Math.min(view.duration, finding.span.end + length * 0.25 + 60) };
  const [first, ...further] = evidence ?? [];
  return (
    <article class={`sheet finding ${finding.severity}`} aria-labelledby="finding-title">
      <header>
        <div class="finding-head">
          <span class="severity">{SEVERITY_WORDS[finding.severity].replace(':', '')}</span>
          {view.findings.length > 1 && (
            <span class="steps">
              <button type="button" class="small" disabled={place === 0} aria-label="Finding before" onClick={() => stepFinding(view, -1)}>‹ Before</button>
              <span class="quiet">{place + 1} of {view.findings.length}</span>
              <button type="button" class="small" disabled={place === view.findings.length - 1} aria-label="Next finding" onClick={() => stepFinding(view, 1)}>Next ›</button>
            </span>
          )}
        </div>
        <h2 id="finding-title" ref={heading} tabIndex={-1}>{say(finding.title)}</h2>
        <p class="quiet">{say(whenOf(finding))}. {VERDICT_WORDS[finding.verdict]}</p>
      </header>
      <div class="finding-body">
        <div class="lead-evidence">
          {failure !== undefined && <Trouble reply={failure} />}
          {evidence === undefined && failure === undefined ? <p class="quiet" role="status">Fetching the evidence…</p> : first === undefined ? null : <EvidenceView evidence={first} day={view.id} />}
        </div>
        <div class="finding-words">
          <Facts finding={finding} />
          <div class="row">
            <button type="button" onClick={() => go({ reading: 'day', channels: finding.channels.slice(0, 8), at: finding.span.start, finding: finding.id, ...around })}>See it in the day</button>
          </div>
          <MarkForm key={finding.id} day={view.id} finding={finding.id} />
        </div>
        {further.length > 0 && <div class="further-evidence">{further.map((item, index) => <EvidenceView key={index} evidence={item} day={view.id} />)}</div>}
      </div>
    </article>
  );
}

function Facts({ finding }: { readonly finding: FindingView }) {
  const { measure, consequence, correction, consequences = [] } = finding;
  return (
    <>
      {correction !== undefined && <p class="correction"><span class="quiet">{correction.setting}, now {correction.old}</span> <strong>→ set {correction.new}</strong></p>}
      <dl class="facts">
        <Fact name="Settle it by">{say(finding.decidingCheck)}</Fact>
        {consequence !== undefined && <Fact name="Cost">{say(consequence.text)}</Fact>}
        <Fact name="Why">{say(finding.explanation)}</Fact>
        {measure !== undefined && <Fact name="Measured">{withUnits(measureSentence(finding.code, measure, reading.value.units))}</Fact>}
        {consequences.length > 0 && <Fact name="Follows from it"><List items={consequences} /></Fact>}
        {finding.cannotTell !== undefined && <Fact name="Cannot be told">{say(finding.cannotTell)}</Fact>}
      </dl>
      {finding.excludes.length > 0 && (
        <details class="ruled-out">
          <summary>What it is not: {counted(finding.excludes.length, 'other cause')} ruled out</summary>
          <List items={finding.excludes} />
        </details>
      )}
      {finding.cautions.length > 0 && <div class="cautions"><strong>Before you go to the machine</strong><List items={finding.cautions} /></div>}
    </>
  );
}

function useEvidence(view: DayView, finding: string): { readonly evidence: readonly Evidence[] | undefined; readonly failure: ErrorReply | undefined } {
  const [evidence, setEvidence] = useState<readonly Evidence[]>();
  const [failure, setFailure] = useState<ErrorReply>();
  useEffect(() => {
    let isCurrent = true;
    const fetchIt = async (): Promise<void> => {
      try {
        const items = await api.evidence(view.id, finding);
        if (isCurrent) setEvidence(items);
      } catch (error) {
        if (isCurrent) setFailure(error instanceof ServerError ? error.reply : { kind: 'internal', message: 'The evidence could not be fetched.', whatToDo: 'Reload the page.' });
      }
    };
    void fetchIt();
    return () => { isCurrent = false; };
  }, [view, finding]);
  return { evidence, failure };
}

function Fact({ name, children }: { readonly name: string; readonly children: ComponentChildren }) {
  return <><dt>{name}</dt><dd>{children}</dd></>;
}

function List({ items }: { readonly items: readonly string[] }) {
  return <ul>{items.map((item) => <li key={item}>{say(item)}</li>)}</ul>;
}
