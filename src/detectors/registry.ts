import { coverage } from './coverage/coverage.ts';
import { fanFloor } from './fan-floor/fan-floor.ts';
import { logQuality } from './log-quality/log-quality.ts';
import { rate } from './rate/rate.ts';
import type { AnyDetector } from './run-detectors.ts';
import { runFlow } from './run-flow/run-flow.ts';
import { scale } from './scale/scale.ts';
import { sectionTiming } from './section-timing/section-timing.ts';
import { speedCalibration } from './speed-calibration/speed-calibration.ts';
import { tankFlow } from './tank-flow/tank-flow.ts';

/** Every check, in the order they are listed to the reader. */
export const detectors: readonly AnyDetector[] = [speedCalibration, rate, tankFlow, runFlow, sectionTiming, fanFloor, scale, coverage, logQuality];
