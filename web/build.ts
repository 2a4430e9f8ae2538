import { build } from 'esbuild';
import { copyFile, mkdir } from 'node:fs/promises';
import path from 'node:path';

/* Bundles the viewer into dist/web; run as dist/web/build.js after tsc. */

const ROOT = path.resolve(import.meta.dirname, '../..');
const OUT = path.join(ROOT, 'dist/web');

await mkdir(OUT, { recursive: true });
await build({
  entryPoints: { viewer: path.join(ROOT, 'web/main.tsx'), theme: path.join(ROOT, 'web/theme.css') },
  outdir: OUT,
  bundle: true,
  minify: true,
  format: 'esm',
  target: ['chrome120', 'firefox120', 'safari17'],
  jsx: 'automatic',
  jsxImportSource: 'preact',
  sourcemap: false,
  legalComments: 'none',
  tsconfigRaw: { compilerOptions: { jsx: 'react-jsx', jsxImportSource: 'preact' } },
});
await copyFile(path.join(ROOT, 'web/index.html'), path.join(OUT, 'index.html'));
