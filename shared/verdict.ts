import type { DaySummary } from './day.ts';
import type { CheckReport, Finding } from './finding.ts';
import { formatNumber, quantity } from './text.ts';

/** The one sentence that answers the reader first: how many things to do, and which is the heaviest. */
export function verdictSentence(findings: readonly Finding[], checks: readonly CheckReport[]): string {
  const actions = findings.filter((finding) => finding.severity === 'action');
  const watches = findings.filter((finding) => finding.severity === 'watch');
  const blind = checks.filter((check) => check.status === 'not-logged' || check.status === 'not-set-up' || check.status === 'too-little-data' || check.status === 'failed');
  const looked = checks.length - blind.length;
  const scope = blind.length === 0 ? '' : ` ${sentenceCase(counted(blind.length, 'check'))} could not be made; the reasons are below.`;
  const first = actions[0] ?? watches[0];
  if (looked === 0) return `Nothing could be checked: these logs and this setup lack what the checks need.${scope === '' ? '' : ' The reasons are below.'}`;
  if (first === undefined) return `Nothing to do: ${counted(looked, 'check')} looked and found nothing wrong.${scope}`;
  const parts = [actions.length > 0 ? `${counted(actions.length, 'thing')} to put right` : '', watches.length > 0 ? `${counted(watches.length, 'thing')} to keep an eye on` : ''];
  return `${sentenceCase(parts.filter((part) => part !== '').join(', '))}. First: ${first.title}.${scope}`;
}

export function counted(n: number, noun: string): string {
  const words = ['no', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine'];
  return `${words[n] ?? String(n)} ${noun}${n === 1 ? '' : 's'}`;
}

function sentenceCase(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** Ground and hours of a day, with quantities as tokens; no hectares may mean no work as well as nothing to measure it by. */
export function workedWords({ areaHa, workingHours }: Pick<DaySummary, 'areaHa' | 'workingHours'>): string {
  const ground = areaHa > 0 ? `${quantity.area(areaHa * 1e4, 1)} by GNSS` : 'No ground measured (it takes work, GNSS and the working width)';
  return `${ground}, ${formatNumber(workingHours, 1)} h in work`;
}
