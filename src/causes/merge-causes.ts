import type { Finding, Severity } from '../../shared/finding.ts';
import { causeTable } from './cause-table.ts';

const RANK: Readonly<Record<Severity, number>> = { info: 0, watch: 1, action: 2 };

/**
 * One cause, named once: a finding that follows from another becomes a line of that one ('Follows'). A cause must overlap its
 * follower in time and be no weaker a claim than a remark; order stays.
 */
export function mergeCauses(findings: readonly Finding[]): readonly Finding[] {
  const causeOf = new Map<Finding, Finding>();
  for (const follower of findings) {
    const cause = findings.find((candidate) => candidate !== follower && isCause(candidate, follower));
    if (cause !== undefined) causeOf.set(follower, cause);
  }
  return findings.filter((finding) => !causeOf.has(finding)).map((finding) => {
    const followers = findings.filter((follower) => rootOf(follower, causeOf) === finding && follower !== finding);
    return followers.length === 0 ? finding : withFollowers(finding, followers);
  });
}

function isCause(candidate: Finding, follower: Finding): boolean {
  if (candidate.severity === 'info' && follower.severity !== 'info') return false;
  const isOverlapping = candidate.span.start < follower.span.end && follower.span.start < candidate.span.end;
  return isOverlapping && causeTable.some((rule) => rule.cause === candidate.code && rule.follower === follower.code && rule.explains(candidate, follower));
}

/** The first cause in the chain; a chain that bites its own tail has none. */
function rootOf(finding: Finding, causeOf: ReadonlyMap<Finding, Finding>): Finding {
  let root = finding;
  for (let steps = 0; steps < causeOf.size; steps++) {
    const next = causeOf.get(root);
    if (next === undefined) return root;
    root = next;
  }
  return root;
}

/** What a follower costs, unless its kilograms are the cause's own. */
function costBeyond(cause: Finding, { consequence }: Finding): string {
  const isTold = cause.consequence?.massKg !== undefined && consequence?.massKg !== undefined;
  return consequence === undefined || isTold ? '' : ` ${consequence.text}`;
}

function withFollowers(cause: Finding, followers: readonly Finding[]): Finding {
  const severity = followers.reduce<Severity>((worst, follower) => (RANK[follower.severity] > RANK[worst] ? follower.severity : worst), cause.severity);
  return {
    ...cause,
    severity,
    consequences: [...(cause.consequences ?? []), ...followers.map((follower) => `${follower.title}.${costBeyond(cause, follower)}`)],
    cautions: [...new Set([...cause.cautions, ...followers.flatMap((follower) => follower.cautions)])],
    channels: [...new Set([...cause.channels, ...followers.flatMap((follower) => follower.channels)])],
    evidence: [...cause.evidence, ...followers.flatMap((follower) => follower.evidence)],
  };
}
