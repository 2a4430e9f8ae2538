/*
 * Colours of quantities. Both ramps run evenly in lightness (CIE 1976 L*, interpolated in OKLab), so that order reads in
 * grey and with any colour vision; the two-sided one has warm against cold ends, not red against green.
 */

type Rgb = readonly [number, number, number];

/** From little to much. */
const ONE_SIDED: Readonly<Record<'light' | 'dark', readonly string[]>> = {
  light: ['#e9e3b4', '#a9c98f', '#5fa58c', '#2f7d88', '#27527c', '#2b2a5e'],
  dark: ['#2c2f5f', '#2b5a80', '#38838a', '#66a98d', '#adc98f', '#efe7b0'],
};
/** Less than it should be, as it should be, more. */
const TWO_SIDED: Readonly<Record<'light' | 'dark', readonly string[]>> = {
  light: ['#5c2208', '#b4561d', '#e3a878', '#ece7dd', '#9fbfdc', '#3f7fb8', '#0f4a80'],
  dark: ['#ffd9b8', '#f09a56', '#9c6238', '#3d444e', '#3c6a95', '#5aa3dd', '#bfe2ff'],
};

const STEPS = 128;

export interface Ramp {
  /** 0 … 1 → `#rrggbb`. */
  readonly colourOf: (share: number) => string;
  /** STEPS × 3 bytes. */
  readonly bytes: Uint8Array;
  readonly steps: number;
}

const made = new Map<string, Ramp>();

export function rampOf(kind: 'one-sided' | 'two-sided', dark: boolean): Ramp {
  const key = `${kind} ${dark}`;
  let ramp = made.get(key);
  if (ramp === undefined) {
    ramp = makeRamp((kind === 'one-sided' ? ONE_SIDED : TWO_SIDED)[dark ? 'dark' : 'light']);
    made.set(key, ramp);
  }
  return ramp;
}

function makeRamp(stops: readonly string[]): Ramp {
  const labs = stops.map((stop) => toLab(fromHex(stop)));
  const bytes = new Uint8Array(STEPS * 3);
  for (let step = 0; step < STEPS; step++) {
    const place = (step / (STEPS - 1)) * (labs.length - 1);
    const k = Math.min(labs.length - 2, Math.floor(place));
    const [one, other] = [labs[k] as Rgb, labs[k + 1] as Rgb];
    bytes.set(fromLab(one.map((each, i) => each + ((other[i] as number) - each) * (place - k)) as unknown as Rgb), step * 3);
  }
  const colourOf = (share: number): string => {
    const step = Math.round(Math.min(1, Math.max(0, share)) * (STEPS - 1)) * 3;
    return `#${[...bytes.subarray(step, step + 3)].map((byte) => byte.toString(16).padStart(2, '0')).join('')}`;
  };
  return { colourOf, bytes, steps: STEPS };
}

const fromHex = (hex: string): Rgb => [1, 3, 5].map((i) => Number.parseInt(hex.slice(i, i + 2), 16) / 255) as unknown as Rgb;
const linear = (c: number): number => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4);
const gamma = (c: number): number => (c <= 0.0031308 ? 12.92 * c : 1.055 * c ** (1 / 2.4) - 0.055);

/* OKLab (B. Ottosson 2020), coefficients from memory. */
function toLab([red, green, blue]: Rgb): Rgb {
  const [r, g, b] = [linear(red), linear(green), linear(blue)];
  const l = Math.cbrt(0.4122214708 * r + 0.5363325363 * g + 0.0514459929 * b);
  const m = Math.cbrt(0.2119034982 * r + 0.6806995451 * g + 0.1073969566 * b);
  const s = Math.cbrt(0.0883024619 * r + 0.2817188376 * g + 0.6299787005 * b);
  return [0.2104542553 * l + 0.793617785 * m - 0.0040720468 * s, 1.9779984951 * l - 2.428592205 * m + 0.4505937099 * s, 0.0259040371 * l + 0.7827717662 * m - 0.808675766 * s];
}

function fromLab([lightness, a, b]: Rgb): readonly number[] {
  const l = (lightness + 0.3963377774 * a + 0.2158037573 * b) ** 3;
  const m = (lightness - 0.1055613458 * a - 0.0638541728 * b) ** 3;
  const s = (lightness - 0.0894841775 * a - 1.291485548 * b) ** 3;
  return [4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s, -1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s, -0.0041960863 * l - 0.7034186147 * m + 1.707614701 * s]
    .map((each) => Math.round(255 * Math.min(1, Math.max(0, gamma(each)))));
}
