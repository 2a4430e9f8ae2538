import { renderText } from '../../shared/text.ts';
import type { Comparison } from './comparison.ts';
import { methodSentence, sayIn } from './comparison-text.ts';
import { readingOf } from './history-text.ts';

export const COMPARISON_SCHEMA = 'sowtrace/comparison/1';

/** Two days side by side as one JSON document, always metric; optional parts are left out. */
export function comparisonDocument({ before, after, rows, onlyBefore, onlyAfter, settings, isSetupKnown, findings, ...rest }: Comparison): Record<string, unknown> {
  const say = (text: string): string => renderText(text, readingOf('metric'));
  const headOf = ({ title, areaHa, logs }: typeof before): object => ({ title, areaHa, logs });
  const [was, is] = [sayIn(before, 'metric'), sayIn(after, 'metric')];
  const entry = ({ finding, notLookedAt }: (typeof findings.gone)[number], own: (text: string) => string, other: (text: string) => string): object => ({ code: finding.code, subject: finding.subject, severity: finding.severity, title: own(finding.title), ...(finding.measure === undefined ? {} : { measure: finding.measure }), ...(notLookedAt === undefined ? {} : { notLookedAt: other(notLookedAt) }) });
  const numbers = ({ value, low, high, n }: (typeof rows)[number]['before']): object => ({ value, low, high, n });
  return {
    schema: COMPARISON_SCHEMA,
    before: headOf(before),
    after: headOf(after),
    measurements: rows.map(({ before: old, after: recent, unlike, ...row }) => ({ ...row, before: numbers(old), after: numbers(recent), ...(unlike === undefined ? {} : { unlike: unlike.map(say) }) })),
    onlyBefore, onlyAfter,
    settings: settings.map(({ name, before: old, after: recent }) => ({ setting: name, ...(old === undefined ? {} : { before: say(old) }), ...(recent === undefined ? {} : { after: say(recent) }) })),
    settingsKnown: isSetupKnown,
    findings: {
      gone: findings.gone.map((one) => entry(one, was, is)),
      new: findings.fresh.map((one) => entry(one, is, was)),
      stayed: findings.stayed.map(({ before: old, after: recent }) => ({ ...entry({ finding: recent }, is, was), ...(old.measure === undefined ? {} : { measureBefore: old.measure }) })),
    },
    sharesLogs: rest.sharesLogs,
    method: methodSentence({ before, after, rows, onlyBefore, onlyAfter, settings, isSetupKnown, findings, ...rest }),
  };
}
