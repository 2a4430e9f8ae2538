import type { JsonPlace } from './json-reader.ts';
import type { WheelConstant } from './setup.ts';

const FORMS: readonly { readonly form: WheelConstant['form']; readonly spelling: RegExp; readonly toPulsesPerMetre: (entered: number) => number; readonly fromPulsesPerMetre: (perMetre: number) => number }[] = [
  { form: 'pulses/m', spelling: /^pulses?\s*\/\s*m$/, toPulsesPerMetre: (n) => n, fromPulsesPerMetre: (n) => n },
  { form: 'm/pulse', spelling: /^m\s*\/\s*pulse$/, toPulsesPerMetre: (n) => 1 / n, fromPulsesPerMetre: (n) => 1 / n },
  { form: 'pulses/100 m', spelling: /^pulses?\s*\/\s*100\s*m$/, toPulsesPerMetre: (n) => n / 100, fromPulsesPerMetre: (n) => n * 100 },
  /* 400 ft = 121.92 m exactly */
  { form: 'pulses/400 ft', spelling: /^pulses?\s*\/\s*400\s*ft$/, toPulsesPerMetre: (n) => n / 121.92, fromPulsesPerMetre: (n) => n * 121.92 },
];

/** `"20 pulses/m"` and its other forms; a bare number is pulses/m. */
export function parseWheelConstant(place: JsonPlace): WheelConstant | undefined {
  const text = typeof place.value === 'number' ? `${place.value} pulses/m` : place.text();
  if (text === undefined) return undefined;
  const match = /^\s*(\d+(?:\.(\d+))?)\s*(\S.*?)\s*$/.exec(text);
  const form = FORMS.find((candidate) => candidate.spelling.test(match?.[3] ?? ''));
  const number = Number(match?.[1]);
  if (match === null || form === undefined || !(number > 0)) {
    return place.problem(`is "${text}", which is not a wheel constant`, `Write it as one of ${FORMS.map((candidate) => `"20 ${candidate.form}"`).join(', ')}.`);
  }
  const pulsesPerMetre = form.toPulsesPerMetre(number);
  if (pulsesPerMetre < 0.1 || pulsesPerMetre > 5000) return place.problem(`is "${text}", that is ${pulsesPerMetre.toFixed(3)} pulses per metre`, 'Check the number and its form.');
  return { pulsesPerMetre, entered: text, form: form.form, decimals: match[2]?.length ?? 0 };
}

/** A constant in the form and with the decimals it was entered in (at least enough for 0.05 %). */
export function formatWheelConstant(pulsesPerMetre: number, like: WheelConstant): string {
  const form = FORMS.find((candidate) => candidate.form === like.form);
  const entered = form === undefined ? pulsesPerMetre : form.fromPulsesPerMetre(pulsesPerMetre);
  const needed = Math.max(0, Math.ceil(-Math.log10(entered * 0.001)));
  return `${entered.toFixed(Math.max(like.decimals, needed))} ${like.form}`;
}
