import type { Measure, Measurement } from './finding.ts';
import type { Interval } from './span.ts';
import { formatNumber, shownUnit, type UnitSystem } from './text.ts';
import { fromSi } from './units.ts';

/** What each measurement is, in words (names of contract 8). A test holds this against the contract. */
export const MEASUREMENT_WORDS: Readonly<Record<string, string>> = {
  'wheel.ratio': 'Distance by the speed wheel ÷ by GNSS',
  'wheel.constant': 'Wheel constant that fits the day',
  'scale.span': 'Shown ÷ true weight change',
  'meter.mass-per-turn': 'Product per turn of the meter',
  'meter.seeds-per-turn': 'Seeds per turn of the meter',
  'section.on-delay': 'From command on to seed at the runs',
  'section.off-delay': 'From command off to no seed at the runs',
  'fan.margin': 'Lowest lasting speed ÷ floor',
  'fan.suggested-alarm': 'Alarm speed that would have stayed quiet',
  'tank.hectares-to-empty': 'Left in the tank, at the rate really applied',
  'tank.load-for-area': 'To load, at the rate really applied',
  'pass.spacing': 'Spacing from pass to pass',
  'run.variation': 'Spread from row to row (CV)',
  'area.wheel': 'Area by the speed wheel',
  'area.gnss': 'Area by GNSS',
  'area.covered': 'Ground covered',
  'area.overlap': 'Covered twice',
  'area.missed': 'Missed between passes',
  'hours.working': 'Time in work',
};

export const measurementWords = (name: string): string => MEASUREMENT_WORDS[name] ?? name.replaceAll(/[.-]/g, ' ');

/** What a finding's measure is (contract 8), by the start of its code; the longest that fits counts. */
const MEASURE_WORDS: Readonly<Record<string, string>> = {
  'speed.calibration-off': 'Distance by the wheel ÷ by GNSS', 'speed.calibration-shift': 'After the shift ÷ before', 'speed.pulses-missing': 'Wheel ÷ GNSS while it lasts', 'speed.slip': 'Wheel ÷ GNSS while it lasts',
  'scale.span-off': 'Shown ÷ true weight change', 'scale.zero-moved': 'The jump', 'scale.cell-lost': 'Share of the load still weighed',
  'fan.below-floor': 'Lowest lasting speed while seeding', 'run': 'Flow ÷ what the tower mates and its own past say', 'tower': 'Flow ÷ what the other towers and its own past say',
  'rate.off-target': 'Applied ÷ target', 'rate.mass-per-turn': 'Product per turn, after ÷ before', 'rate.target-odd': 'Target in the log ÷ on the job sheet',
  'tank.bridged': 'Not applied', 'tank.ran-out': 'Not applied', 'tank.runs-on': 'Ran on', 'tank.pressure-low': 'Pressure ÷ usual', 'tank.pressure-zero-off': 'Reading with the fans stopped',
  'tank.meter-crossed': 'Share of its loss that follows another tank’s meter', 'section.delay': 'Delay', 'section.stuck': 'Time against the command', 'coverage.overlap': 'Covered twice', 'coverage.miss': 'Missed', 'coverage.width': 'Pass spacing ÷ width',
  'geometry.offset': 'Antenna to openers, as the day shows it', 'log': 'Time concerned',
};

/** What the finding's measure is; '' when the code has no words. */
export function measureName(code: string): string {
  const fitting = Object.keys(MEASURE_WORDS).filter((start) => code.startsWith(start)).sort((a, b) => b.length - a.length);
  return MEASURE_WORDS[fitting[0] ?? ''] ?? '';
}

/** `tank.1` → `tank 1`; `all` is not worth a word. */
export const subjectWords = (subject: string): string => (subject === 'all' || subject === 'field' ? '' : subject.replaceAll('.', ' '));

export interface Shown {
  readonly convert: (value: number) => number;
  readonly label: string;
}

/** A unit as this reader sees it, and the way there from the unit that findings and measurements carry; ratios in percent. */
export function shownAs(unit: string, system: UnitSystem): Shown {
  if (unit === 'ratio' || unit === '1') return { convert: (value) => value * 100, label: '%' };
  if (unit === 'ha') return system === 'us' ? { convert: (value) => fromSi(value * 1e4, 'ac') ?? value, label: 'ac' } : { convert: (value) => value, label: 'ha' };
  if (unit === 'kg/ha') return system === 'us' ? { convert: (value) => fromSi(value * 1e-4, 'lb/ac') ?? value, label: 'lb/ac' } : { convert: (value) => value, label: 'kg/ha' };
  return shownUnit(unit, system);
}

/** Digits by which the interval can be told, so that no figure claims more than was measured. */
export function digitsFor(low: number, high: number): number {
  const width = Math.abs(high - low);
  const size = width > 0 ? width : Math.abs(high) / 100;
  return size > 0 ? Math.min(4, Math.max(0, 1 - Math.floor(Math.log10(size)))) : 0;
}

export interface IntervalWords {
  readonly value: string;
  /** `94.1 to 94.8 %`; undefined when the value is not uncertain. */
  readonly between?: string;
}

/** A value and its 95 % interval as people read them. */
export function intervalWords({ value, low, high, unit }: Pick<Measurement, 'value' | 'low' | 'high' | 'unit'>, system: UnitSystem): IntervalWords {
  const { convert, label } = shownAs(unit, system);
  const [v, a, b] = [convert(value), convert(low), convert(high)] as const;
  const digits = digitsFor(a, b);
  const tail = label === '' ? '' : ` ${label}`;
  const text = `${formatNumber(v, digits)}${tail}`;
  return low === high ? { value: text } : { value: text, between: `${formatNumber(Math.min(a, b), digits)} to ${formatNumber(Math.max(a, b), digits)}${tail}` };
}

/** A change with its sign: `+1.02 % (+0.87 to +1.17 %)`; of ratios in percent of one. */
export function changeWords({ value, low, high }: Interval, unit: string, system: UnitSystem): string {
  const { convert, label } = shownAs(unit, system);
  const [v, a, b] = [convert(value), convert(low), convert(high)] as const;
  const digits = digitsFor(a, b);
  const say = (amount: number): string => `${Number(amount.toFixed(digits)) > 0 ? '+' : ''}${formatNumber(amount, digits)}`;
  const tail = label === '' ? '' : ` ${label}`;
  return `${say(v)}${tail} (${say(a)} to ${say(b)}${tail})`;
}

/** A number without an interval, e.g. a limit, in this many digits of the smallest amount worth telling. */
export function numberWords(value: number, unit: string, system: UnitSystem, finest: number): string {
  const { convert, label } = shownAs(unit, system);
  return `${formatNumber(convert(value), digitsFor(0, convert(finest)))}${label === '' ? '' : ` ${label}`}`;
}

/** A finding's measure in one sentence. */
export function measureSentence(code: string, measure: Measure, system: UnitSystem): string {
  const { value, between } = intervalWords(measure, system);
  const name = measureName(code);
  const sure = between === undefined ? '' : `, with 95 % certainty from ${between}`;
  const expected = measure.expected === undefined ? '' : `. Expected: ${expectedWords(measure.expected, measure.unit, system)}`;
  return `${name === '' ? '' : `${name}: `}${value}${sure}${expected}.`;
}

/** Expected values are round: they are shown without digits that say nothing. */
function expectedWords(value: number, unit: string, system: UnitSystem): string {
  return intervalWords({ value, low: value, high: value, unit }, system).value.replace(/(\.\d*?)0+(?=\s|$)/, '$1').replace(/\.(?=\s|$)/, '');
}
