export type FileRole = 'log' | 'setup' | 'signals' | 'columns';

const SMALL_BYTES = 2_000_000;

/** What a file is for: JSON files are told apart by their first key, everything else is a log. */
export async function roleOf(file: Pick<File, 'name' | 'size' | 'text'>): Promise<FileRole> {
  if (/\.dbc$/i.test(file.name)) return 'signals';
  if (file.size > SMALL_BYTES || !/\.json$/i.test(file.name)) return 'log';
  try {
    const value: unknown = JSON.parse(await file.text());
    if (typeof value !== 'object' || value === null) return 'log';
    if ('signals' in value) return 'signals';
    if ('columns' in value) return 'columns';
    return 'setup';
  } catch {
    return 'setup';
  }
}
