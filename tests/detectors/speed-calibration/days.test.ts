import { speedCalibration } from '../../../src/detectors/speed-calibration/speed-calibration.ts';
import { testDetector, worldDay, type TestDay } from '../../support/detector-tester.ts';
import { scenario } from '../../support/world/scenario.ts';
import { wheelDay, type WheelDay } from './wheel-day.ts';

const quietDay = (day: WheelDay) => (seed: number): TestDay => wheelDay(day, seed);
const soft = { mean: 0, sd: 0.008, drive: 0.1 };

testDetector(speedCalibration, {
  quiet: [
    { name: 'a plain day', day: quietDay({}), seeds: [1, 2] },
    { name: 'hills to 12 % (C1), pitch not logged', day: (seed) => worldDay(scenario('C1').build(seed)) },
    { name: 'hills to 12 %, contour passes, more seeds', day: quietDay({ land: { grade: 0.12, side: 0.08, contour: 6 }, slip: { mean: -0.002, sd: 0.006, drive: 0.1 } }), seeds: [2, 3], mayInform: ['speed.slip'] },
    { name: 'wavering speed (C4)', day: quietDay({ agenda: [{ do: 'seed', until: '12:00', kmh: 6.5, wavering: 2 }] }), seeds: [1, 2] },
    { name: 'frozen receiver twice for 35 s (V14)', day: quietDay({ faults: [{ kind: 'gnss-freeze', from: '09:10:00', to: '09:10:35' }, { kind: 'gnss-freeze', from: '10:20:10', to: '10:20:45' }] }), seeds: [1, 2] },
    { name: 'frozen receiver over a headland turn and a stop', day: quietDay({ agenda: [{ do: 'seed', until: '09:30' }, { do: 'park', until: '09:50' }, { do: 'seed', until: '12:00' }], faults: [{ kind: 'gnss-freeze', from: '09:20', to: '09:40' }] }), seeds: [1, 2] },
    { name: 'poor GNSS for an hour', day: quietDay({ faults: [{ kind: 'gnss-degraded', from: '09:00', to: '10:00', sd: 0.6 }] }) },
    { name: 'a clay flat that skids 3 % for half an hour', day: quietDay({ faults: [{ kind: 'wheel-slip', from: '10:00', to: '10:35', mean: -0.03, sd: 0.01 }] }), seeds: [1, 2], mayInform: ['speed.slip'] },
    { name: 'the day ends on the clay flat', day: quietDay({ faults: [{ kind: 'wheel-slip', from: '11:20', to: '12:00', mean: -0.018, sd: 0.02, drive: 0.16 }] }), seeds: [1, 2], mayInform: ['speed.slip'] },
    { name: 'the day ends on the clay flat, drive wheels hardly slip more', day: quietDay({ faults: [{ kind: 'wheel-slip', from: '11:15', to: '12:00', mean: -0.03, sd: 0.01, drive: 0.11 }] }), seeds: [1, 2], mayInform: ['speed.slip'] },
    { name: 'the second field is 1.2 % softer', day: quietDay({ slip: { mean: -0.002, sd: 0.008, drive: 0.1 }, faults: [{ kind: 'wheel-slip', from: '10:00', mean: -0.012, sd: 0.01, drive: 0.12 }] }), seeds: [1, 2], mayInform: ['speed.slip'] },
    { name: 'the day starts in the wet', day: quietDay({ faults: [{ kind: 'wheel-slip', from: '08:12', to: '08:50', mean: -0.015, sd: 0.02, drive: 0.15 }] }), seeds: [1, 2], mayInform: ['speed.slip'] },
    { name: 'many stops and starts', day: quietDay({ agenda: Array.from({ length: 40 }, () => [{ do: 'seed' as const, passes: 1 }, { do: 'pause' as const, seconds: 25 }]).flat() }) },
    { name: 'receiver 2 s late', day: quietDay({ late: 2, agenda: [{ do: 'seed', until: '12:00', wavering: 2 }] }), seeds: [1, 2] },
    { name: 'GNSS at 1 Hz, wheel speed only', day: quietDay({ rate: 1, wheel: ['wheel.speed'] }) },
    { name: 'constant within 0.5 %', day: quietDay({ entered: { wheelConstant: 19.9 } }), status: 'clean' },
    { name: 'four minutes of driving say nothing', day: quietDay({ to: '08:06', agenda: [{ do: 'park', until: '08:01' }, { do: 'seed', until: '08:06' }] }), status: 'too-little-data' },
    { name: 'a test speed on a parked cart and on the road', day: (seed) => wheelDay({ agenda: [{ do: 'park', until: '08:05' }, { do: 'road', until: '08:30', metres: 2000, testSpeed: 2.2 }, { do: 'seed', until: '12:00' }] }, seed) },
    { name: 'short pulse losses of the log, not of the wheel (two bursts)', day: quietDay({ faults: [{ kind: 'wheel-dropout', from: '09:00', to: '09:00:40', burst: 2, every: 20 }] }), mayInform: [] },
  ],
  loud: [
    {
      name: 'S01 constant 6 % low', day: quietDay({ from: '07:50', to: '12:00', entered: { wheelConstant: 18.8 }, slip: soft, agenda: [{ do: 'road', until: '08:20', metres: 3000 }, { do: 'seed', until: '12:00' }], faults: [{ kind: 'wheel-slip', from: '11:00', to: '11:35', mean: -0.03, sd: 0.01, drive: 0.11 }] }), seeds: [1, 2, 3, 4, 5],
      code: 'speed.calibration-off', subject: 'wheel', size: [1.0613, 1.0663], start: [0, 900], severity: 'action', verdict: 'proved',
      more: ({ correction }) => (correction?.old === '18.80 pulses/m' && Math.abs(Number.parseFloat(correction.new) - 20) < 0.04 ? [] : [`correction ${correction?.old} → ${correction?.new}`]),
    },
    { name: 'constant 2 % high, no lifted stretch', day: quietDay({ entered: { wheelConstant: 20.4 }, slip: soft, agenda: [{ do: 'seed', until: '12:00' }] }), seeds: [1, 2], code: 'speed.calibration-off', subject: 'wheel', size: [0.979, 0.982], verdict: 'consistent' },
    { name: 'constant off, only wheel speed logged', day: quietDay({ entered: { wheelConstant: 19 }, slip: soft, wheel: ['wheel.speed'], rate: 1 }), code: 'speed.calibration-off', subject: 'wheel', size: [1.05, 1.055] },
    { name: 'constant off, only wheel distance logged', day: quietDay({ entered: { wheelConstant: 19 }, slip: soft, wheel: ['wheel.distance'] }), code: 'speed.calibration-off', subject: 'wheel', size: [1.05, 1.055] },
    { name: 'V4 tooth lost at 10:00', day: quietDay({ toothLost: '10:00' }), seeds: [1, 2], code: 'speed.pulses-missing', subject: 'wheel', size: [0.951, 0.957], start: [7170, 7260], severity: 'action', verdict: 'proved' },
    { name: 'pulses 4 % fewer from 10:00, not once a turn', day: quietDay({ faults: [{ kind: 'wheel-factor', from: '10:00', factor: 0.96 }] }), seeds: [1, 2], code: 'speed.calibration-shift', subject: 'wheel', size: [0.957, 0.963], start: [7140, 7260], severity: 'action' },
    { name: 'pulses 2 % fewer from 10:00: worth a watch, not an action', day: quietDay({ faults: [{ kind: 'wheel-factor', from: '10:00', factor: 0.98 }] }), code: 'speed.calibration-shift', subject: 'wheel', size: [0.977, 0.983], start: [7080, 7320], severity: 'watch', verdict: 'consistent' },
    { name: 'entry changed in the controller at 10:00', day: quietDay({ reentered: { at: '10:00', constant: 19 } }), seeds: [1, 2], code: 'speed.calibration-shift', subject: 'wheel', size: [1.049, 1.056], start: [7080, 7320], verdict: 'proved' },
    { name: 'loose connector', day: quietDay({ faults: [{ kind: 'wheel-dropout', from: '09:00', to: '11:00', burst: 3, every: 120 }] }), seeds: [1, 2], code: 'speed.pulses-missing', subject: 'wheel', start: [3600, 4400], size: [0.95, 0.99] },
  ],
});
