import type { DayView, FindingView } from '../../../shared/api.ts';
import { address, go } from '../../state.ts';

/** The finding that is open: the one in the address, else the first. */
export function openFinding(view: DayView): FindingView | undefined {
  return view.findings.find((finding) => finding.id === address.value.finding) ?? view.findings[0];
}

/** Opens the next finding in the list or the one before; stops at its ends. */
export function stepFinding(view: DayView, by: 1 | -1): void {
  const open = openFinding(view);
  const next = view.findings[view.findings.findIndex((finding) => finding === open) + by];
  if (next !== undefined) go({ finding: next.id });
}
