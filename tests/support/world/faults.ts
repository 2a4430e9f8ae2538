/**
 * What can go wrong on a synthetic day, as data. Clock times are `HH:MM:SS`; `from`/`to` left out = from the start / to the end.
 * Each stage of the simulation asks for the kinds it plays.
 */
export interface During {
  readonly from?: string;
  readonly to?: string;
}

interface FaultKinds {
  /* Runs and towers. `loss` = share of the run's flow that is gone (negative: gained); it goes to the tower mates. `fade` in s. */
  'run-loss': During & { readonly run: number; readonly loss: number; readonly fade?: number };
  /** The sensor sees `gain` of what passes; drifts there from 1 over `drift` seconds. */
  'run-gain': During & { readonly run: number; readonly gain: number; readonly drift?: number };
  /** Sensors report nothing (`missing`) or zero; several runs = one harness branch. */
  'run-silent': During & { readonly runs: readonly [number, number]; readonly missing: boolean };
  'run-stuck': During & { readonly run: number; readonly value: number };
  /** Counts without seed, e.g. vibration, while the fan runs. */
  'run-ghost': During & { readonly run: number; readonly rate: number };
  /** Tower keeps `left` of its flow after `fade` seconds; its meter segment stalls after `stall` seconds, when given. */
  'tower-loss': During & { readonly tower: number; readonly left: number; readonly fade: number; readonly stall?: number };
  /** All optical sensors lose this share over the whole day (dust). */
  'dust': During & { readonly loss: number };
  /** The logger's own blockage flag, until the operator acknowledges it. */
  'alarm': During & { readonly run: number };

  /* Air. */
  /** Fan starts at `rpm` and reaches its command after `warm` s (cold oil); without it stays there. */
  'fan-slow': During & { readonly fan: 1 | 2; readonly rpm: number; readonly warm?: number };
  'fan-hunting': During & { readonly fan: 1 | 2; readonly amplitude: number; readonly period: number };
  /** Sensor shows `factor` × true speed. */
  'fan-sensor': During & { readonly fan: 1 | 2; readonly factor: number };
  'fan-off': During & { readonly fan: 1 | 2 };
  'engine-slow': During & { readonly rpm: number; readonly fanRpm: number };

  /* Wheel and position. */
  /** Pulses per true metre × factor; moving to `last` by the end of the span when given (a tyre under a lighter load). */
  'wheel-factor': During & { readonly factor: number; readonly last?: number };
  /** Extra slip of the cart wheel (negative = fewer pulses), ratio, and of the tractor's wheels. */
  'wheel-slip': During & { readonly mean: number; readonly sd: number; readonly drive?: number };
  /** Pulses vanish for bursts of `burst` s, on average every `every` s. */
  'wheel-dropout': During & { readonly burst: number; readonly every: number };
  'gnss-freeze': During;
  'gnss-degraded': During & { readonly sd: number };

  /* Scale. */
  /** Reading set to zero at `from` within 2 s. */
  'scale-zeroed': During & { readonly tank: number };
  'scale-offset': During & { readonly tank: number; readonly kg: number; readonly ramp?: number };
  'scale-span': During & { readonly tank: number; readonly factor: number };
  /** Only this share of the load is still weighed. */
  'cell-lost': During & { readonly tank: number; readonly share: number };
  /** A level switch in the tank, wavering by some kg at its edge. */
  'level-switch': During & { readonly tank: number; readonly kg: number };
  'scale-noise': During & { readonly tank: number; readonly factor: number };

  /* Meter and product. */
  /** True kg per turn × factor; the seed itself changes to `seedMass` kg when given. */
  'mass-per-turn': During & { readonly tank: number; readonly factor: number; readonly drift?: boolean; readonly seedMass?: number };
  /** Meter turns, product hangs: fades over `fade` s, then falls in at `collapse` × normal for `collapseSeconds` after `to`. */
  'bridge': During & { readonly tank: number; readonly fade: number; readonly collapse: number; readonly collapseSeconds: number };
  /** kg/s that trickle when the meter stands. */
  'runs-on': During & { readonly tank: number; readonly flow: number };
  'pressure-loss': During & { readonly tank: number; readonly factor: number; readonly flow: number };
  'pressure-zero': During & { readonly tank: number; readonly pascal: number };
  'target': During & { readonly tank: number; readonly factor: number; readonly prescribed?: boolean };
  /** The meter channels of two tanks are exchanged in the log. */
  'meter-crossed': During & { readonly tanks: readonly [number, number] };
  'meter-stall': During & { readonly tank: number };
  /** Meter runs faster for the first seconds after every start. */
  'start-boost': During & { readonly tank: number; readonly factor: number; readonly seconds: number };
  'meter-hunting': During & { readonly tank: number; readonly amplitude: number; readonly period: number };

  /* Sections. */
  /** Commanded off for `seconds` each, `times` times at random moments while working. */
  'section-off': During & { readonly section: number; readonly times: number; readonly shortest: number; readonly longest: number };
  /** Does not follow its command: stays open (`on`) or shut. */
  'section-stuck': During & { readonly section: number; readonly on: boolean };
  /** The clutches of two sections are exchanged. */
  'section-crossed': During & { readonly sections: readonly [number, number] };

  /* Logs. */
  /** The cart's cumulative counters start again from zero at `from`. */
  'counter-reset': { readonly from: string; readonly to?: string };
  'log-gap': During & { readonly file: LogFile };
  /** Shown = true + offset + drift × hours since the log's start, s; `zone` whole hours added. */
  'clock': During & { readonly file: LogFile; readonly offset: number; readonly driftPerHour: number; readonly zoneHours: number };
  /** Single samples missing, on average every `every` s per channel. */
  'samples-lost': During & { readonly every: number };
}

export type LogFile = 'cart' | 'tractor';
export type FaultKind = keyof FaultKinds;
export type Fault = { readonly [K in FaultKind]: { readonly kind: K } & FaultKinds[K] }[FaultKind];
export type FaultOf<K extends FaultKind> = { readonly kind: K } & FaultKinds[K];

/** A fault with its span in seconds from the day's start. */
export type Timed<K extends FaultKind> = FaultOf<K> & { readonly start: number; readonly end: number };
