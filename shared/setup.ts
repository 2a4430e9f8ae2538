/** The machine and the job as the program uses them: setup.json (contract 6) after validation, all numbers SI. */
export interface Setup {
  readonly machine: Machine;
  readonly job: Job;
}

export interface Machine {
  readonly name?: string;
  /** m */
  readonly workingWidth?: number;
  /** m */
  readonly rowSpacing?: number;
  readonly wheel?: { readonly constant: WheelConstant };
  /** m; aft = openers behind the antenna, right = openers to the right of it. */
  readonly antennaToOpeners?: { readonly aft: number; readonly right: number };
  readonly towers: readonly Tower[];
  readonly tanks: readonly Tank[];
  readonly meters: readonly Meter[];
  readonly fans: readonly { readonly id: string; readonly name?: string }[];
  readonly delays?: Delays;
  /** m; overlap that is wanted between passes and at pass ends. */
  readonly intendedOverlap?: { readonly passes: number; readonly ends: number };
  /** Channel stems known to be bad, e.g. `run.12`: shown, never judged. */
  readonly setAside: readonly string[];
}

/** As entered, so that a correction can be given back in the same form. */
export interface WheelConstant {
  readonly pulsesPerMetre: number;
  readonly entered: string;
  readonly form: 'pulses/m' | 'm/pulse' | 'pulses/100 m' | 'pulses/400 ft';
  /** Decimals in the entered number. */
  readonly decimals: number;
}

export interface Tower {
  readonly id: string;
  /** Run numbers, ascending. */
  readonly runs: readonly number[];
  readonly section?: string;
}

export interface Tank {
  readonly id: string;
  readonly name?: string;
  /** kg */
  readonly capacity?: number;
  readonly meter?: string;
}

export interface Meter {
  readonly id: string;
  /** kg per turn, as entered in the controller. */
  readonly massPerTurn?: number;
}

/** s */
export interface Delay {
  readonly on: number;
  readonly off: number;
}

export interface Delays {
  readonly all?: Delay;
  readonly tanks: ReadonlyMap<string, Delay>;
  readonly sections: ReadonlyMap<string, Delay>;
}

export interface Job {
  /** IANA zone name of the farm's clock. */
  readonly zone?: string;
  readonly products: readonly Product[];
  readonly loads: readonly Load[];
}

export interface Product {
  readonly tank: string;
  readonly name?: string;
  /** kg/m² */
  readonly targetRate?: number;
  /** kg per seed */
  readonly seedMass?: number;
  /** Whether the run sensors count this product. */
  readonly counted?: boolean;
  readonly fan?: string;
  /** rpm */
  readonly fanFloor?: number;
}

/** A weigh ticket: product known to have gone into a tank. */
export interface Load {
  readonly tank: string;
  /** Seconds since 1970 UTC. */
  readonly time: number;
  /** kg */
  readonly mass: number;
  /** kg, standard uncertainty; undefined = not stated. */
  readonly uncertainty?: number;
}

export const emptySetup: Setup = {
  machine: { towers: [], tanks: [], meters: [], fans: [], setAside: [] },
  job: { products: [], loads: [] },
};
