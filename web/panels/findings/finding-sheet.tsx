import { useEffect, useState } from 'preact/hooks';
import type { DayView, FindingView } from '../../../shared/api.ts';
import type { Evidence } from '../../../shared/evidence.ts';
import { renderText } from '../../../shared/text.ts';
import { api } from '../../api.ts';
import { go, reading } from '../../state.ts';
import { EvidenceView } from '../evidence/evidence-view.tsx';
import { SEVERITY_WORDS, whenOf } from './wording.ts';

const VERDICTS: Readonly<Record<FindingView['verdict'], string>> = {
  'proved': 'The log proves it.',
  'consistent': 'It fits the log; other causes do too.',
  'cannot-tell': 'The log alone cannot tell.',
};

/** One finding opened: evidence, why, what is excluded, what cannot be told, the deciding check, setting, cautions. */
export function FindingSheet({ view, finding }: { readonly view: DayView; readonly finding: FindingView }) {
  const say = (text: string): string => renderText(text, reading.value);
  const [evidence, setEvidence] = useState<readonly Evidence[]>();
  useEffect(() => {
    let isCurrent = true;
    const fetchIt = async (): Promise<void> => {
      const items = await api.evidence(view.id, finding.id).catch((): readonly Evidence[] => []);
      if (isCurrent) setEvidence(items);
    };
    void fetchIt();
    return () => { isCurrent = false; };
  }, [view.id, finding.id]);

  const length = finding.span.end - finding.span.start;
  const around = { from: Math.max(0, finding.span.start - length * 0.25 - 60), to: Math.min(view.duration, finding.span.end + length * 0.25 + 60) };
  return (
    <article class={`sheet ${finding.severity}`} aria-label={say(finding.title)}>
      <span class="severity">{SEVERITY_WORDS[finding.severity]}</span>
      <h2>{say(finding.title)}</h2>
      <p class="quiet">{say(whenOf(finding))}. {VERDICTS[finding.verdict]}</p>
      {evidence === undefined ? <p class="quiet">Fetching the evidence…</p> : evidence.map((item, index) => <EvidenceView key={index} evidence={item} />)}
      <dl class="facts">
        <Fact name="Why">{say(finding.explanation)}</Fact>
        {finding.consequence !== undefined && <Fact name="Cost">{say(finding.consequence.text)}</Fact>}
        {(finding.consequences ?? []).length > 0 && <Fact name="Follows from it"><List items={finding.consequences ?? []} /></Fact>}
        {finding.excludes.length > 0 && <Fact name="It is not"><List items={finding.excludes} /></Fact>}
        {finding.cannotTell !== undefined && <Fact name="Cannot be told">{say(finding.cannotTell)}</Fact>}
        <Fact name="Settle it by">{say(finding.decidingCheck)}</Fact>
        {finding.correction !== undefined && <Fact name="Set"><span class="setting">{finding.correction.setting}: {finding.correction.old} → {finding.correction.new}</span></Fact>}
      </dl>
      {finding.cautions.length > 0 && <div class="cautions"><strong>Before you go to the machine</strong><List items={finding.cautions} /></div>}
      <div class="row">
        <button type="button" onClick={() => go({ reading: 'day', channels: finding.channels.slice(0, 8), ...around })}>See the channels</button>
        <span class="quiet">{finding.code} {finding.subject}</span>
      </div>
    </article>
  );
}

function Fact({ name, children }: { readonly name: string; readonly children: preact.ComponentChildren }) {
  return <><dt>{name}</dt><dd>{children}</dd></>;
}

function List({ items }: { readonly items: readonly string[] }) {
  return <ul>{items.map((item) => <li key={item}>{renderText(item, reading.value)}</li>)}</ul>;
}
