import type { Day } from '../../shared/day.ts';
import type { Setup } from '../../shared/setup.ts';
import { createEpisodes } from './create-episodes.ts';
import { createTimeline } from './create-timeline.ts';
import type { Episodes } from './episodes.ts';
import type { Timeline } from './timeline.ts';

/** What every reader of a day shares: its channels second by second, and its stretches of meaning. */
export interface Stretches {
  readonly timeline: Timeline;
  readonly episodes: Episodes;
}

export function createStretches(day: Pick<Day, 'channels' | 'duration'>, setup: Setup): Stretches {
  const timeline = createTimeline(day);
  return { timeline, episodes: createEpisodes(day, setup, timeline) };
}
