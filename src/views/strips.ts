import type { Setup } from '../../shared/setup.ts';
import type { Span } from '../../shared/span.ts';
import type { Episodes } from '../episodes/episodes.ts';
import type { Timeline } from '../episodes/timeline.ts';
import { sectionsOf, type Strip } from '../field/swath.ts';
import { intersectSpans, spansWhere, unionSpans } from '../series/spans.ts';

/** When each section put product down: commanded on while working, shifted by the delays of the setup, if it gives any. */
export function stripsOf(setup: Setup, timeline: Timeline, episodes: Pick<Episodes, 'working'>, logged: readonly string[]): readonly Strip[] {
  return sectionsOf(setup, logged).map((section): Strip => {
    const state = section.id === '' ? undefined : timeline.held(`section.${section.id}.on`);
    const commanded = state === undefined ? episodes.working : intersectSpans(episodes.working, spansWhere(state.map((value) => (value > 0.5 ? 1 : 0))));
    const { delays } = setup.machine;
    const delay = delays?.sections.get(section.id) ?? delays?.all;
    return { ...section, on: delay === undefined ? commanded : delayed(commanded, delay) };
  });
}

function delayed(spans: readonly Span[], { on, off }: { readonly on: number; readonly off: number }): readonly Span[] {
  return unionSpans(spans.map(({ start, end }) => ({ start: start + on, end: end + off })).filter(({ start, end }) => end > start));
}
