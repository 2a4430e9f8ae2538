import { parseQuantity } from '../../../shared/json-reader.ts';
import { quantity, renderText, type Reading } from '../../../shared/text.ts';
import type { Dimension } from '../../../shared/units.ts';

const TOKENS: Partial<Record<Dimension, (si: number) => string>> = {
  length: (si) => quantity.length(si, 2), mass: (si) => quantity.mass(si, si < 10 ? 3 : 0), massPerArea: (si) => quantity.rate(si), rotation: (si) => quantity.rotation(si),
};

/** What an entry comes to in the units the reader chose; undefined when that says nothing new. */
export function echoOf(typed: string, dimension: Dimension, reading: Reading): string | undefined {
  const token = TOKENS[dimension];
  const si = parseQuantity(typed, dimension);
  if (token === undefined || typeof si !== 'number' || typed.trim() === '') return undefined;
  const text = renderText(token(si), reading);
  const unit = text.replace(/^[−\d.,\s]+/, '');
  const written = typed.trim().replace(/^[+-]?[\d.\s]+(?:e[+-]?\d+)?/i, '').trim();
  return written === unit ? undefined : `= ${text}`;
}

/** `120` → `120 kg/ha`: a bare number gets the unit the field's example has; anything else stays as typed. */
export function withUnit(typed: string, unit: string): string {
  return unit !== '' && /^\s*[+-]?(?:\d+\.?\d*|\.\d+)\s*$/.test(typed) ? `${typed.trim()} ${unit}` : typed;
}
