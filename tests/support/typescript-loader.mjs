// node --import tests/support/typescript-loader.mjs FILE.ts
//
// Lets a process that a test starts run our sources as they stand, as the tests themselves do.
import { register } from 'node:module';
import { isMainThread } from 'node:worker_threads';

if (isMainThread) register('./typescript-hooks.mjs', import.meta.url);
