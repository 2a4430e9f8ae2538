import { at, pathText, type Path } from './draft.ts';
import { SECTIONS, type FieldPlan, type ListPlan } from './fields.ts';

/** One entry of a list as its heading reads: `tower A`, `ticket 2`. */
export function entryName(plan: ListPlan, entry: unknown, index: number): string {
  const id = at(entry, ['id']) ?? (plan.one === 'product' ? at(entry, ['name']) : undefined);
  return `${plan.one} ${typeof id === 'string' && id !== '' ? id : index + 1}`;
}

/** Where a problem of setup.json lies, by the words of the form: `Working width`, `Runs, tower A`; by its path where the form has no words for it. */
export function placeWords(path: string, draft: unknown): string {
  if (path === '') return 'the file';
  const labelIn = (fields: readonly FieldPlan[], base: Path): string | undefined => fields.find(({ key }) => pathText([...base, ...key]) === path)?.label;
  for (const { fields, lists } of SECTIONS) {
    const label = labelIn(fields, []);
    if (label !== undefined) return label;
    for (const list of lists) {
      const place = pathText(list.path);
      if (path === place) return list.title;
      const index = Number(/^\[(\d+)\]/.exec(path.slice(place.length))?.[1] ?? Number.NaN);
      if (!path.startsWith(place) || Number.isNaN(index)) continue;
      const base = [...list.path, index];
      const name = entryName(list, at(draft, base), index);
      const inEntry = labelIn(list.fields, base);
      if (inEntry !== undefined) return `${inEntry}, ${name}`;
      if (path === pathText(base)) return name;
    }
  }
  return path;
}
