import type { ColumnBuilder } from '../core/column-builder.ts';
import { bytesNeeded, compileField, type FieldReader } from './signal.ts';
import type { CompiledSignal } from './signal-definition.ts';

/** One signal with the column it fills. */
export interface Step {
  readonly signal: CompiledSignal;
  readonly column: ColumnBuilder;
}

/** Steps that share one selector field, by the value it must have: one read finds them all. */
interface Choice {
  readonly read: FieldReader;
  readonly needs: number;
  readonly byValue: ReadonlyMap<number, readonly Step[]>;
}

/**
 * Reads every signal of a message. A signal whose bytes are not all there is not available; one whose selector does not fit
 * is not in it.
 */
export function compileSteps(steps: readonly Step[]): (time: number, data: Uint8Array, at: number, length: number) => void {
  const always = steps.filter((step) => step.signal.definition.selector === undefined);
  const choices = choicesOf(steps);
  return (time, data, at, length) => {
    take(always, time, data, at, length);
    for (const choice of choices) {
      if (length < choice.needs) continue;
      const chosen = choice.byValue.get(choice.read(data, at));
      if (chosen !== undefined) take(chosen, time, data, at, length);
    }
  };
}

function take(steps: readonly Step[], time: number, data: Uint8Array, at: number, length: number): void {
  for (const { signal, column } of steps) column.push(time, length >= signal.needs ? signal.read(data, at) : Number.NaN);
}

function choicesOf(steps: readonly Step[]): readonly Choice[] {
  const choices = new Map<string, { readonly read: FieldReader; readonly needs: number; readonly byValue: Map<number, Step[]> }>();
  for (const step of steps) {
    const { selector } = step.signal.definition;
    if (selector === undefined) continue;
    const { equals, ...field } = selector;
    const key = JSON.stringify([field.startBit, field.length, field.byteOrder ?? 'little']);
    let choice = choices.get(key);
    if (choice === undefined) {
      choice = { read: compileField(selector), needs: bytesNeeded(selector), byValue: new Map() };
      choices.set(key, choice);
    }
    const sharing = choice.byValue.get(equals);
    if (sharing === undefined) choice.byValue.set(equals, [step]);
    else sharing.push(step);
  }
  return [...choices.values()];
}
