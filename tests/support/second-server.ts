import { spawn } from 'node:child_process';
import { createInterface } from 'node:readline';
import request from 'supertest';
import { onTestFinished } from 'vitest';
import type { TestApp } from './app.ts';
import { CAST_PASSWORD, type CastName, cast } from './cast.ts';

type Agent = ReturnType<typeof request.agent>;

/** Somebody signed in at a server that is reached by its address. */
export interface FarBrowser {
  /** Sends a form with the cross-site token. */
  post(path: string, fields: Record<string, string | number>): Promise<request.Response>;
}

/**
 * A second server, in a process of its own, on the data folder of the test's app. Its clock is the machine's.
 * Ended after the test.
 */
export async function secondServer({
  context,
}: TestApp): Promise<{ as(who: CastName): Promise<FarBrowser> }> {
  const script = new URL('./second-server.mjs', import.meta.url).pathname;
  const child = spawn(process.execPath, [script], {
    env: { PATH: process.env.PATH, DATA_DIR: context.settings.dataDir, PORT: '0', RATE_LIMIT: 'off' },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  onTestFinished(() => void child.kill('SIGKILL'));
  const errors: string[] = [];
  child.stderr.on('data', (text: Buffer) => errors.push(String(text)));
  const address = await new Promise<string>((resolve, reject) => {
    createInterface({ input: child.stdout }).once('line', resolve);
    child.once('exit', (code) =>
      reject(new Error(`the second server ended with ${code}: ${errors.join('')}`)),
    );
  });
  return {
    async as(who) {
      const agent = request.agent(address);
      const token = tokenOf((await agent.get('/sign-in')).text);
      const post = (path: string, fields: Record<string, string | number>) =>
        send(agent, path, { ...fields, _csrf: token });
      const { status } = await post('/sign-in', { email: cast[who].email, password: CAST_PASSWORD });
      if (status !== 303) throw new Error(`${who} could not sign in at the second server: ${status}`);
      return { post };
    },
  };
}

function tokenOf(page: string): string {
  return /name="_csrf" value="([^"]+)"/.exec(page)?.[1] ?? '';
}

async function send(agent: Agent, path: string, fields: Record<string, string | number>) {
  const text = new URLSearchParams();
  for (const [name, value] of Object.entries(fields)) text.append(name, String(value));
  return agent.post(path).type('form').send(text.toString());
}
