import type { ComponentChildren } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import type { ErrorReply } from '../../../shared/api.ts';
import type { ComparedFinding, ComparedHead, ComparisonView } from '../../../shared/comparison-view.ts';
import { intervalWords } from '../../../shared/measure-words.ts';
import { renderText } from '../../../shared/text.ts';
import { ServerError, json } from '../../api.ts';
import { address } from '../../state.ts';
import { Trouble } from '../frame/trouble.tsx';
import { visible } from '../frame/names.ts';
import { ComparedTable } from './compared-table.tsx';

/** Two kept days side by side, as the server judges them. */
export function Comparison({ before, after }: { readonly before: string; readonly after: string }) {
  const [answer, setAnswer] = useState<ComparisonView>();
  const [trouble, setTrouble] = useState<ErrorReply>();
  useEffect(() => {
    const asking = new AbortController();
    json<ComparisonView>(`/api/compare?${new URLSearchParams({ before, after })}`, { signal: asking.signal }).then(setAnswer, (error: unknown) => {
      if (error instanceof ServerError) setTrouble(error.reply);
    });
    return () => asking.abort();
  }, [before, after]);
  if (trouble !== undefined) return <Trouble reply={trouble} />;
  if (answer === undefined) return <p role="status" class="quiet">Comparing the two days…</p>;
  const { units } = address.value;
  const sayOf = ({ zone, start }: ComparedHead) => (text: string): string => renderText(text, { units, zone, dayStart: start });
  const [was, is] = [sayOf(answer.before), sayOf(answer.after)];
  const judged = answer.rows.filter(({ verdict }) => verdict !== undefined);
  const told = judged.filter(({ verdict, isPart }) => verdict !== 'not-shown' || !isPart);
  const rest = answer.rows.filter((row) => !told.includes(row));
  const gone = answer.gone.filter(({ notLookedAt }) => notLookedAt === undefined);
  const unseen = answer.gone.filter(({ notLookedAt }) => notLookedAt !== undefined);
  return (
    <div class="comparison sheet">
      <p class="quiet compared-days">before: {visible(answer.before.title)}<br />after: {visible(answer.after.title)}</p>
      <p role="status" class="answer">{visible(is(answer.answer[units]))}</p>
      <Part title="Entered differently" none={answer.isSetupKnown ? '' : 'Not known: at least one of the days was kept without a setup.'}>
        {answer.settings.map(({ name, before: old, after: recent }) => <li key={name}>{visible(`${name}: ${old === undefined ? 'not entered' : was(old)} → ${recent === undefined ? 'not entered' : is(recent)}`)}</li>)}
      </Part>
      <Part title="Findings gone">{gone.map((finding) => <Line key={keyOf(finding)} finding={finding} say={was} />)}</Part>
      <Part title="Not seen again, but not looked for either">{unseen.map((finding) => <Line key={keyOf(finding)} finding={finding} say={was} why={is} />)}</Part>
      <Part title="New findings">{answer.fresh.map((finding) => <Line key={keyOf(finding)} finding={finding} say={is} why={was} />)}</Part>
      <Part title="Findings still there">{answer.stayed.map((finding) => <Line key={keyOf(finding)} finding={finding} say={is} />)}</Part>
      {answer.cautions.length > 0 && <div class="cautions"><strong>Before you go to the machine</strong><ul>{answer.cautions.map((caution) => <li key={caution}>{is(caution)}</li>)}</ul></div>}
      {told.length > 0 && <ComparedTable caption="Measured on both days" rows={told} say={is} />}
      {rest.length > 0 && <details><summary>{restWords(judged.length - told.length, rest.length)}</summary><ComparedTable caption="The rest of what both days have" rows={rest} say={is} /></details>}
      <Part title="Measured before only">{answer.onlyBefore.map((title) => <li key={title}>{visible(title)}</li>)}</Part>
      <Part title="Measured after only">{answer.onlyAfter.map((title) => <li key={title}>{visible(title)}</li>)}</Part>
      <p class="quiet method">{answer.method}</p>
    </div>
  );
}

const keyOf = ({ code, subject }: ComparedFinding): string => `${code} ${subject}`;

const restWords = (parts: number, all: number): string =>
  [parts === 0 ? '' : `${parts} of single sections and towers in which no change was shown`, all === parts ? '' : `${all - parts} figures of the days themselves`].filter((words) => words !== '').join(', ');

function Part({ title, children, none = '' }: { readonly title: string; readonly children: readonly ComponentChildren[]; readonly none?: string }) {
  if (children.length === 0 && none === '') return null;
  return <><h4>{title}</h4>{children.length === 0 ? <p class="quiet">{none}</p> : <ul>{children}</ul>}</>;
}

/** `why` reads the reason for which the other day's silence says nothing. */
function Line({ finding, say, why }: { readonly finding: ComparedFinding; readonly say: (text: string) => string; readonly why?: (text: string) => string }) {
  const { title, measures, notLookedAt } = finding;
  const [was, is] = (measures ?? []).map((measure) => intervalWords(measure, address.value.units).value);
  return (
    <li>
      {visible(say(title))}
      {was !== undefined && <span class="quiet"> {was} before, {is} after</span>}
      {notLookedAt !== undefined && why !== undefined && <span class="quiet"> On the other day: {visible(why(notLookedAt))}</span>}
    </li>
  );
}
