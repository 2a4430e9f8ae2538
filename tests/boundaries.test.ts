import { readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, test } from 'vitest';

const ROOT = path.resolve(import.meta.dirname, '..');

/** Area → what it may import: other areas by path prefix, packages by name. The first matching area counts. */
const RULES: readonly { readonly area: string; readonly may: readonly string[] }[] = [
  { area: 'shared/', may: ['shared/'] },
  { area: 'src/core/', may: ['shared/', 'src/core/'] },
  { area: 'src/series/', may: ['shared/', 'src/core/', 'src/series/', 'simple-statistics'] },
  { area: 'src/field/', may: ['shared/', 'src/core/', 'src/series/', 'src/field/', 'geographiclib-geodesic', 'simple-statistics'] },
  { area: 'src/formats/', may: ['shared/', 'src/core/', 'src/formats/', 'papaparse', 'saxes'] },
  { area: 'src/messages/', may: ['shared/', 'src/core/', 'src/messages/', 'src/formats/log-format.ts', '@canboat/ts-pgns'] },
  { area: 'src/episodes/', may: ['shared/', 'src/core/', 'src/series/', 'src/field/', 'src/episodes/'] },
  { area: 'src/detectors/', may: ['shared/', 'src/core/', 'src/series/', 'src/field/', 'src/episodes/', 'src/detectors/', 'simple-statistics'] },
  { area: 'src/views/', may: ['shared/', 'src/core/', 'src/series/', 'src/field/', 'src/episodes/', 'src/views/'] },
  { area: 'src/causes/', may: ['shared/', 'src/core/', 'src/causes/'] },
  { area: 'src/handover/', may: ['shared/', 'src/core/', 'src/series/', 'src/field/', 'src/handover/', 'hyparquet-writer'] },
  { area: 'src/season/', may: ['shared/', 'src/core/', 'src/series/', 'src/season/', 'src/handover/paragraph.ts', 'src/handover/papers/markup.ts', 'src/handover/papers/words.ts'] },
  { area: 'src/fleet/', may: ['shared/', 'src/core/', 'src/fleet/', '@duckdb/node-api'] },
  { area: 'src/store/', may: ['shared/', 'src/core/', 'src/series/', 'src/field/', 'src/store/', 'node:', 'hyparquet', 'hyparquet-writer', '@duckdb/node-api'] },
  /* the command line starts the server, but only through its one entry */
  { area: 'src/cli/link-command.ts', may: ['node:'] },
  { area: 'src/cli/', may: ['shared/', 'src/index.ts', 'src/cli/', 'server/main.ts', 'node:'] },
  { area: 'src/', may: ['shared/', 'src/', 'node:', 'fzstd', 'fflate', 'yauzl'] },
  { area: 'server/', may: ['shared/', 'src/index.ts', 'server/', 'express', 'node:'] },
  { area: 'web/build.ts', may: ['node:', 'esbuild'] },
  { area: 'web/', may: ['shared/', 'web/', 'uplot', 'preact', '@preact/signals'] },
];

const IMPORT = /(?:^|\n)\s*(?:import|export)\b[^'"`;]*?from\s*['"]([^'"]+)['"]|import\(\s*['"]([^'"]+)['"]\s*\)|(?:^|\n)\s*import\s*['"]([^'"]+)['"]/g;

function sourceFiles(folder: string): string[] {
  return readdirSync(path.join(ROOT, folder), { recursive: true, encoding: 'utf8' })
    .filter((name) => /\.tsx?$/.test(name))
    .map((name) => `${folder}/${name.replaceAll(path.sep, '/')}`);
}

export function importsOf(file: string, text: string): string[] {
  return [...text.matchAll(IMPORT)].map((match) => {
    const target = match[1] ?? match[2] ?? match[3] ?? '';
    return target.startsWith('.') ? path.posix.normalize(path.posix.join(path.posix.dirname(file), target)) : target;
  });
}

function forbiddenImports(file: string, text: string): string[] {
  const rule = RULES.find((candidate) => file.startsWith(candidate.area));
  if (rule === undefined) return [`${file}: in no known area`];
  return importsOf(file, text)
    .filter((target) => !rule.may.some((allowed) => target === allowed || target.startsWith(allowed.endsWith('/') || allowed.endsWith(':') ? allowed : `${allowed}/`)))
    .map((target) => `${file} imports ${target}`);
}

const files = ['shared', 'src', 'server', 'web'].flatMap(sourceFiles);

describe('who may import whom', () => {
  test('every import of the program is allowed', () => {
    expect(files.length).toBeGreaterThan(20);
    expect(files.flatMap((file) => forbiddenImports(file, readFileSync(path.join(ROOT, file), 'utf8')))).toEqual([]);
  });

  test('the rule notices a forbidden import', () => {
    expect(forbiddenImports('src/series/robust.ts', "import { x } from '../detectors/detector.ts';\n")).toHaveLength(1);
    expect(forbiddenImports('shared/span.ts', "import fs from 'node:fs';\n")).toHaveLength(1);
    expect(forbiddenImports('src/cli/main.ts', "const a = await import('../analyse.ts');\n")).toHaveLength(1);
    expect(forbiddenImports('web/main.tsx', "import '../src/index.ts';\n")).toHaveLength(1);
  });
});

describe('one idea per file', () => {
  test('no file is longer than 320 lines', () => {
    const long = [...files, ...sourceFiles('tests')]
      .map((file) => ({ file, lines: readFileSync(path.join(ROOT, file), 'utf8').split('\n').length - 1 }))
      .filter(({ lines }) => lines > 320);
    expect(long).toEqual([]);
  });

  test('no drawer files', () => {
    expect(files.filter((file) => /(?:^|\/)(?:utils?|helpers?|misc|common)\.tsx?$/.test(file))).toEqual([]);
  });
});
