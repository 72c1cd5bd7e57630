// npm run bench [-- NAME ...]
//
// Runs the benchmarks in this folder one after another and prints their lines. Each module exports
// `bench(): Promise<string[]>`. Figures are ratios against something in the same run, never a pass or a fail.
import { readdir } from 'node:fs/promises';
import os from 'node:os';

const only = process.argv.slice(2);
const names = (await readdir(new URL('.', import.meta.url)))
  .filter((name) => name.endsWith('.bench.mjs'))
  .map((name) => name.replace('.bench.mjs', ''))
  .filter((name) => only.length === 0 || only.includes(name))
  .sort();
console.log(`${os.cpus().length} × ${os.cpus()[0]?.model ?? 'unknown processor'}, Node.js ${process.versions.node}`);
for (const name of names) {
  console.log(`\n${name}`);
  const { bench } = await import(new URL(`${name}.bench.mjs`, import.meta.url));
  for (const line of await bench()) console.log(`  ${line}`);
}
