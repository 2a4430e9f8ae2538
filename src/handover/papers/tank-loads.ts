import type { Analysis } from '../../../shared/day.ts';
import type { Finding } from '../../../shared/finding.ts';
import type { Setup } from '../../../shared/setup.ts';
import type { Interval } from '../../../shared/span.ts';

/** One tank: what it really put down, what is left in it, and what follows for the next ground. */
export interface TankStock {
  readonly tank: string;
  readonly name?: string;
  /** kg */
  readonly capacity?: number;
  /** kg/m² as it really went in, with the settings as found. */
  readonly rate?: Interval;
  /** kg left at the end of the log, by the scale; undefined when the scale is not to be trusted or was not logged. */
  readonly left?: Interval;
  /** The finding because of which the scale is not trusted, or its reading was mended. */
  readonly scale?: { readonly finding: Finding; readonly mended: boolean };
  /** Findings whose correction changes the rate. */
  readonly changing: readonly Finding[];
  /** The rate once the wheel constant is corrected. */
  readonly corrected?: Interval;
}

/** After these the scale's reading says nothing of the kilograms in the tank. */
const DISTRUSTED = new Set(['scale.span-off', 'scale.cell-lost']);
const CHANGES_RATE = /^(?:speed\.calibration|rate\.|tank\.(?:bridged|pressure-low|runs-on|meter-crossed))/;

export function tankStocks({ measurements, findings, summary }: Pick<Analysis, 'measurements' | 'findings' | 'summary'>, setup: Setup): readonly TankStock[] {
  const measured = (name: string, tank: string): Interval | undefined => measurements.find((entry) => entry.name === name && entry.subject === `tank.${tank}`);
  return summary.products.map(({ tank, name, appliedKgPerHa }): TankStock => {
    const perHa = measured('tank.load-for-area', tank) ?? appliedKgPerHa;
    const rate = perHa === undefined ? undefined : scaled(perHa, 1e-4);
    const hectares = measured('tank.hectares-to-empty', tank);
    const scaleFinding = findings.find((finding) => finding.code.startsWith('scale.') && finding.subject === `tank.${tank}` && finding.severity !== 'info');
    const isTrusted = scaleFinding === undefined || !DISTRUSTED.has(scaleFinding.code);
    const left = rate === undefined || hectares === undefined || !isTrusted ? undefined : scaled(hectares, rate.value * 1e4);
    const capacity = setup.machine.tanks.find(({ id }) => id === tank)?.capacity;
    const changing = findings.filter(({ code, subject, severity }) => severity === 'action' && CHANGES_RATE.test(code) && (subject === `tank.${tank}` || subject === 'wheel'));
    const wheel = changing.find(({ code, correction }) => code === 'speed.calibration-off' && correction !== undefined)?.measure;
    return {
      tank, changing,
      ...(name === undefined ? {} : { name }),
      ...(capacity === undefined ? {} : { capacity }),
      ...(rate === undefined ? {} : { rate }),
      ...(left === undefined ? {} : { left }),
      ...(scaleFinding === undefined ? {} : { scale: { finding: scaleFinding, mended: isTrusted } }),
      /* the meter follows the wheel: kg per ha fall with it; other causes on the same tank are not reckoned with */
      ...(rate === undefined || wheel === undefined || changing.length > 1 ? {} : { corrected: quotient(rate, wheel) }),
    };
  });
}

/**
 * kg to load so that the tank runs empty after `area` (m²). The errors of rate and of what is left are taken as independent;
 * they share the scale, which makes the true interval narrower (GUM 5.2.2, a positive correlation of a difference).
 */
export function loadFor(area: number, rate: Interval, left: Interval | undefined): Interval {
  const need = scaled(rate, area);
  const value = need.value - (left?.value ?? 0);
  const down = Math.hypot(need.value - need.low, (left?.high ?? 0) - (left?.value ?? 0));
  const up = Math.hypot(need.high - need.value, (left?.value ?? 0) - (left?.low ?? 0));
  return { value: Math.max(0, value), low: Math.max(0, value - down), high: Math.max(0, value + up) };
}

/** m² after which the tank is empty when `load` kg are put in: by the rate really applied. */
export function emptyAfter(load: number, rate: Interval, left: Interval | undefined): Interval {
  const stock = { value: load + (left?.value ?? 0), low: load + (left?.low ?? 0), high: load + (left?.high ?? 0) };
  return quotient(stock, rate);
}

/** Independent errors, relative half widths added as squares. */
function quotient(over: Interval, under: Interval): Interval {
  const value = over.value / under.value;
  const part = (each: number, middle: number): number => (middle === 0 ? 0 : (each - middle) / middle);
  const down = Math.hypot(part(over.low, over.value), part(under.high, under.value));
  const up = Math.hypot(part(over.high, over.value), part(under.low, under.value));
  return { value, low: value * (1 - down), high: value * (1 + up) };
}

const scaled = ({ value, low, high }: Interval, by: number): Interval => ({ value: value * by, low: low * by, high: high * by });
