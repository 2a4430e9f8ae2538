import { channelKind, conversion, unitsFor } from '../../../shared/channel-names.ts';
import type { ColumnGlance } from '../../../shared/glance.ts';

/** What the reader says a heading means; `time` stands for the time column. */
export interface Meaning {
  readonly channel: string;
  readonly unit: string;
}

/** Heading → meaning. */
export type Mapping = ReadonlyMap<string, Meaning>;

const TIME_UNITS = ['', 's', 'ms'];

/** Units to choose from; empty when there is no such channel. */
export function unitChoices(channel: string): readonly string[] {
  if (channel === 'time') return TIME_UNITS;
  const kind = channelKind(channel);
  return kind === undefined ? [] : unitsFor(kind);
}

/** The unit taken when none is chosen: the one in the heading when it fits, degrees for angles, else the channel's own. */
export function likelyUnit(channel: string, written: string | undefined): string {
  const choices = unitChoices(channel);
  if (written !== undefined && choices.includes(written)) return written;
  if (channel === 'time') return '';
  if (choices.includes('deg')) return 'deg';
  if (/^meter\.\d+\.target$/.test(channel)) return 'kg/ha';
  return channelKind(channel)?.unit === '1' ? '1' : (channelKind(channel)?.unit ?? '');
}

/** End of a sentence about the entry, when it cannot be used. */
export function meaningProblem({ channel, unit }: Meaning): string | undefined {
  if (channel === 'time') return TIME_UNITS.includes(unit) ? undefined : `time cannot be in ${unit}; use s, ms or none for dates and clock times`;
  const kind = channelKind(channel);
  if (kind === undefined) return `there is no channel ${channel}; pick one from the list`;
  return conversion(unit, kind) === undefined ? `${channel} cannot be in ${unit}; known for it are ${unitsFor(kind).join(', ')}` : undefined;
}

/** The first values as the channel will hold them, in SI; null where the file has none. */
export function previewOf(column: ColumnGlance, { channel, unit }: Meaning): readonly (number | null)[] {
  const kind = channelKind(channel);
  const converted = kind === undefined ? undefined : conversion(unit, kind);
  if (converted === undefined) return [];
  return column.numbers.map((value) => (value === null ? null : value * converted.factor + converted.offset));
}

/** columns.json (contract 3): what it said before, with these meanings laid over it. */
export function columnsFile(before: string | undefined, mapping: Mapping): string {
  const columns = new Map(Object.entries(entriesIn(before)));
  for (const [heading, { channel, unit }] of mapping) columns.set(heading, { channel, ...(unit === '' ? {} : { unit }) });
  return `${JSON.stringify({ columns: Object.fromEntries(columns) }, undefined, 2)}\n`;
}

function entriesIn(text: string | undefined): Record<string, unknown> {
  try {
    const parsed = JSON.parse(text ?? '{}') as { readonly columns?: Record<string, unknown> } | null;
    return typeof parsed?.columns === 'object' && parsed.columns !== null ? parsed.columns : {};
  } catch {
    return {};
  }
}

/** Two columns of one log may not both become the same channel: headings that clash, by channel. */
export function clashes(columns: readonly ColumnGlance[], mapping: Mapping): ReadonlyMap<string, readonly string[]> {
  const by = new Map<string, string[]>();
  for (const column of columns) {
    const channel = mapping.get(column.heading)?.channel ?? (column.isTime ? 'time' : column.channel);
    if (channel !== undefined) by.set(channel, [...(by.get(channel) ?? []), column.heading]);
  }
  return new Map([...by].filter(([, headings]) => headings.length > 1 && headings.some((heading) => mapping.has(heading))));
}
