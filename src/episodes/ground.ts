import type { Channel } from '../../shared/channel.ts';
import type { Delay, Setup } from '../../shared/setup.ts';
import type { Span } from '../../shared/span.ts';
import { coverageOf, type Coverage } from '../field/coverage.ts';
import { openerPath, type OpenerPath } from '../field/openers.ts';
import { outlinesOf, type Outline } from '../field/outline.ts';
import { sectionsOf, swathsOf, type Strip, type Swaths } from '../field/swath.ts';
import { antennaTrack, type AntennaTrack } from '../field/track.ts';
import { intersectSpans } from '../series/spans.ts';
import type { Episodes } from './episodes.ts';
import { once } from './memo.ts';
import { sectionOnSpans } from './section-switching.ts';
import type { Timeline } from './timeline.ts';

/** The day on the ground, each part computed when first asked for. */
export interface Ground {
  readonly track: AntennaTrack;
  readonly openers: OpenerPath;
  /** Sections and when their product reached the ground. Empty when the setup has no width. */
  readonly strips: readonly Strip[];
  readonly swaths: () => Swaths;
  readonly coverage: () => Coverage;
  readonly outlines: () => readonly Outline[];
}

export interface GroundSources {
  readonly latitude: Pick<Channel, 'time' | 'value'>;
  readonly longitude: Pick<Channel, 'time' | 'value'>;
  /** The logged `section.*.on` channels. */
  readonly sections: readonly Pick<Channel, 'id'>[];
  readonly setup: Setup;
  readonly timeline: Timeline;
  readonly episodes: Episodes;
  /** s from command to ground by section id; default as entered in the setup, else none. */
  readonly delay?: (section: string) => Delay;
}

/** Product lies where the openers were when it reached the ground: commands are moved by the delay, then put on the openers' way. */
export function createGround({ latitude, longitude, sections, setup, timeline, episodes, delay = enteredDelay(setup) }: GroundSources): Ground {
  const track = antennaTrack(latitude, longitude);
  const openers = openerPath(track, setup.machine.antennaToOpeners ?? { aft: 0, right: 0 });
  const logged = sections.map(({ id }) => id.split('.')[1] ?? '').toSorted(byNumber);
  const strips = sectionsOf(setup, logged).map((section): Strip => {
    const spans = logged.includes(section.id) ? intersectSpans(sectionOnSpans(timeline, episodes.switches, section.id), widened(episodes.working)) : episodes.working;
    const { on, off } = delay(section.id);
    return { ...section, on: spans.map(({ start, end }) => ({ start: start + on, end: end + off })).filter(({ start, end }) => end > start) };
  });
  const swaths = once(() => swathsOf(openers, strips));
  return {
    track, openers, strips, swaths,
    coverage: once(() => coverageOf(swaths())),
    outlines: once(() => outlinesOf(swaths())),
  };
}

/** s; working time is known to the second, commands better. */
const widened = (spans: readonly Span[]): readonly Span[] => spans.map(({ start, end }) => ({ start: start - 1, end: end + 1 }));

const byNumber = new Intl.Collator('en', { numeric: true }).compare;

function enteredDelay({ machine: { delays } }: Setup): (section: string) => Delay {
  return (section) => delays?.sections.get(section) ?? delays?.all ?? { on: 0, off: 0 };
}
