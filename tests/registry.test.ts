import { existsSync, readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, test } from 'vitest';
import { detectors } from '../src/detectors/registry.ts';
import { formats } from '../src/formats/registry.ts';

const ROOT = path.resolve(import.meta.dirname, '..');
const folders = (area: string): string[] =>
  readdirSync(path.join(ROOT, area), { withFileTypes: true }).filter((entry) => entry.isDirectory()).map((entry) => entry.name).sort();
const testText = (area: string): string =>
  readdirSync(path.join(ROOT, area), { recursive: true, encoding: 'utf8' }).filter((name) => name.endsWith('.test.ts')).map((name) => readFileSync(path.join(ROOT, area, name), 'utf8')).join('\n');

describe('nothing is half-added', () => {
  test('every detector folder is in the registry and the other way round', () => {
    const ids = detectors.map((detector) => detector.meta.id);
    const inFolders = folders('src/detectors').filter((folder) => ids.some((id) => id === folder) || existsSync(path.join(ROOT, 'src/detectors', folder, `${folder}.ts`)));
    expect([...ids].sort()).toEqual(inFolders);
    expect(new Set(ids).size).toBe(ids.length);
  });

  test.each(detectors.map((detector) => [detector.meta.id, detector] as const))('detector %s has its documentation, sentences and test', (id, detector) => {
    for (const text of Object.values(detector.meta.docs)) expect(text.length).toBeGreaterThan(30);
    expect(detector.meta.codes.length).toBeGreaterThan(0);
    expect(Object.values(detector.meta.messages).every((sentence) => sentence.trim() !== '')).toBe(true);
    expect(testText('tests/detectors').includes(`/detectors/${id}/`), 'a test imports it').toBe(true);
  });

  test('every format folder is in the registry and has a contract test', () => {
    expect(formats.map((format) => format.meta.id).sort()).toEqual(folders('src/formats'));
    for (const format of formats) expect(testText('tests/formats').includes(`/formats/${format.meta.id}/`), `${format.meta.id} has a test`).toBe(true);
  });

  test('finding codes: each belongs to one detector only', () => {
    const owners = detectors.flatMap((detector) => detector.meta.codes);
    expect(owners.length).toBe(new Set(owners).size);
  });
});
