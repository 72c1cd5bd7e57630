import { defineConfig } from 'vitest/config';

export default defineConfig({
  root: new URL('..', import.meta.url).pathname,
  test: {
    include: ['tests/**/*.test.ts'],
    exclude: ['tests/browser/**', 'node_modules/**'],
    globalSetup: ['tests/support/base-database.ts'],
    testTimeout: 30_000,
    // Processes that a test starts run the sources as they stand.
    env: {
      NODE_OPTIONS: `--import ${new URL('support/typescript-loader.mjs', import.meta.url).href}`,
    },
    pool: 'forks',
    maxWorkers: 2,
    isolate: false, // no test keeps state in a module, and the program is loaded once a worker
  },
});
