// The built program in a process of its own, and a browser that asks it.
import { spawn } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { PASSWORD } from './build.mjs';

/** Serves a data folder. Resolves when the program answers. */
export async function serve(folder, port) {
  const server = spawn(
    process.execPath,
    [fileURLToPath(new URL('../../dist/src/main.js', import.meta.url))],
    {
      env: { ...process.env, DATA_DIR: folder, PORT: String(port), RATE_LIMIT: 'off' },
      stdio: ['ignore', 'pipe', 'inherit'],
    },
  );
  await new Promise((resolve, reject) => {
    server.stdout.once('data', resolve);
    server.once('exit', (code) => reject(new Error(`the server ended with ${code}`)));
  });
  return server;
}

/** What a process holds in memory, in MB. */
export function residentMegabytes(pid) {
  return Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))[1]) / 1024;
}

/** A browser that keeps its cookies: asks for a path of the address. */
export function browser(address) {
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

export async function signIn(ask) {
  const page = await (await ask('/sign-in')).text();
  const token = /name="_csrf" value="([^"]+)"/.exec(page)[1];
  const body = new URLSearchParams({ _csrf: token, email: 'lead@example.org', password: PASSWORD });
  const reply = await ask('/sign-in', { method: 'POST', body });
  if (reply.status !== 303) throw new Error(`sign-in answered ${reply.status}`);
}
