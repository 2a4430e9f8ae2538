import type { Analysis, Day } from '../shared/day.ts';
import type { Setup } from '../shared/setup.ts';
import { mergeCauses } from './causes/merge-causes.ts';
import { detectors } from './detectors/registry.ts';
import { runDetectors } from './detectors/run-detectors.ts';
import { summariseDay } from './detectors/rate/summary.ts';
import { createStretches, type Stretches } from './episodes/create-stretches.ts';

/** The whole job on one day: channels → episodes → detectors → causes → findings. Pure; the same day gives the same answer. */
export function analyse(day: Day, setup: Setup, stretches: Stretches = createStretches(day, setup)): Analysis {
  const { timeline, episodes } = stretches;
  const judged = runDetectors({ day, setup, timeline, episodes, detectors });
  const findings = mergeCauses(judged.findings);
  return {
    day,
    findings,
    measurements: judged.measurements,
    checks: judged.checks,
    summary: summariseDay({ day, setup, timeline, episodes, measurements: judged.measurements }),
    episodes: {
      working: episodes.working,
      turning: episodes.turning,
      parked: episodes.parked,
      filling: setup.machine.tanks.flatMap((tank) =>
        episodes.fills(tank.id).map((fill) => ({ start: fill.start, end: fill.end, tank: tank.id, massKg: fill.after - fill.before }))),
      gaps: day.gaps.map((gap) => gap.span),
    },
  };
}
