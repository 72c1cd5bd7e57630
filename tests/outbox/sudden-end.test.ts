import { type ChildProcess, spawn } from 'node:child_process';
import { createInterface } from 'node:readline';
import { setTimeout as wait } from 'node:timers/promises';
import { describe, expect, it, onTestFinished } from 'vitest';
import { createJob } from '../../src/jobs/index.ts';
import { OutboxKeys } from '../../src/outbox/keys.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { asPerson } from '../support/jobs.ts';
import { anOutbox, letLettersLeave, lettersOf } from './an-outbox.ts';
import { type MailServer, mailServer } from './mail-server.ts';

const script = new URL('./outbox-process.ts', import.meta.url).pathname;

/** The outbox of the test's data folder in a process of its own; ready, and ended after the test at the latest. */
async function anOutboxProcess({ context }: TestApp): Promise<ChildProcess> {
  const child = spawn(process.execPath, [script, context.settings.dataDir], {
    env: process.env,
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  onTestFinished(() => void child.kill('SIGKILL'));
  const errors: string[] = [];
  child.stderr!.on('data', (text: Buffer) => errors.push(String(text)));
  await new Promise<void>((resolve, reject) => {
    createInterface({ input: child.stdout! }).once('line', () => resolve());
    child.once('exit', (code) => reject(new Error(`the outbox ended with ${code}: ${errors.join('')}`)));
  });
  return child;
}

function ended(child: ChildProcess): Promise<void> {
  return new Promise((resolve) => {
    child.once('exit', () => resolve());
    child.kill('SIGKILL');
  });
}

/** Letters to be: so many acts in the log that the crew is told of. */
async function asked(app: TestApp, count: number): Promise<void> {
  const job = { kind: 'other', title: 'Sweep', partId: null, milli: 1000 } as const;
  const jobId = await asPerson(app, 'lead', (act) => createJob(act, job));
  const { write } = app.context.db;
  const at = app.context.clock.now();
  await write.query.createMany({
    data: Array.from({ length: count }, (_, n) => ({
      id: n + 1,
      jobId,
      askedById: castId.lead,
      question: `Which ${n}?`,
      askedAt: at,
    })),
  });
  await write.act.createMany({
    data: Array.from({ length: count }, (_, n) => ({
      // One by one, as they would come.
      at: new Date(at.getTime() + n),
      kind: 'ask-query',
      personId: castId.lead,
      jobId,
      thingType: 'query',
      thingId: n + 1,
    })),
  });
}

/** How often each letter arrived, by its number in the outbox. */
async function arrivals(app: TestApp, { taken }: MailServer) {
  const keys = new OutboxKeys(app.context.settings.dataDir);
  const letters = await lettersOf(app);
  return letters.map(({ id, state, tries }) => {
    const name = keys.messageId(id, 'build.example');
    return { state, tries, arrived: taken.filter(({ headers }) => headers['message-id'] === name).length };
  });
}

async function until(holds: () => Promise<boolean>): Promise<void> {
  for (let tries = 0; tries < 1200; tries += 1) {
    if (await holds()) return;
    await wait(50);
  }
  throw new Error('it did not come about within a minute');
}

describe('the outbox, ended at any moment', () => {
  it('sends no letter twice and loses none', { timeout: 180_000 }, async () => {
    const app = await startApp();
    // It thinks a moment before it answers, so that there is something to be ended in.
    const server = await mailServer('takes', { thinksMs: 15 });
    await letLettersLeave(app, server.port);
    await asked(app, 80);
    const waiting = () => app.context.db.read.letter.count({ where: { state: 'waiting' } });
    const kills = 3;
    for (let kill = 0; kill < kills; kill += 1) {
      const child = await anOutboxProcess(app);
      const before = server.taken.length;
      // Once it is at work; the last letters are left for those that come after.
      await until(async () => server.taken.length >= before + 3 + 5 * kill);
      await ended(child);
    }
    expect(await waiting()).toBeGreaterThan(0);
    await anOutboxProcess(app);
    await until(async () => (await waiting()) === 0 && (await app.context.db.read.letter.count()) === 80);
    await until(
      async () => (await app.context.db.read.letter.count({ where: { state: 'sending' } })) <= kills,
    );
    await wait(500);
    const all = await arrivals(app, server);
    expect(Math.max(...all.map(({ arrived }) => arrived))).toBe(1);
    const sent = all.filter(({ state }) => state === 'sent');
    expect(sent.every(({ arrived }) => arrived === 1)).toBe(true);
    // At most the one letter in hand each time it was ended is in doubt, and nothing else is missing.
    expect(all.length - sent.length).toBeLessThanOrEqual(kills);
    // Later they are shown to the lead as such, and still are not sent again.
    app.setNow(new Date(Date.now() + 3_600_000).toISOString());
    await anOutbox(app).turn();
    const later = await arrivals(app, server);
    expect(later.filter(({ state }) => state === 'in doubt').length).toBe(all.length - sent.length);
    expect(Math.max(...later.map(({ arrived }) => arrived))).toBe(1);
  });

  it('shared by two processes makes each letter once and sends it once', { timeout: 120_000 }, async () => {
    const app = await startApp();
    const server = await mailServer('takes', { thinksMs: 3 });
    await letLettersLeave(app, server.port);
    await asked(app, 60);
    await Promise.all([anOutboxProcess(app), anOutboxProcess(app)]);
    await until(async () => (await app.context.db.read.letter.count({ where: { state: 'sent' } })) === 60);
    await wait(300);
    const all = await arrivals(app, server);
    expect(all).toEqual(Array(60).fill({ state: 'sent', tries: 1, arrived: 1 }));
  });
});
