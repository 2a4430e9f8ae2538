import type { Finding } from '../../../shared/finding.ts';
import { counted } from '../../../shared/verdict.ts';
import { cautionLetters, cautionList, cautionsOf } from './caution-list.ts';
import { loadTable } from './load-table.ts';
import { machinePlace } from './machine-place.ts';
import { html, type Markup } from './markup.ts';
import { capital, sayer, type PaperSource } from './paper.ts';
import { sheet } from './sheet.ts';
import { kitOf } from './task-kit.ts';

/** More than that nobody does before breakfast (trade.md c.2). */
const MOST_TASKS = 7;

/** The list for tomorrow: for the operator and whoever is on before him; one line per thing, and what to load. */
export function tomorrowPaper(source: PaperSource): string {
  const { analysis, reading, marks = [] } = source;
  const say = sayer(reading);
  const isSettled = ({ id }: Finding): boolean => marks.some(({ finding, state }) => finding === id && state !== 'confirmed');
  const graves = analysis.findings.filter(({ severity }) => severity !== 'info');
  const open = graves.filter((finding) => !isSettled(finding));
  const ordered = [...open.filter(({ severity }) => severity === 'action'), ...open.filter(({ severity }) => severity === 'watch')];
  const all = tasksOf(ordered, source);
  const tasks = all.slice(0, MOST_TASKS);
  const cautions = cautionsOf(tasks.flat());
  const settled = graves.length - open.length;
  const left = all.length - tasks.length;
  return sheet(source, 'List for tomorrow', 'for whoever takes the machine out next', [
    html`<h1>${tasks.length === 0 ? 'Nothing to put right before tomorrow.' : `${capital(counted(tasks.length, 'thing'))} to do before tomorrow.`}</h1>`,
    html`${tasks.length > 0 && html`<ol class="tasks">${tasks.map((task, k) => taskLine(task, k + 1, cautions, source))}</ol>`}
${left > 0 && html`<p class="small">${capital(counted(left, 'lighter thing'))} not listed here; the complaint file has them all.</p>`}
${settled > 0 && html`<p class="small">${capital(counted(settled, 'thing'))} marked as put right or not so, left out.</p>`}
${couldNotLook(source, say)}`,
    loadTable(source),
    cautionList(cautions, say),
  ]);
}

/** Findings at one place that the same check settles: the person goes there once. */
type Task = readonly [Finding, ...Finding[]];

function tasksOf(findings: readonly Finding[], { setup }: PaperSource): readonly Task[] {
  const tasks = new Map<string, Task>();
  for (const finding of findings) {
    const key = `${machinePlace(finding.subject, finding.code, setup)}\n${finding.decidingCheck}`;
    const before = tasks.get(key);
    tasks.set(key, before === undefined ? [finding] : [...before, finding]);
  }
  return [...tasks.values()];
}

function taskLine(task: Task, number: number, cautions: readonly string[], { setup, reading }: PaperSource): Markup {
  const say = sayer(reading);
  const [first] = task;
  const { tools, minutes: [from, to] } = kitOf(first.code);
  const settings = task.flatMap(({ correction }) => correction ?? []);
  const why = task.map(({ title, verdict }) => `${title}${verdict === 'proved' ? '' : ' (not certain)'}`).join('; ');
  const letters = cautionLetters(task, cautions);
  return html`<li data-task="${task.map(({ id }) => id).join(' ')}"><span class="count">${number}</span><div>
<p class="do"><span class="tick"></span><strong>${capital(machinePlace(first.subject, first.code, setup))}:</strong> ${say(first.decidingCheck)}${settings.length > 0 && html` Then set ${settings.map((setting, k) => html`${k > 0 && ', '}${setting.setting} from ${setting.old} to <strong>${setting.new}</strong>`)}.`}</p>
<p class="how">Why: ${say(why)}. With: ${tools}. About ${from} to ${to} min.${letters !== '' && ` Cautions ${letters}.`}</p>
</div></li>`;
}

/** A short list must not pass for a clean bill. */
function couldNotLook({ analysis }: PaperSource, say: (text: string) => string): Markup {
  const blind = analysis.checks.filter(({ status }) => status !== 'clean' && status !== 'found');
  if (blind.length === 0) return html``;
  const looked = analysis.checks.length - blind.length;
  return html`<p class="small">${say(`${looked} of ${analysis.checks.length} checks could be made; why the others could not stands in the complaint file.`)}</p>`;
}
