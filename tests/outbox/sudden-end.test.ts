import { type ChildProcess, spawn } from 'node:child_process';
import { createInterface } from 'node:readline';
import { setTimeout as wait } from 'node:timers/promises';
import { describe, expect, it, onTestFinished } from 'vitest';
import { createJob } from '../../src/jobs/index.ts';
import { OutboxKeys } from '../../src/outbox/keys.ts';
import { systemClock } from '../../src/platform/clock.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { asPerson } from '../support/jobs.ts';
import { anOutbox, letLettersLeave, lettersOf } from './an-outbox.ts';
import { type MailServer, mailServer } from './mail-server.ts';

const script = new URL('./outbox-process.ts', import.meta.url).pathname;

/** The outbox of the test's data folder in a process of its own; ready to begin, and ended after the test at the latest. */
async function anOutboxProcess({ context }: TestApp): Promise<ChildProcess> {
  const child = spawn(process.execPath, [script, context.settings.dataDir], {
    env: process.env,
    stdio: ['pipe', 'pipe', 'pipe'],
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

const begin = (child: ChildProcess) => void child.stdin!.write('go\n');

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
  return letters.map(({ key, state, tries }) => {
    const name = keys.messageId(key, 'build.example');
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
  it('makes each letter once, sends none twice and loses none, also shared by processes', {
    timeout: 180_000,
  }, async () => {
    const app = await startApp();
    // It thinks a moment before it answers, so that there is something to be ended in.
    const server = await mailServer('takes', { thinksMs: 15 });
    await letLettersLeave(app, server.port);
    const [processes] = await Promise.all([
      Promise.all([anOutboxProcess(app), anOutboxProcess(app), anOutboxProcess(app)]),
      asked(app, 60),
    ]);
    const waiting = () => app.context.db.read.letter.count({ where: { state: 'waiting' } });
    // Two at once; the third takes the place of the one that is ended first.
    const [first, second, third] = processes as [ChildProcess, ChildProcess, ChildProcess];
    begin(first);
    begin(second);
    await until(async () => server.taken.length >= 8);
    begin(third);
    await ended(first);
    const beforeSecond = server.taken.length;
    await until(async () => server.taken.length >= beforeSecond + 8);
    await ended(second);
    const beforeThird = server.taken.length;
    await until(async () => server.taken.length >= beforeThird + 3);
    await ended(third);
    expect(await waiting()).toBeGreaterThan(0);
    // The rest is sent by who comes after them.
    const last = anOutbox(app, { clock: systemClock });
    await last.turn();
    const all = await arrivals(app, server);
    expect(all.length).toBe(60);
    expect(Math.max(...all.map(({ arrived }) => arrived))).toBe(1);
    const sent = all.filter(({ state }) => state === 'sent');
    expect(sent.every(({ arrived, tries }) => arrived === 1 && tries === 1)).toBe(true);
    // At most the one letter in hand each time one was ended is in doubt, and nothing else is missing.
    const unsettled = all.filter(({ state }) => state === 'sending');
    expect(sent.length + unsettled.length).toBe(60);
    expect(unsettled.length).toBeLessThanOrEqual(3);
    // Later they are shown to the lead as such, and still are not sent again.
    app.setNow(new Date(Date.now() + 3_600_000).toISOString());
    await anOutbox(app).turn();
    const later = await arrivals(app, server);
    expect(later.filter(({ state }) => state === 'in doubt').length).toBe(unsettled.length);
    expect(Math.max(...later.map(({ arrived }) => arrived))).toBe(1);
  });
});
