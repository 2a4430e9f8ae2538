import type { Interval, Span } from '../../../shared/span.ts';
import { formatNumber, quantity } from '../../../shared/text.ts';
import type { Patch } from '../../field/patches.ts';
import { median } from '../../series/robust.ts';
import { contains, unionSpans } from '../../series/spans.ts';
import { cautions } from '../cautions.ts';
import type { FindingDraft } from '../detector.ts';
import { fieldPicture, placesOf, spacingHistogram } from './evidence.ts';
import { widthAgrees } from './overlap-finding.ts';
import { spanOfPatches } from './patch-times.ts';
import { leftOff, type Tally } from './tally.ts';
import type { CoverageContext, WorkedField } from './worked-field.ts';

/** Bare strips between passes; `avoidable` in m². */
export function missFinding(context: CoverageContext, field: WorkedField, tally: Tally, { value, low, high }: Interval): FindingDraft {
  const { say, options } = context;
  const { coverage } = field;
  const patches = tally.places.map(({ patch }) => patch);
  const words = {
    area: quantity.area(value), low: quantity.area(low), high: quantity.area(high), percent: formatNumber((100 * value) / coverage.area, 1),
    covered: quantity.area(coverage.area), between: quantity.area(value - tally.atEnds), ends: quantity.area(tally.atEnds),
    strip: quantity.length(median(patches.map(({ width }) => width)), 1),
  };
  const histogram = spacingHistogram(context, field);
  return {
    ...common(context, field, patches),
    severity: low > options.actionShare * coverage.area ? 'action' : 'watch',
    verdict: 'consistent',
    title: say('missTitle', words),
    measure: { value: value / 1e4, low: low / 1e4, high: high / 1e4, unit: 'ha', expected: 0 },
    consequence: { areaHa: value / 1e4, text: say('missCost', words) },
    explanation: say('missWhy', words),
    excludes: [...widthAgrees(context, field), say('overlapNotLoss')],
    cannotTell: say('missCannot'),
    decidingCheck: say('missCheck'),
    evidence: [fieldPicture(context, field, patches), ...(histogram === undefined ? [] : [histogram])],
  };
}

/** A section forgotten, or left off on purpose. */
export function leftOffFinding(context: CoverageContext, field: WorkedField): FindingDraft | undefined {
  const { say, options } = context;
  const patches = leftOff(field, context.timeline, options);
  const area = patches.reduce((sum, patch) => sum + patch.area, 0);
  if (patches.length === 0) return undefined;
  const { episodes, sections } = offTimes(field, patches);
  const [first, last] = [episodes[0], episodes.at(-1)];
  if (first === undefined || last === undefined) return undefined;
  const span = { start: first.start, end: last.end };
  const ends = { start: quantity.clock(span.start), end: quantity.clock(span.end) };
  const words = {
    area: quantity.area(area), longest: quantity.length(options.leftOffMetres, 0), section: sections.join(', '),
    count: episodes.length === 1 ? say('offOnce', ends) : say('offTimes', { ...ends, count: String(episodes.length) }),
  };
  return {
    ...common(context, field, patches),
    span,
    episodes,
    severity: area > options.leftOffArea ? 'watch' : 'info',
    verdict: 'cannot-tell',
    title: say('offTitle', words),
    measure: { value: area / 1e4, low: (0.95 * area) / 1e4, high: (1.05 * area) / 1e4, unit: 'ha', expected: 0 },
    consequence: { areaHa: area / 1e4, text: say('offCost', words) },
    explanation: say('offWhy', words),
    excludes: [say('offNotCovered'), say('offNotPointRow')],
    cannotTell: say('offCannot'),
    decidingCheck: say('offCheck'),
    evidence: [fieldPicture(context, field, patches)],
  };
}

/** From OFF to ON again of the sections that were off beside the patches. */
function offTimes({ ground }: WorkedField, patches: readonly Patch[]): { readonly episodes: readonly Span[]; readonly sections: readonly string[] } {
  const { time } = ground.swaths();
  const sections = new Set<string>();
  const episodes = patches.flatMap(({ swaths }) => swaths).flatMap((swath) => {
    const t = time[swath] ?? Number.NaN;
    return ground.strips.filter(({ on }) => !contains(on, t)).flatMap(({ id, on }): readonly Span[] => {
      const start = on.findLast(({ end }) => end <= t)?.end;
      const end = on.find((span) => span.start > t)?.start;
      if (start === undefined || end === undefined) return [];
      sections.add(id);
      return [{ start, end }];
    });
  });
  return { episodes: unionSpans(episodes), sections: [...sections] };
}

function common(context: CoverageContext, field: WorkedField, patches: readonly Patch[]) {
  const span = spanOfPatches(field, patches);
  return {
    code: 'coverage.miss', subject: 'field', span, episodes: [span], cautions: [cautions.K9],
    channels: ['gnss.lat', 'gnss.lon', ...context.channels('section.*.on').map(({ id }) => id)],
    places: placesOf(context, field, patches),
  } as const;
}
