/**
 * The whole program on a build of 2,000 parts and 1,500 jobs: how long it takes to start, what it holds in memory, and
 * how long each page takes, as a ratio to the time of /health in the same run (a request that reads one row).
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { makeBuild } from './build.mjs';
import { browser, residentMegabytes, serve, signIn } from './served.mjs';

const parts = 2000;
const jobs = 1500;
const seed = 20_261_102;
const rounds = 40;
const port = 8471;
const address = `http://127.0.0.1:${port}`;
const pages = [
  '/',
  '/board',
  '/structure',
  '/parts/LB-0100',
  '/jobs/700',
  '/schedule',
  '/offers',
  '/receiving',
  '/problems',
  '/makers',
  '/log',
  '/bulletin',
  '/year',
  '/schedule/moved',
  '/gatherings',
  '/trials',
  '/redesigns',
  '/thanks',
  '/calendar',
  '/feed.atom',
  '/materials',
];

const at = (sorted, share) => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))];

/** Serves a large build in a process of its own and asks for every page many times. */
export async function bench() {
  const folder = mkdtempSync(join(tmpdir(), 'farwright-pages-'));
  const lines = [];
  let server = null;
  try {
    await makeBuild(folder, { parts, jobs, seed });
    const begun = performance.now();
    server = await serve(folder, port);
    const started = performance.now() - begun;
    const atStart = residentMegabytes(server.pid);
    const ask = browser(address);
    await signIn(ask);
    const times = async (path) => {
      const taken = [];
      let bytes = 0;
      for (let round = 0; round < rounds; round += 1) {
        const from = performance.now();
        const reply = await ask(path, { headers: { 'accept-encoding': 'identity' } });
        const text = await reply.arrayBuffer();
        taken.push(performance.now() - from);
        if (reply.status !== 200) throw new Error(`${path} answered ${reply.status}`);
        bytes = text.byteLength;
      }
      return { sorted: taken.sort((a, b) => a - b), bytes };
    };
    const health = at((await times('/health')).sorted, 0.5);
    lines.push(
      `${parts} parts, ${jobs} jobs, seed ${seed}, ${rounds} rounds; /health ${health.toFixed(2)} ms`,
    );
    lines.push(
      `start to first answer ${(started / 1000).toFixed(2)} s, resident then ${Math.round(atStart)} MB`,
    );
    for (const path of pages) {
      const { sorted, bytes } = await times(path);
      const [middle, high] = [at(sorted, 0.5), at(sorted, 0.95)];
      lines.push(
        `${path.padEnd(16)} p50 ${middle.toFixed(1)} ms, p95 ${high.toFixed(1)} ms (${(high / health).toFixed(0)} × /health), ${Math.round(bytes / 1000)} kB`,
      );
    }
    lines.push(`resident after all that: ${Math.round(residentMegabytes(server.pid))} MB`);
  } finally {
    server?.kill();
    rmSync(folder, { recursive: true, force: true });
  }
  return lines;
}
