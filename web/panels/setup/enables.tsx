import type { CheckReport } from '../../../shared/finding.ts';
import { STATUS_WORDS } from '../findings/wording.ts';
import type { SectionPlan } from './fields.ts';
import { enabledBy, titleOfCheck } from './what-it-enables.ts';

/** Which checks this part of the setup switches on or sharpens, and how each stands on the day in view. */
export function Enables({ section, checks }: { readonly section: SectionPlan['id']; readonly checks: readonly CheckReport[] }) {
  const { needs, better } = enabledBy(section, checks.map((check) => check.detector));
  if (needs.length === 0 && better.length === 0) return null;
  const standing = (detector: string): string => {
    const check = checks.find((each) => each.detector === detector);
    return check === undefined ? '' : ` (${STATUS_WORDS[check.status]})`;
  };
  return (
    <ul class="enables">
      {needs.map((detector) => <li key={detector}><span class="quiet">Switches on</span> {titleOfCheck(detector)}{standing(detector)}</li>)}
      {better.map((detector) => <li key={detector}><span class="quiet">Sharpens</span> {titleOfCheck(detector)}{standing(detector)}</li>)}
    </ul>
  );
}
