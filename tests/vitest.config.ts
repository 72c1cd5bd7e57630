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
  },
});
