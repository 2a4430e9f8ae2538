/** Texts that loggers and tools write for 'no sample'. */
const NO_SAMPLE: ReadonlySet<string> = new Set(['', 'nan', 'na', 'n/a', '#n/a', 'null', 'none', 'nil', '-', '--', '---', '?', '*']);
const SWITCHES: ReadonlyMap<string, number> = new Map([['true', 1], ['on', 1], ['yes', 1], ['false', 0], ['off', 0], ['no', 0]]);
/** Characters; no number is written longer. */
const LONGEST_NUMBER = 64;

const PLAIN = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$/;
/** 1,234,567.8 or 1 234 567.8 or 1'234'567.8, the separator being the same throughout. */
const GROUPED = /^[+-]?\d{1,3}(?:([,' \u00A0\u202F\u2009])\d{3})(?:\1\d{3})*(?:\.\d*)?$/;

/** Number in a cell; NaN = no sample; undefined = a text that is no number. */
export function cellValue(text: string, decimalComma: boolean): number | undefined {
  const trimmed = text.trim();
  if (trimmed.length > LONGEST_NUMBER) return undefined;
  const pointed = decimalComma ? trimmed.replaceAll(/[.,]/g, (mark) => (mark === ',' ? '.' : ',')) : trimmed;
  if (PLAIN.test(pointed)) return finite(Number(pointed));
  const lower = trimmed.toLowerCase();
  if (NO_SAMPLE.has(lower)) return Number.NaN;
  const state = SWITCHES.get(lower);
  if (state !== undefined) return state;
  return GROUPED.test(pointed) ? finite(Number(pointed.replaceAll(/[,' \u00A0\u202F\u2009]/g, ''))) : undefined;
}

function finite(value: number): number | undefined {
  return Number.isFinite(value) ? value : undefined;
}
