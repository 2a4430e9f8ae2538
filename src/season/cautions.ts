import { paragraph } from '../handover/paragraph.ts';

/** Each caution once: a repeated warning is not read. */
export const distinct = (cautions: readonly string[]): readonly string[] => [...new Set(cautions)];

export const CAUTION_TITLE = 'Before anyone goes to the machine';

/** Cautions as a part of a letter; empty without any. */
export function cautionText(cautions: readonly string[]): string {
  const list = distinct(cautions);
  return list.length === 0 ? '' : [CAUTION_TITLE, ...list.map((caution) => paragraph(caution, { width: 96, indent: 3, label: ' -' }))].join('\n');
}
