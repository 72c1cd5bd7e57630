/**
 * The board of a build of 2,000 parts and 1,500 jobs: time in the server for a page, its size before compression, and
 * where the time goes.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { buildApp } from '../../dist/src/app.js';
import { Changes } from '../../dist/src/platform/acts.js';
import { openDatabase } from '../../dist/src/platform/database.js';
import { FileStore } from '../../dist/src/platform/files.js';
import { readSettings } from '../../dist/src/platform/settings.js';
import { makeBuild, PASSWORD } from './build.mjs';

const parts = 2000;
const jobs = 1500;
const rounds = 60;
const warm = 15;
const addresses = ['/board', '/board?drives=yes', '/board?stage=offered', '/schedule'];

const now = new Date('2026-11-02T08:00:00Z');
const folder = mkdtempSync(join(tmpdir(), 'farwright-bench-'));

/** Signs the lead in by the forms, and gives what asks as them. */
async function signedIn(app) {
  const jar = new Map();
  const ask = async (options) => {
    const cookie = [...jar].map(([name, value]) => `${name}=${value}`).join('; ');
    const reply = await app.inject({ ...options, headers: { ...options.headers, cookie } });
    for (const { name, value } of reply.cookies) jar.set(name, value);
    return reply;
  };
  const page = await ask({ method: 'GET', url: '/sign-in' });
  const token = /name="_csrf" value="([^"]+)"/.exec(page.body)[1];
  const form = { _csrf: token, _once: 'bench', email: 'lead@example.org', password: PASSWORD };
  const reply = await ask({
    method: 'POST',
    url: '/sign-in',
    headers: { 'content-type': 'application/x-www-form-urlencoded' },
    payload: new URLSearchParams(form).toString(),
  });
  if (reply.statusCode !== 303) throw new Error(`could not sign in: ${reply.statusCode}`);
  return ask;
}

try {
  await makeBuild(folder, { parts, jobs, now });
  const db = await openDatabase(folder);
  const settings = readSettings({ DATA_DIR: folder, RATE_LIMIT: 'off', BASE_URL: 'http://127.0.0.1' });
  const context = {
    settings,
    db,
    files: new FileStore(folder),
    clock: { now: () => now },
    changes: new Changes(),
  };
  const app = await buildApp(context, { level: 'error' });
  await app.ready();
  const ask = await signedIn(app);
  console.log(
    `board: ${parts} parts, ${jobs} jobs, ${rounds - warm} pages each (to reach: 95 % under 60 ms, 200 kB)`,
  );
  for (const url of addresses) {
    const times = [];
    const worked = [];
    let bytes = 0;
    for (let round = 0; round < rounds; round++) {
      const cpu = process.cpuUsage();
      const begun = performance.now();
      const reply = await ask({ method: 'GET', url });
      times.push(performance.now() - begun);
      const { user, system } = process.cpuUsage(cpu);
      worked.push((user + system) / 1000);
      if (reply.statusCode !== 200) throw new Error(`${url}: ${reply.statusCode}`);
      bytes = Buffer.byteLength(reply.body);
    }
    const at = (list, share) => {
      const sorted = list.slice(warm).sort((a, b) => a - b);
      return sorted[Math.floor(share * sorted.length)].toFixed(1);
    };
    console.log(
      `  ${url.padEnd(22)} best ${at(times, 0)} ms, median ${at(times, 0.5)} ms, 95 % under ${at(times, 0.95)} ms; ` +
        `processor median ${at(worked, 0.5)} ms; ${(bytes / 1000).toFixed(0)} kB`,
    );
  }
  await app.close();
  await db.close();
} finally {
  rmSync(folder, { recursive: true, force: true });
}
