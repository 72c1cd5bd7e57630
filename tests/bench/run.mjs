// npm run bench [-- NAME ...]
//
// Runs the benchmarks one after another and prints their lines. Each module exports `bench(): Promise<string[]>`.
// Figures are ratios against something in the same run, never a pass or a fail.
import os from 'node:os';

const benches = ['network', 'risk', 'level', 'schedule', 'pages', 'model', 'files'];
const only = process.argv.slice(2);
const unknown = only.filter((name) => !benches.includes(name));
if (unknown.length > 0) {
  console.error(`no benchmark named ${unknown.join(', ')}; there are ${benches.join(', ')}`);
  process.exit(1);
}
console.log(
  `${os.cpus().length} × ${os.cpus()[0]?.model ?? 'unknown processor'}, Node.js ${process.versions.node}`,
);
for (const name of only.length > 0 ? only : benches) {
  console.log(`\n${name}`);
  const { bench } = await import(new URL(`${name}.mjs`, import.meta.url));
  for (const line of await bench()) console.log(`  ${line}`);
}
