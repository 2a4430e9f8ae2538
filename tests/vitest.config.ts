import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    exclude: ['tests/e2e/**', 'tests/bench/**', '**/*.local.test.ts'],
    /* One module world for all files of a worker: synthetic days are built once, and imports cost once. No test replaces modules. */
    isolate: false,
    pool: 'threads',
    maxWorkers: '100%',
    testTimeout: 120_000,
    hookTimeout: 120_000,
  },
});
