import type { CheckReport, Finding } from '../../../shared/finding.ts';
import type { MarkState } from '../../../shared/marks.ts';

export const VERDICT_WORDS: Readonly<Record<Finding['verdict'], { readonly short: string; readonly long: string }>> = {
  'proved': { short: 'proved', long: 'Proved by the log: what else it could be is ruled out, with reasons, further on.' },
  'consistent': { short: 'consistent', long: 'Consistent with the log; other causes fit as well. The deciding check tells them apart.' },
  'cannot-tell': { short: 'cannot tell', long: 'The log alone cannot tell. The deciding check can.' },
};

export const SEVERITY_WORDS: Readonly<Record<Finding['severity'], string>> = { action: 'put right', watch: 'keep an eye on', info: 'for information' };

export const MARK_WORDS: Readonly<Record<MarkState, string>> = { confirmed: 'confirmed at the machine', rejected: 'found not to be so', fixed: 'put right' };

/** Why a check has no answer. */
export const BLIND_WORDS: Readonly<Partial<Record<CheckReport['status'], string>>> = {
  'too-little-data': 'too little data', 'not-logged': 'not in the log', 'not-set-up': 'the setup lacks what it needs', 'failed': 'it failed, which is our mistake',
};

const CHECKS: Readonly<Record<string, string>> = {
  'speed-calibration': 'Speed wheel against GNSS', 'rate': 'Rate and kg per turn', 'tank-flow': 'Flow out of the tanks', 'run-flow': 'Every run and tower', 'section-timing': 'Section switching',
  'fan-floor': 'Fan speeds', 'scale': 'Tank scales', 'coverage': 'Overlap and missed ground', 'log-quality': 'The logs themselves',
};

/** What a check looked at; its id in words where it is a new one. */
export function checkTitle(detector: string): string {
  const words = CHECKS[detector] ?? detector.replaceAll('-', ' ');
  return words.charAt(0).toUpperCase() + words.slice(1);
}
