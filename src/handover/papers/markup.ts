/** A piece of a page that is safe to print as it stands; only `html` makes one. */
export interface Markup {
  readonly markup: string;
}

type Part = Markup | string | number | undefined | false | readonly Part[];

/** Controls and marks that turn the direction of text: not seen, but they change how what is around them reads. Lines and tabs may stay. */
const UNSEEN = /[^\P{Cc}\n\t]|\p{Cf}|[\p{Cs}\uFFFE\uFFFF]/gu;
const ENTITIES: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#39;' };

/**
 * Every value put into the template is shown as text, whatever it holds; pieces made by `html` itself go in as they are,
 * `undefined` and `false` leave nothing. Templates are well-formed XML, so that a paper reads with any parser.
 */
export function html(texts: TemplateStringsArray, ...parts: readonly Part[]): Markup {
  return { markup: texts.reduce((sum, text, k) => `${sum}${text}${k < parts.length ? shown(parts[k]) : ''}`, '') };
}

function shown(part: Part): string {
  if (part === undefined || part === false) return '';
  if (typeof part === 'string') return escaped(part);
  /* a number that is none must never stand on a paper */
  if (typeof part === 'number') return Number.isFinite(part) ? String(part) : '–';
  return 'markup' in part ? part.markup : part.map(shown).join('');
}

const escaped = (text: string): string => text.replaceAll('\r\n', '\n').replaceAll(UNSEEN, '\uFFFD').replaceAll(/[&<>"']/g, (character) => ENTITIES[character] as string);
