import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { describe, expect, it, onTestFinished } from 'vitest';
import { createJob } from '../../src/jobs/index.ts';
import { MailPassword } from '../../src/outbox/mail-password.ts';
import { Teller } from '../../src/outbox/teller.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { asPerson } from '../support/jobs.ts';
import { anOutbox, letLettersLeave, lettersOf, mailFields } from './an-outbox.ts';
import { type Manners, mailServer } from './mail-server.ts';

/** Letters in the outbox, and a server of these manners. */
async function waiting(manners: Manners, count: number, change: Record<string, unknown> = {}) {
  const app = await startApp();
  const server = await mailServer(manners);
  const lead = await letLettersLeave(app, server.port);
  await put(app, count, change);
  return { app, server, lead, outbox: anOutbox(app) };
}

async function put({ context }: TestApp, count: number, change: Record<string, unknown> = {}) {
  const at = context.clock.now();
  const there = await context.db.read.letter.count();
  await context.db.write.letter.createMany({
    data: Array.from({ length: count }, (_, n) => ({
      key: `query:${there + n}.x:2`,
      kind: 'query',
      personId: castId.crew,
      subject: `Letter ${there + n}`,
      body: 'Which?',
      nextAt: at,
      createdAt: at,
      ...change,
    })),
  });
}

const count = (app: TestApp, state: string) => app.context.db.read.letter.count({ where: { state } });
const plain = (html: string) => html.replace(/<[^>]+>/g, '').replace(/\s+/g, ' ');

describe('a server that takes nothing', () => {
  it.each([
    [
      'refuses every recipient for good',
      { refuses: 'RCPT', code: 554, words: 'relay access denied' },
      'refused',
    ],
    ['refuses every text for good', { refuses: 'DATA', code: 550, words: 'not from you' }, 'refused'],
    ['breaks off after every text', 'drops after the text', 'in doubt'],
  ] as const)('that %s does not use up all letters', async (_, manners, state) => {
    const { app, server, lead, outbox } = await waiting(manners, 20);
    for (let minutes = 0; minutes < 16; minutes += 1) {
      await outbox.turn();
      app.passDays(1 / 1440);
    }
    // Five, and one after 1, 2, 4 and 8 minutes more.
    expect(await count(app, state)).toBe(9);
    expect(await count(app, 'waiting')).toBe(11);
    const page = plain((await lead.get('/settings/mail')).text);
    expect(page).toContain('Letters wait. Of the last 9 letters none was taken.');
    // Put right, the rest leaves; and the lead has those that were refused sent once more, all at once.
    server.manners('takes');
    const before = server.taken.length;
    expect((await lead.post('/settings/mail/try')).status).toBe(303);
    outbox.wakeUp();
    await outbox.turn();
    expect(server.taken.length).toBe(before + 11);
    if (state === 'refused') {
      expect(page).toContain('Send all 9 again');
      const again = { which: 'refused', what: 'send' };
      expect((await lead.post('/settings/mail/letters/all', again)).status).toBe(303);
      expect((await lead.post('/settings/mail/letters/all', again)).status).toBe(409);
      await outbox.turn();
      expect(await count(app, 'sent')).toBe(20);
      expect(plain((await lead.get('/log')).text)).toContain('sent 9 letters once more');
    }
  });

  it('has letters waiting that the lead can drop, all at once', async () => {
    const { app, server, lead, outbox } = await waiting({ refuses: 'AUTH', code: 535 }, 3);
    await letLettersLeave(app, server.port, { on: '' });
    expect(plain((await lead.get('/settings/mail')).text)).toContain('None of the 3 letters that wait');
    const answer = await lead.post('/settings/mail/letters/all', { which: 'waiting', what: 'send' });
    expect(answer.status).toBe(422);
    for (const role of ['crew', 'imre'] as const) {
      const other = await app.as(role);
      const refused = await other.post('/settings/mail/letters/all', { which: 'waiting', what: 'drop' });
      expect(refused.status).toBe(403);
    }
    await lead.post('/settings/mail/letters/all', { which: 'waiting', what: 'drop' });
    await letLettersLeave(app, server.port);
    await outbox.turn();
    expect(await count(app, 'dropped')).toBe(3);
    expect(server.connections()).toBe(0);
  });

  it('says no more that letters wait once it takes them', async () => {
    const { app, server, lead, outbox } = await waiting('takes', 3);
    await server.close();
    await outbox.turn();
    const again = await mailServer('takes', { port: server.port });
    app.passDays(1);
    // One leaves, then the server thinks: what waits behind it is held by nothing.
    const next = await lettersOf(app);
    await app.context.db.write.letter.update({
      where: { id: next[2]!.id },
      data: { nextAt: new Date(app.context.clock.now().getTime() + 60_000) },
    });
    await outbox.turn();
    expect(again.taken.length).toBe(2);
    expect(plain((await lead.get('/settings/mail')).text)).not.toContain('Letters wait.');
  });
});

describe('the order of letters', () => {
  it('has a test first and a bulletin to everybody last', async () => {
    const { app, server, lead, outbox } = await waiting('takes', 1);
    await app.context.db.write.letter.updateMany({ data: { createdAt: new Date(0) } });
    const at = new Date(1);
    await put(app, 1, { createdAt: at, subject: 'later' });
    await put(app, 1, { kind: 'test', subject: 'A test' });
    await app.context.db.write.letter.updateMany({
      where: { subject: 'Letter 0' },
      data: { kind: 'bulletin', key: 'bulletin:2026-03-01:2' },
    });
    await app.context.db.write.bulletin.create({
      data: {
        week: '2026-03-01',
        frozen: JSON.stringify({
          title: 'Week',
          opening: '',
          closing: '',
          sections: [],
          thanks: [],
          finishOn: null,
          finishBefore: null,
        }),
        publishedAt: at,
        createdAt: at,
      },
    });
    await outbox.turn();
    expect(server.taken.map(({ headers }) => headers.subject)).toEqual(['A test', 'later', 'Week']);
    expect((await lead.get('/settings/mail')).status).toBe(200);
  });
});

describe('letters switched off and on', () => {
  it('have their five days before them again, but a reminder of days ago is dropped', async () => {
    const { app, server, outbox } = await waiting('takes', 2);
    await put(app, 1, { kind: 'reminder', key: 'reminder:2:2026-03-02:due.1.2026-03-04' });
    await letLettersLeave(app, server.port, { on: '' });
    app.passDays(20);
    await server.close();
    await letLettersLeave(app, server.port);
    await outbox.turn();
    expect((await lettersOf(app)).map(({ state }) => state)).toEqual(['waiting', 'waiting', 'dropped']);
  });

  it('also of a program that stood still for days, no old reminder leaves', async () => {
    const { app, server, outbox } = await waiting('takes', 1, {
      kind: 'reminder',
      key: 'reminder:2:2026-03-02:due.1.2026-03-04',
    });
    app.passDays(3);
    await outbox.turn();
    expect(await count(app, 'dropped')).toBe(1);
    expect(server.taken.length).toBe(0);
  });
});

describe('a long log to be told', () => {
  it('lets others have their turn between its steps, tells all, and can be ended meanwhile', async () => {
    const app = await startApp();
    const { context } = app;
    await letLettersLeave(app, 1);
    const at = context.clock.now();
    const job = { kind: 'other', title: 'Sweep', partId: null, milli: 1000 } as const;
    const jobId = await asPerson(app, 'lead', (act) => createJob(act, job));
    const ids = Array.from({ length: 450 }, (_, n) => n + 1);
    await context.db.write.query.createMany({
      data: ids.map((id) => ({ id, jobId, askedById: castId.lead, question: 'Which?', askedAt: at })),
    });
    await context.db.write.act.createMany({
      data: ids.map((thingId) => ({
        at: new Date(at.getTime() + thingId),
        kind: 'ask-query',
        personId: castId.lead,
        thingType: 'query',
        thingId,
      })),
    });
    const parts = {
      context,
      times: { of: () => null },
      report(fault: unknown) {
        throw fault;
      },
    };
    const ended = new Teller(parts);
    ended.close();
    await ended.turn();
    const first = await context.db.read.letter.count();
    expect(first).toBeGreaterThan(0);
    expect(first).toBeLessThan(450);
    let ticks = 0;
    const timer = setInterval(() => {
      ticks += 1;
    }, 0);
    await new Teller(parts).turn();
    clearInterval(timer);
    expect(ticks).toBeGreaterThan(0);
    expect(await context.db.read.letter.count()).toBe(450);
  });
});

describe('a clock that was set back', () => {
  it('keeps no letter and no call waiting for years, and finds what was lost', async () => {
    const { app, server, outbox } = await waiting('takes', 1);
    const far = new Date(app.context.clock.now().getTime() + 400 * 86_400_000);
    await app.context.db.write.letter.updateMany({ data: { nextAt: far, createdAt: far } });
    await put(app, 1, { state: 'sending', nextAt: far });
    await outbox.turn();
    expect((await lettersOf(app)).map(({ state }) => state)).toEqual(['sent', 'in doubt']);
    expect(server.taken.length).toBe(1);
  });
});

describe('a restored backup', () => {
  it('gives another act’s letter another Message-ID and call another id, though numbers come again', async () => {
    const names: (string | undefined)[] = [];
    const ids: unknown[] = [];
    const app = await startApp();
    const server = await mailServer();
    const lead = await letLettersLeave(app, server.port);
    const there = createServer((request, reply) => {
      ids.push(request.headers['webhook-id']);
      request.resume();
      reply.writeHead(204).end();
    });
    await new Promise<void>((resolve) => {
      there.listen(0, '127.0.0.1', resolve);
    });
    onTestFinished(() => void there.close());
    const url = `http://127.0.0.1:${(there.address() as AddressInfo).port}/`;
    await lead.post('/settings/hooks', { url, kinds: ['problem.seen'], open: 'yes', note: '' });
    const { write } = app.context.db;
    const last = (await write.act.findFirstOrThrow({ orderBy: { id: 'desc' } })).id;
    const jobId = (
      await write.job.create({
        data: { kind: 'other', title: 'Sweep', milli: 1, createdAt: app.context.clock.now() } as never,
      })
    ).id;
    await write.query.create({
      data: { id: 1, jobId, askedById: castId.lead, question: 'Which?', askedAt: app.context.clock.now() },
    });
    const acts = [
      { id: last + 1, kind: 'ask-query', personId: castId.lead, thingType: 'query', thingId: 1 },
      { id: last + 2, kind: 'see-problem', thingType: 'problem', thingId: 1, after: '{"title":"Loose"}' },
    ];
    await write.$executeRaw`DROP TRIGGER "Act_never_changed"`;
    for (let life = 0; life < 2; life += 1) {
      const at = app.context.clock.now();
      for (const { id, ...act } of acts) {
        await write.act.upsert({ where: { id }, create: { id, at, ...act }, update: { at } });
      }
      await anOutbox(app).turn();
      names.push(server.taken.at(-1)?.headers['message-id']);
      // The backup of before is put back, and the same numbers are given to other things.
      await write.letter.deleteMany();
      await write.hookCall.deleteMany();
      await write.$executeRaw`DELETE FROM sqlite_sequence WHERE name IN ('Letter', 'HookCall')`;
      await write.mailSettings.update({ where: { id: 1 }, data: { toldActId: last } });
      app.passDays(0.01);
    }
    expect(server.taken.length).toBe(2);
    expect(new Set(names).size).toBe(2);
    expect(ids.length).toBe(2);
    expect(new Set(ids).size).toBe(2);
  });
});

describe('the password', () => {
  it('goes to no other server, though the program ended between the settings and their password', async () => {
    const app = await startApp();
    const server = await mailServer('takes');
    const login = { secure: 'none', user: 'board', password: 'first' };
    const lead = await letLettersLeave(app, 2526, login);
    await app.context.db.write.mailSettings.update({ where: { id: 1 }, data: { port: server.port } });
    await put(app, 1);
    await anOutbox(app).turn();
    expect(server.connections()).toBe(0);
    const page = plain((await lead.get('/settings/mail')).text);
    expect(page).toContain('The password for this server and user is not there');
    expect(page).not.toContain('One is kept');
    const { changedAt } = await app.context.db.read.mailSettings.findUniqueOrThrow({ where: { id: 1 } });
    const seen = changedAt!.toISOString();
    const answer = await lead.post(
      '/settings/mail',
      mailFields(server.port, { ...login, password: '', seen }),
    );
    expect(answer.status).toBe(422);
    const kept = new MailPassword(app.context.settings.dataDir);
    expect(kept.read({ host: '127.0.0.1', port: 2526, secure: 'none', user: 'board' })).toBe('first');
  });
});
