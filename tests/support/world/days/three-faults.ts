import { rowHectares } from '../facts.ts';
import type { DayPlan } from '../plan.ts';
import { near } from '../truth.ts';
import { faultTruth, workday } from './workday.ts';

/** Three things at once: the wheel constant 5 % low, the fan slow through a coupler half shut, a run plugged after the noon fill. */
export const threeFaults: readonly DayPlan[] = [workday({
  id: 'M3', title: 'Wheel constant low, fan slow, a run plugged',
  entered: { wheelConstant: 19 },
  faults: [
    { kind: 'fan-slow', fan: 1, from: '09:30', to: '10:20', rpm: 3050 },
    { kind: 'run-loss', run: 47, from: '11:47', to: '13:20', loss: 1, fade: 4 },
  ],
  truth: faultTruth((facts) => {
    const areaHa = rowHectares(facts.rowMetres(47, facts.at('11:47'), facts.at('13:20')));
    return [
      { codes: ['speed.calibration-off'], subject: 'wheel', measure: near((20 / 19) * 0.995, 0.005), severityAtLeast: 'action' },
      { codes: ['fan.below-floor'], subject: 'fan.1', start: near(facts.at('09:30'), 60), end: near(facts.at('10:20'), 60), measure: near(3050, 60), severityAtLeast: 'watch' },
      { codes: ['run.blocked'], subject: 'run.47', start: near(facts.at('11:47'), 15), end: near(facts.at('13:20'), 60), measure: near(0, 0.03), areaHa: near(areaHa, areaHa * 0.1), severityAtLeast: 'action' },
    ];
  }, [{ code: 'tower\\.low', subject: 'tower\\.(A|B|E|F)' }], [{ code: 'rate\\..*' }, { code: 'scale\\..*' }, { code: 'coverage\\..*' }, { code: 'section\\..*' }, { code: 'run\\..*', subject: 'run\\.(?!47).*' }], (facts) => ({ excessKg: facts.dispensed(1) - 120 * facts.hectares() })),
})];
