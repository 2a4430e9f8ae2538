import { formatNumber, quantity } from '../../../shared/text.ts';
import { defineDetector, type DetectorOutcome, type FindingDraft } from '../detector.ts';
import { aftFinding } from './aft-finding.ts';
import { areaUncertainty, around } from './area-uncertainty.ts';
import { measureField } from './measurements.ts';
import { coverageMessages } from './messages.ts';
import { leftOffFinding, missFinding } from './miss-finding.ts';
import { coverageOptions } from './options.ts';
import { overlapFinding } from './overlap-finding.ts';
import { sideFinding } from './side-finding.ts';
import { missTally, overlapTally, type Tally } from './tally.ts';
import { widthFinding } from './width-finding.ts';
import { workedField, type CoverageContext, type WorkedField } from './worked-field.ts';

export const coverage = defineDetector({
  meta: {
    id: 'coverage',
    title: 'Passes, overlap and gaps on the ground',
    docs: {
      what: 'Ground sown twice or left bare, a working width that the passes do not fit, and antenna positions that do not sit where the setup has them.',
      why: 'Width and position go straight into rate, area and section switching. Overlap costs seed and lodges crop, gaps grow weeds; both hide in a display that counts distance times width.',
      how: 'The openers\' way and the sections\' commands, moved by the entered delays, are laid on a local plane, and the union is measured on parallel lines. Spacing is read square to the passes between next neighbours; their mean is held against the width, the difference of right and left turns against the side offset. OFF and ON edges that face each other at the ends of the field are regressed on speed: what does not grow with it is distance. Overlap counts what is left after the wanted one, corners of headland laps, half of w²·tan α of every section at a slanting end, and last narrow passes.',
      fooledBy: 'Guidance and setup that share one wrong number: the antenna then runs evenly and nothing shows. Drift of an uncorrected receiver that also steers: the passes fit on the map and not on the ground. A towed drill that slides downhill on a side slope. Pass ends are placed by the delays entered; wrong ones are the section check\'s to find.',
      source: 'Overlap beyond geometry good below 2 %, act above 5 %, edges ±1 m: common practice, no source. Overlap of two passes: own formula, checked against planimetry. Field studies found more overlap on the ground than monitors show: Canola Digest, November 2022. Alternating gaps of twice the offset and a + b·v: geometry.',
    },
    codes: ['coverage.overlap', 'coverage.miss', 'coverage.width', 'geometry.offset-side', 'geometry.offset-aft'],
    requires: ['gnss.lat', 'gnss.lon'],
    messages: coverageMessages,
  },
  defaults: coverageOptions,
  detect,
});

function detect(context: CoverageContext): DetectorOutcome {
  const { say, setup, options, episodes } = context;
  const field = workedField(context);
  if (field === undefined || episodes.passes.length === 0) return { status: 'too-little-data', why: say('whyNoPasses') };
  const overlap = overlapTally(field, setup.machine.intendedOverlap ?? { passes: 0, ends: 0 }, options);
  const missed = missTally(field, episodes.passes, options);
  const uncertainty = areaUncertainty(context, field);
  const geometry = [sideFinding(context, field), widthFinding(context, field), aftFinding(context, field)].filter(isFinding);
  const explained = explainedBy(geometry, field);
  const ground = field.width === undefined || !field.isSharp || field.story === undefined ? [] : [
    isOver(overlap) ? overlapFinding(context, field, overlap, around(overlap.avoidable, uncertainty)) : undefined,
    isOver(missed) ? missFinding(context, field, missed, around(missed.avoidable, uncertainty)) : undefined,
    leftOffFinding(context, field),
  ].filter(isFinding);
  [...geometry, ...ground].forEach(context.report);
  measureField(context, field, { overlap, missed }, uncertainty, explained);
  return outcomeOf(context, field, { overlap, missed }, ground.length > 0 ? 'ground' : geometry.length > 0 ? 'geometry' : 'nothing');

  /* What a wrong entry makes of the map is that entry's finding, and is named there. */
  function isOver({ avoidable }: Tally): boolean {
    return around(avoidable, uncertainty).low - 1.1 * explained > options.watchShare * (field?.coverage.area ?? Infinity);
  }
}

const isFinding = (draft: FindingDraft | undefined): draft is FindingDraft => draft !== undefined;

/** m² of overlap, or of gaps, that are there only if the setup is right and the finding is wrong. */
function explainedBy(geometry: readonly FindingDraft[], { story, width }: WorkedField): number {
  if (story === undefined || width === undefined) return 0;
  const length = story.usual.reduce((sum, pair) => sum + pair.length, 0);
  return geometry.reduce((most, { code, measure }) => {
    if (measure === undefined) return most;
    const off = Math.abs(measure.value - (measure.expected ?? 0));
    return Math.max(most, code === 'coverage.width' ? off * width * length : code === 'geometry.offset-side' ? off * length : 0);
  }, 0);
}

function outcomeOf(context: CoverageContext, field: WorkedField, { overlap, missed }: { readonly overlap: Tally; readonly missed: Tally }, found: 'ground' | 'geometry' | 'nothing'): DetectorOutcome {
  const { say, options, setup } = context;
  const { coverage: { area }, story, width, isSharp, lostArea } = field;
  const covered = quantity.area(area);
  const lost = lostArea > 0 ? say('whyLost', { area: quantity.area(lostArea) }) : '';
  if (story === undefined) return { status: 'too-little-data', why: say('whySingle', { covered }) + lost };
  const spacing = quantity.length(story.spacing.value, 2);
  if (width === undefined) return { status: 'not-set-up', why: say('whyNoWidth', { spacing }) + lost };
  if (!isSharp) return { status: found === 'nothing' ? 'too-little-data' : 'ran', why: say('whyRough', { spacing }) + lost };
  const share = (tally: Tally): string => formatNumber((100 * tally.avoidable) / area, 1);
  const isOver = [overlap, missed].some(({ avoidable }) => avoidable > options.watchShare * area);
  const first = setup.machine.delays === undefined ? say('whyFirst') : '';
  return {
    status: 'ran',
    why: say(found === 'ground' ? 'whyFound' : found === 'geometry' ? 'whyGeometry' : isOver ? 'whyMaybe' : 'whyFine', { spacing, covered, overlap: share(overlap), missed: share(missed), limit: formatNumber(100 * options.watchShare, 0) }) + lost + first,
  };
}
