import { cpSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { FastifyInstance } from 'fastify';
import request from 'supertest';
import { inject, onTestFinished } from 'vitest';
import { buildApp } from '../../src/app.ts';
import { Changes } from '../../src/platform/acts.ts';
import type { Context } from '../../src/platform/context.ts';
import { openDatabase } from '../../src/platform/database.ts';
import { FileStore } from '../../src/platform/files.ts';
import { readSettings } from '../../src/platform/settings.ts';
import { CAST_PASSWORD, type CastName, cast, START } from './cast.ts';

type Agent = ReturnType<typeof request.agent>;
type Fields = Record<string, unknown>;

/** A browser with cookies that knows to send a form's hidden tokens. */
export interface Browser {
  agent: Agent;
  get(path: string): request.Test;
  /** Sends a form as the page would: with the cross-site token and a fresh once-token (unless given). */
  post(path: string, fields?: Fields): Promise<request.Response>;
  /** Sends a form with files; the token goes in the address, as our own upload forms do it. */
  upload(
    path: string,
    fields: Fields,
    files: { name: string; filename: string; content: Buffer }[],
  ): Promise<request.Response>;
  csrf(): Promise<string>;
}

export interface TestApp {
  app: FastifyInstance;
  context: Context;
  /** turns the clock; ISO text or days from now */
  setNow(moment: string): void;
  passDays(days: number): void;
  as(who: CastName): Promise<Browser>;
  visitor(): Browser;
  /** level error and above; a test that expects one empties it */
  faults: string[];
}

let onceCount = 0;

function browser(app: FastifyInstance): Browser {
  const agent = request.agent(app.server);
  let token: string | null = null;
  const csrf = async () => {
    if (token) return token;
    const { text } = await agent.get('/sign-in?back=/me').redirects(1);
    token =
      /name="_csrf" value="([^"]+)"/.exec(text)?.[1] ??
      /x-csrf-token&quot;:&quot;([^&]+)|x-csrf-token":"([^"]+)/.exec(text)?.[1] ??
      '';
    return token;
  };
  return {
    agent,
    csrf,
    get: (path) => agent.get(path),
    async post(path, fields = {}) {
      onceCount += 1;
      const body = { _once: `test-${onceCount}`, ...fields, _csrf: await csrf() };
      const text = new URLSearchParams();
      for (const [name, value] of Object.entries(body)) {
        for (const one of Array.isArray(value) ? value : [value]) text.append(name, String(one));
      }
      return agent.post(path).type('form').send(text.toString());
    },
    async upload(path, fields, files) {
      onceCount += 1;
      const join = path.includes('?') ? '&' : '?';
      let sending = agent.post(`${path}${join}_csrf=${encodeURIComponent(await csrf())}`);
      for (const [name, value] of Object.entries({ _once: `test-${onceCount}`, ...fields }))
        sending = sending.field(name, String(value));
      for (const { name, filename, content } of files) sending = sending.attach(name, content, { filename });
      return sending;
    },
  };
}

/** The whole program on a fresh copy of the base database. `empty` starts before set-up. Closed after the test. */
export async function startApp(options: { empty?: boolean; rateLimit?: boolean } = {}): Promise<TestApp> {
  const folder = mkdtempSync(join(tmpdir(), 'farwright-test-'));
  if (!options.empty) cpSync(inject('baseFolder'), folder, { recursive: true });
  let now = START;
  const db = await openDatabase(folder);
  const settings = readSettings({
    DATA_DIR: folder,
    RATE_LIMIT: options.rateLimit ? 'on' : 'off',
    BASE_URL: 'http://127.0.0.1',
  });
  const context: Context = {
    settings,
    db,
    files: new FileStore(folder),
    clock: { now: () => now },
    changes: new Changes(),
  };
  const faults: string[] = [];
  const app = await buildApp(context, {
    level: 'error',
    stream: { write: (text: string) => void faults.push(text) },
  } as { level: string });
  await app.ready();
  onTestFinished(async () => {
    await app.close();
    await db.close();
    rmSync(folder, { recursive: true, force: true });
    if (faults.length) throw new Error(`unexpected fault in the log: ${faults.join('\n')}`);
  });
  return {
    app,
    context,
    faults,
    setNow(moment) {
      now = new Date(moment);
    },
    passDays(days) {
      now = new Date(now.getTime() + days * 86_400_000);
    },
    visitor: () => browser(app),
    async as(who) {
      const one = browser(app);
      const { status } = await one.post('/sign-in', { email: cast[who].email, password: CAST_PASSWORD });
      if (status !== 303) throw new Error(`${who} could not sign in: ${status}`);
      // The token is bound to the cookie, which the new session keeps.
      return one;
    },
  };
}
