import type { DetectorContext } from '../detector.ts';
import { readFlowLog } from './flow-log.ts';
import { judgedCells } from './judged-cells.ts';
import type { DrillView } from './run-cases.ts';
import { thresholds, type Thresholds } from './thresholds.ts';
import { towerFlows } from './tower-flow.ts';
import { judgeRuns } from './tower-runs.ts';

type Context = Pick<DetectorContext<string, object>, 'channels' | 'timeline' | 'episodes' | 'setup'>;

const views = new WeakMap<object, DrillView>();

/** The day's runs and towers held against each other: worked out once, for the checks of flow and of section timing. */
export function drillView(context: Context, options: Thresholds = thresholds): DrillView {
  const known = views.get(context.timeline);
  if (known !== undefined && known.thresholds === options) return known;
  const log = readFlowLog(context, options.slowestSpeed);
  const judged = judgedCells(log);
  const drill = judgeRuns(judged.towers, log.step, options.alarm);
  const view: DrillView = { context, log, judged, drill, towers: towerFlows(log, drill, options.alarm), thresholds: options };
  views.set(context.timeline, view);
  return view;
}
