import type { FindingView } from '../../../shared/api.ts';
import { quantity } from '../../../shared/text.ts';

export const SEVERITY_WORDS: Readonly<Record<FindingView['severity'], string>> = { action: 'Put right:', watch: 'Keep an eye on:', info: 'For information:' };

export function whenOf(finding: FindingView): string {
  const times = finding.episodes.length > 1 ? `, ${finding.episodes.length} times` : '';
  return `${quantity.clock(finding.span.start)} to ${quantity.clock(finding.span.end)}${times}`;
}
