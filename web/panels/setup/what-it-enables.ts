import type { SectionPlan } from './fields.ts';

/** A check as the reader knows it. */
export interface CheckWords {
  readonly title: string;
  /** Sections of the form it needs before it can look at all. */
  readonly needs: readonly SectionPlan['id'][];
  /** Sections that make it sharper or let it say more. */
  readonly better: readonly SectionPlan['id'][];
}

/** Every check by its id: what it is called, and which parts of the setup switch it on. A test holds this against the list of detectors. */
export const CHECKS: Readonly<Record<string, CheckWords>> = {
  'speed-calibration': { title: 'Speed wheel against GNSS', needs: ['machine'], better: [] },
  'run-flow': { title: 'Flow of every run against its tower mates', needs: [], better: ['towers', 'machine', 'products'] },
  'scale': { title: 'Tank scales', needs: [], better: ['tickets', 'tanks'] },
  'fan-floor': { title: 'Fan speed against its floor', needs: ['products'], better: ['fans'] },
  'rate': { title: 'Rate of every product', needs: ['machine'], better: ['products', 'tanks', 'tickets'] },
  'tank-flow': { title: 'Tanks and their flow', needs: [], better: ['tanks', 'products'] },
  'section-timing': { title: 'Section commands against the flow', needs: ['towers'], better: ['timing'] },
  'coverage': { title: 'Overlaps and misses', needs: ['machine'], better: ['timing'] },
  'log-quality': { title: 'What the logs leave out', needs: [], better: [] },
};

export const titleOfCheck = (detector: string): string => CHECKS[detector]?.title ?? detector.replaceAll('-', ' ');

/** Checks that a section switches on or sharpens. */
export function enabledBy(section: SectionPlan['id'], known: readonly string[]): { readonly needs: readonly string[]; readonly better: readonly string[] } {
  const ids = Object.keys(CHECKS).filter((detector) => known.length === 0 || known.includes(detector));
  const pick = (part: 'needs' | 'better'): readonly string[] => ids.filter((detector) => CHECKS[detector]?.[part].includes(section) === true);
  return { needs: pick('needs'), better: pick('better') };
}
