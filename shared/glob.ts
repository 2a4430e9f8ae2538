/** `run.*.count` → test for channel ids; `*` stands for any characters. No regular expression of the user's is ever run. */
export function matchesGlob(glob: string, text: string): boolean {
  const parts = glob.split('*');
  const first = parts[0] ?? '';
  const last = parts[parts.length - 1] ?? '';
  if (parts.length === 1) return glob === text;
  if (!text.startsWith(first) || !text.endsWith(last) || text.length < first.length + last.length) return false;
  let from = first.length;
  for (const part of parts.slice(1, -1)) {
    const at = text.indexOf(part, from);
    if (at < 0 || at + part.length > text.length - last.length) return false;
    from = at + part.length;
  }
  return true;
}

/** Order of ids as people count: `run.2` before `run.10`. */
export function compareNaturally(a: string, b: string): number {
  return collator.compare(a, b);
}

const collator = new Intl.Collator('en', { numeric: true });
