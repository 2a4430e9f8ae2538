export type FileRole = 'log' | 'setup' | 'signals' | 'columns' | 'archive';

const SMALL_BYTES = 2_000_000;

export interface RoleQuestion {
  readonly name: string;
  readonly size: number;
  /** First bytes as stored. */
  readonly head: Uint8Array;
  readonly text: () => Promise<string>;
}

/** What a file is for: archives by their first bytes, JSON files by their first key; everything else is a log. */
export async function roleOf({ name, size, head, text }: RoleQuestion): Promise<FileRole> {
  if (head[0] === 0x50 && head[1] === 0x4b && (head[2] === 3 || head[2] === 5)) return 'archive';
  if (/\.dbc$/i.test(name)) return 'signals';
  if (size > SMALL_BYTES || !/\.json$/i.test(name)) return 'log';
  try {
    const value: unknown = JSON.parse((await text()).replace(/^\uFEFF/, ''));
    if (typeof value !== 'object' || value === null) return 'log';
    if ('signals' in value) return 'signals';
    if ('columns' in value) return 'columns';
    return 'setup';
  } catch {
    return 'setup';
  }
}
