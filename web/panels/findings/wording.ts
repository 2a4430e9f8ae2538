import type { FindingView } from '../../../shared/api.ts';
import type { CheckReport } from '../../../shared/finding.ts';
import type { MarkState } from '../../../shared/marks.ts';
import { quantity } from '../../../shared/text.ts';

export const SEVERITY_WORDS: Readonly<Record<FindingView['severity'], string>> = { action: 'Put right:', watch: 'Keep an eye on:', info: 'For information:' };

export const VERDICT_WORDS: Readonly<Record<FindingView['verdict'], string>> = {
  'proved': 'The log proves it: what else it could be is ruled out below.',
  'consistent': 'It fits the log, and so do other causes.',
  'cannot-tell': 'The log alone cannot tell.',
};

export const STATUS_WORDS: Readonly<Record<CheckReport['status'], string>> = {
  'clean': 'looked, nothing wrong',
  'found': 'found something',
  'too-little-data': 'too little data',
  'not-logged': 'not in the log',
  'not-set-up': 'lacks the setup',
  'failed': 'failed, which is our mistake',
};

export const MARK_WORDS: Readonly<Record<MarkState, string>> = { confirmed: 'Confirmed', rejected: 'Not so', fixed: 'Fixed' };

export function whenOf(finding: FindingView): string {
  const times = finding.episodes.length > 1 ? `, ${finding.episodes.length} times` : '';
  return `${quantity.clock(finding.span.start)} to ${quantity.clock(finding.span.end)}${times}`;
}
