import { defineConfig } from 'vitest/config';

export default defineConfig({
  root: new URL('..', import.meta.url).pathname,
  test: {
    include: ['tests/**/*.test.ts'],
    exclude: ['tests/browser/**', 'node_modules/**'],
    globalSetup: ['tests/support/base-database.ts'],
    testTimeout: 30_000,
    pool: 'forks',
    maxWorkers: 2,
    isolate: false, // no test keeps state in a module, and the program is loaded once a worker
  },
});
