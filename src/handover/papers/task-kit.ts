import type { FindingCode } from '../../../shared/finding.ts';

/** What a check takes along and about how long it lasts. Common practice, no source. */
export interface TaskKit {
  readonly tools: string;
  /** Minutes, from to. */
  readonly minutes: readonly [number, number];
}

const kit = (tools: string, from: number, to: number): TaskKit => ({ tools, minutes: [from, to] });

const CATCH = kit('bag or pan, kitchen scale, calculator', 30, 45);
const TAPE = kit('measuring tape, two flags', 20, 40);
const PLUG = kit('torch, rod or wire, hose clamp and driver', 15, 30);
const SENSOR = kit('soft brush and dry cloth, a good sensor to swap', 10, 20);
const WIRES = kit('torch, contact cleaner, multimeter', 20, 40);
const SECTION = kit('stopwatch, a second person', 20, 40);
const TACHOMETER = kit('hand tachometer, thermometer', 15, 30);

/** A record over all codes: a new code does not compile until it has its kit. */
const KITS: Readonly<Record<FindingCode, TaskKit>> = {
  'speed.calibration-off': kit('100 m or 400 ft tape, two flags, the pulse count on the display', 30, 45),
  'speed.calibration-shift': kit('tyre gauge, tape, two flags', 30, 45),
  'speed.pulses-missing': kit('wheel chocks, feeler gauge, torch', 15, 30),
  'speed.slip': kit('a walk along the wheel’s rut', 10, 20),
  'scale.span-off': kit('a load with a weigh ticket', 45, 90),
  'scale.zero-moved': kit('torch, pencil', 5, 15),
  'scale.cell-lost': WIRES,
  'fan.below-floor': TACHOMETER, 'fan.unsteady': TACHOMETER, 'fan.sensor-implausible': TACHOMETER,
  'run.blocked': PLUG, 'run.restricted': kit('torch, rod or wire, driver for hose clamp and sensor', 15, 30), 'run.high': CATCH,
  'run.sensor-dirty': SENSOR, 'run.sensor-silent': SENSOR, 'run.sensor-stuck': SENSOR,
  'tower.blocked': PLUG, 'tower.low': PLUG, 'runs.dropout': WIRES,
  'rate.off-target': CATCH, 'rate.mass-per-turn-step': CATCH, 'rate.mass-per-turn-drift': CATCH,
  'rate.target-odd': kit('job sheet, cab display', 5, 10),
  'tank.bridged': kit('torch, mallet for the outside', 15, 30), 'tank.ran-out': kit('torch', 5, 10),
  'tank.pressure-low': kit('torch, soapy water, a new gasket', 20, 40), 'tank.pressure-zero-off': kit('nothing; the fans stand still', 5, 10),
  'tank.runs-on': kit('torch, feeler gauge', 20, 40), 'tank.meter-crossed': kit('settings page of the controller, a second person', 15, 30),
  'section.delay-on': SECTION, 'section.delay-off': SECTION, 'section.stuck': SECTION,
  'coverage.overlap': TAPE, 'coverage.miss': TAPE, 'coverage.width': TAPE, 'geometry.offset-aft': TAPE, 'geometry.offset-side': TAPE,
  'log.clock-offset': kit('cab display, a right clock', 5, 15), 'log.gap': WIRES, 'log.gnss-lost': WIRES,
};

export const kitOf = (code: FindingCode): TaskKit => KITS[code];
