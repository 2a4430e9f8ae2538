import { signal } from '@preact/signals';
import type { Problem } from '../../../shared/json-reader.ts';
import { parseSetup } from '../../../shared/setup-file.ts';

/** setup.json as it is being written: the JSON value itself, so that what was typed is kept as it was typed. */
export type Draft = Readonly<Record<string, unknown>>;
export type Path = readonly (string | number)[];

export interface Work {
  /** Day the draft belongs to; '' = none open yet. */
  readonly day: string;
  readonly draft: Draft;
  /** Differs from what the day was judged with. */
  readonly isChanged: boolean;
}

/** Kept here, so that a look at a finding does not lose what was typed. */
export const work = signal<Work>({ day: '', draft: {}, isChanged: false });

/** Member at a path, undefined when there is none. */
export function at(value: unknown, path: Path): unknown {
  return path.reduce<unknown>((inner, key) => (typeof inner === 'object' && inner !== null && Object.hasOwn(inner, key) ? (inner as Record<string | number, unknown>)[key] : undefined), value);
}

/** The same value with the member at `path` replaced; undefined takes it out, and with it parents that become empty (list entries excepted). */
export function put(value: unknown, path: Path, member: unknown): unknown {
  const [key, ...rest] = path;
  if (key === undefined) return member;
  if (typeof key === 'number') {
    const list: unknown[] = Array.isArray(value) ? [...(value as unknown[])] : [];
    if (rest.length === 0 && member === undefined) list.splice(key, 1);
    else list[key] = put(list[key], rest, member) ?? {};
    return list.length === 0 ? undefined : list;
  }
  const record: Record<string, unknown> = typeof value === 'object' && value !== null && !Array.isArray(value) ? { ...(value as Record<string, unknown>) } : {};
  const next = put(record[key], rest, member);
  if (next === undefined) delete record[key];
  else record[key] = next;
  return Object.keys(record).length === 0 ? undefined : record;
}

export function edit(path: Path, member: unknown): void {
  work.value = { ...work.value, draft: (put(work.value.draft, path, member) ?? {}) as Draft, isChanged: true };
}

/** Text of setup.json → draft; throws SyntaxError where it is not JSON, or not an object. */
export function draftFrom(text: string): Draft {
  const value: unknown = JSON.parse(text.replace(/^\uFEFF/, ''));
  if (typeof value !== 'object' || value === null || Array.isArray(value)) throw new SyntaxError('it is not an object { … }');
  return value as Draft;
}

export const draftText = (draft: Draft): string => `${JSON.stringify(draft, undefined, 2)}\n`;

/** Everything wrong with a draft, by the parser the engine uses. */
export function problemsOf(draft: Draft): readonly Problem[] {
  return parseSetup(draft).problems;
}

/** `['job', 'products', 0, 'fan']` → `job.products[0].fan`, as problems name their place. */
export function pathText(path: Path): string {
  return path.reduce<string>((text, key) => (typeof key === 'number' ? `${text}[${key}]` : text === '' ? key : `${text}.${key}`), '');
}

/** A problem's message without the path before it. */
export function problemWords({ path, message, whatToDo }: Problem): string {
  const plain = path !== '' && message.startsWith(`${path} `) ? message.slice(path.length + 1) : message;
  const sentence = plain.replace(/^is "/, 'This is "');
  return `${sentence.charAt(0).toUpperCase()}${sentence.slice(1)}. ${whatToDo}`;
}
