/**
 * The whole program on a build of 2,000 parts and 1,500 jobs: how long it takes to start, what it holds in memory, and
 * how long each page takes, as a ratio to the time of /health in the same run (a request that reads one row).
 */
import { spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { makeBuild, PASSWORD } from './build.mjs';

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
  '/materials',
];

/** Keeps the cookies of one browser. */
function browser() {
  const jar = new Map();
  return async (path, init = {}) => {
    const cookie = [...jar].map(([name, value]) => `${name}=${value}`).join('; ');
    const reply = await fetch(address + path, {
      redirect: 'manual',
      ...init,
      headers: { cookie, ...init.headers },
    });
    for (const line of reply.headers.getSetCookie()) {
      const [pair] = line.split(';');
      const at = pair.indexOf('=');
      jar.set(pair.slice(0, at), pair.slice(at + 1));
    }
    return reply;
  };
}

async function signIn(ask) {
  const page = await (await ask('/sign-in')).text();
  const token = /name="_csrf" value="([^"]+)"/.exec(page)[1];
  const body = new URLSearchParams({ _csrf: token, email: 'lead@example.org', password: PASSWORD });
  const reply = await ask('/sign-in', { method: 'POST', body });
  if (reply.status !== 303) throw new Error(`sign-in answered ${reply.status}`);
}

const at = (sorted, share) => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))];

/** Serves a large build in a process of its own and asks for every page many times. */
export async function bench() {
  const folder = mkdtempSync(join(tmpdir(), 'farwright-pages-'));
  const lines = [];
  let server = null;
  try {
    await makeBuild(folder, { parts, jobs, seed });
    const begun = performance.now();
    server = spawn(process.execPath, [fileURLToPath(new URL('../../dist/src/main.js', import.meta.url))], {
      env: { ...process.env, DATA_DIR: folder, PORT: String(port), RATE_LIMIT: 'off' },
      stdio: ['ignore', 'pipe', 'inherit'],
    });
    await new Promise((resolve, reject) => {
      server.stdout.once('data', resolve);
      server.once('exit', (code) => reject(new Error(`the server ended with ${code}`)));
    });
    const started = performance.now() - begun;
    const ask = browser();
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
    lines.push(`start to first answer ${(started / 1000).toFixed(2)} s`);
    for (const path of pages) {
      const { sorted, bytes } = await times(path);
      const [middle, high] = [at(sorted, 0.5), at(sorted, 0.95)];
      lines.push(
        `${path.padEnd(16)} p50 ${middle.toFixed(1)} ms, p95 ${high.toFixed(1)} ms (${(high / health).toFixed(0)} × /health), ${Math.round(bytes / 1000)} kB`,
      );
    }
    const kept = /VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${server.pid}/status`, 'utf8'));
    lines.push(`resident after all that: ${Math.round(Number(kept[1]) / 1024)} MB`);
  } finally {
    server?.kill();
    rmSync(folder, { recursive: true, force: true });
  }
  return lines;
}
