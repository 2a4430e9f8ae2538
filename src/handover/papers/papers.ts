import { complaintPaper } from './complaint-paper.ts';
import type { PaperName, PaperSource } from './paper.ts';
import { ratePaper } from './rate-paper.ts';
import { tomorrowPaper } from './tomorrow-paper.ts';

export { PAPER_NAMES, type PaperName, type PaperSource, type PaperViews } from './paper.ts';

const PAPERS: Readonly<Record<PaperName, (source: PaperSource) => string>> = { complaint: complaintPaper, rates: ratePaper, tomorrow: tomorrowPaper };

/** One of the hand-over papers as a whole HTML file: no script, nothing from outside, for screen, phone, A4 and Letter. */
export function paper(name: PaperName, source: PaperSource): string {
  return PAPERS[name](source);
}
