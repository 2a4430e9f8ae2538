import { formatNumber } from '../../../shared/text.ts';
import type { DetectorContext } from '../detector.ts';
import type { RunFlowMessage } from './messages.ts';
import type { DrillView } from './run-cases.ts';
import type { Thresholds } from './thresholds.ts';

export type RunFlowContext = DetectorContext<RunFlowMessage, Thresholds>;

/** What the writers of findings have at hand: the context and what was worked out of the day. */
export interface Story extends DrillView {
  readonly context: RunFlowContext;
}

/** 0.0153 → `1.5 %`. */
/** A share that would show as 0 % with an interval from 0 % to 0 % says less than words. */
export const NOTHING = 0.005;

export const percent = (ratio: number, decimals = 0): string => `${formatNumber(100 * ratio, decimals)} %`;

/** Counts for people: whole numbers, large ones in thousands separated. */
export const wholeNumber = (value: number): string => formatNumber(Math.round(value), 0);

/** `run.47`, `run.47.count`. */
export const runSubject = (number: number): string => `run.${number}`;

/** Channels a tower's judgement rests on. */
export function towerChannels(story: Story, tower: number): readonly string[] {
  const { log, context } = story;
  const plan = log.towers[tower];
  const section = plan?.section === undefined ? [] : [`section.${plan.section}.on`];
  return [...section, 'gnss.speed'].filter((id) => context.channel(id) !== undefined);
}
