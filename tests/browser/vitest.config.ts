import { defineConfig } from 'vitest/config';

// The walks need the built program and a browser, so they are apart from what needs only Node.
export default defineConfig({
  root: new URL('../..', import.meta.url).pathname,
  test: {
    include: ['tests/browser/**/*.test.ts'],
    globalSetup: ['tests/support/base-database.ts'],
    testTimeout: 180_000,
    hookTimeout: 120_000,
    pool: 'forks',
    maxWorkers: 2,
    fileParallelism: false,
  },
});
