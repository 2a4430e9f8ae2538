import type { EvidenceSeries } from '../../../shared/evidence.ts';
import { strokeOf, themeColour, type Stroke } from '../../plot/palette.ts';
import type { PlotLine } from '../../plot/plot.tsx';
import type { AlignedLine } from './aligned.ts';

const ROLE_COLOUR: Readonly<Record<EvidenceSeries['role'], string>> = { subject: '--line-2', witness: '--line-1', limit: '--limit' };

/** The subject, its witness and limits keep their colours in every picture; further series take the next of the palette. */
export function plotLines(lines: readonly AlignedLine[]): readonly PlotLine[] {
  const strokes = new Map<number, Stroke>();
  const seen = new Set<string>();
  for (const { of, role } of lines) {
    if (strokes.has(of)) continue;
    strokes.set(of, seen.has(role) ? strokeOf(of + 2) : { colour: themeColour(ROLE_COLOUR[role]), dash: role === 'limit' ? [6, 4] : [] });
    seen.add(role);
  }
  return lines.map(({ label, style, of, isEdge, y }) => ({ label, style: isEdge ? 'line' : style, isEdge, y, stroke: strokes.get(of) ?? strokeOf(of) }));
}
