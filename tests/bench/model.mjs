/**
 * Facts of a STEP assembly of 18 solids through the guarded reader, against the bare library in a process of its own on
 * the same file: the first time in a fresh process, and once warm. Then what the program holds of memory before, while
 * and after a large STL is read.
 */
import { fork } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { FileReader } from '../../dist/src/models/index.js';

const assembly = fileURLToPath(new URL('../checks/step/as1-oc-214.stp', import.meta.url));
const rounds = 9;
const facets = 1_000_000;
const MB = 1024 * 1024;

const middle = (values) => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)];
const ms = (values) => `best ${Math.min(...values).toFixed(0)} ms, p50 ${middle(values).toFixed(0)} ms`;

/** The bare library, in a process of its own: how long each of its readings takes; the first with loading it. */
async function bare() {
  const child = fork(fileURLToPath(new URL('model-bare.mjs', import.meta.url)), [assembly]);
  const ask = () =>
    new Promise((resolve) => {
      child.once('message', resolve);
      child.send('read');
    });
  return { ask, end: () => child.kill('SIGKILL') };
}

/** Memory of a process in bytes, where the system tells it. */
function resident(pid) {
  try {
    return Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))[1]) * 1024;
  } catch {
    return 0;
  }
}

export async function bench() {
  const lines = [];
  const library = await bare();
  const reader = new FileReader();
  const folder = mkdtempSync(join(tmpdir(), 'farwright-model-'));
  try {
    const timed = async (work) => {
      const begun = performance.now();
      await work();
      return performance.now() - begun;
    };
    const [theirs, ours] = [[], []];
    for (let round = 0; round < rounds; round++) {
      theirs.push(await timed(() => library.ask()));
      ours.push(await timed(() => reader.facts(assembly, 'step')));
    }
    const { solids } = await reader.facts(assembly, 'step');
    const [firstTheirs, firstOurs] = [theirs.shift(), ours.shift()];
    lines.push(
      `bare library, ${solids} solids: first ${firstTheirs.toFixed(0)} ms, then ${ms(theirs)}`,
      `facts through the reader: first ${firstOurs.toFixed(0)} ms, then ${ms(ours)}`,
      `ratio: first ${(firstOurs / firstTheirs).toFixed(2)}, then ${(middle(ours) / middle(theirs)).toFixed(2)} (to reach: under 3)`,
    );

    const large = join(folder, 'large.stl');
    const bytes = Buffer.alloc(84 + 50 * facets);
    bytes.writeUInt32LE(facets, 80);
    for (let at = 0; at < facets; at++) {
      bytes.writeFloatLE(at % 1000, 84 + 50 * at + 12);
      bytes.writeFloatLE(at / 1000, 84 + 50 * at + 28);
    }
    writeFileSync(large, bytes);
    const before = process.memoryUsage.rss();
    let [peak, peakReader] = [before, 0];
    const looking = setInterval(() => {
      peak = Math.max(peak, process.memoryUsage.rss());
      if (reader.processId) peakReader = Math.max(peakReader, resident(reader.processId));
    }, 20);
    const took = await timed(() => reader.facts(large, 'stl'));
    clearInterval(looking);
    const after = process.memoryUsage.rss();
    const mb = (value) => `${(value / MB).toFixed(0)} MB`;
    lines.push(
      `STL of ${facets.toLocaleString('en')} facets, ${mb(bytes.length)}: ${took.toFixed(0)} ms`,
      `memory of the program: ${mb(before)} before, ${mb(peak)} at most, ${mb(after)} after; of the reader ${mb(peakReader)} at most, ${reader.processId === null ? 'its process is gone' : 'its process is still there'} after`,
    );
    return lines;
  } finally {
    library.end();
    await reader.close();
    rmSync(folder, { recursive: true, force: true });
  }
}
