import { readFileSync } from 'node:fs';

/** Version in package.json; the file lies three folders up in dist and one in src. */
export const version: string = readVersion();

function readVersion(): string {
  for (const place of ['../package.json', '../../package.json']) {
    try {
      const parsed: unknown = JSON.parse(readFileSync(new URL(place, import.meta.url), 'utf8'));
      if (typeof parsed === 'object' && parsed !== null && 'version' in parsed) return String(parsed.version);
    } catch {
      /* the other place */
    }
  }
  return 'unknown';
}
