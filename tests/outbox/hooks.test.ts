import { createHmac } from 'node:crypto';
import { createServer, type IncomingHttpHeaders } from 'node:http';
import type { AddressInfo } from 'node:net';
import { describe, expect, it, onTestFinished } from 'vitest';
import { claimJob, handBack, offerJob, withdrawOffer } from '../../src/jobs/index.ts';
import { callHook } from '../../src/outbox/hook-talk.ts';
import { HOOK_KINDS } from '../../src/outbox/kinds.ts';
import { dropGathering, moveGathering } from '../../src/problems/index.ts';
import { type Browser, startApp } from '../support/app.ts';
import { cast, castId } from '../support/cast.ts';
import { aFabrication, asPerson } from '../support/jobs.ts';
import { aGathering, aProblem } from '../support/problems.ts';
import { anOutbox, letLettersLeave } from './an-outbox.ts';
import { mailServer } from './mail-server.ts';

interface Call {
  headers: IncomingHttpHeaders;
  body: string;
}

/** Something that is told: it keeps what it was told and answers as it is set to. */
async function receiver() {
  const calls: Call[] = [];
  const answers = { status: 204, headers: {} as Record<string, string>, silent: false };
  const server = createServer((request, reply) => {
    const chunks: Buffer[] = [];
    request.on('data', (chunk: Buffer) => chunks.push(chunk));
    request.on('end', () => {
      calls.push({ headers: request.headers, body: Buffer.concat(chunks).toString('utf8') });
      if (!answers.silent) reply.writeHead(answers.status, answers.headers).end('x'.repeat(100_000));
    });
  });
  await new Promise<void>((resolve) => {
    server.listen(0, '127.0.0.1', resolve);
  });
  onTestFinished(() => {
    server.closeAllConnections();
    server.close();
  });
  const { port } = server.address() as AddressInfo;
  return { url: `http://127.0.0.1:${port}/told`, calls, answers };
}

async function added(lead: Browser, url: string, kinds: readonly string[] = HOOK_KINDS) {
  const answer = await lead.post('/settings/hooks', { url, kinds, open: 'yes', note: 'our site' });
  if (answer.status !== 303) throw new Error(`not added: ${answer.status}`);
  const page = await lead.get(answer.headers.location!);
  const key = /whsec_[A-Za-z0-9+/=]+/.exec(page.text.replaceAll('&#x2F;', '/').replaceAll('&#x3D;', '='))![0];
  return { path: answer.headers.location as string, key };
}

async function started(kinds?: readonly string[]) {
  const app = await startApp();
  const lead = await app.as('lead');
  const there = await receiver();
  const hook = await added(lead, there.url, kinds);
  return { app, lead, there, hook, outbox: anOutbox(app) };
}

const told = ({ calls }: { calls: Call[] }) =>
  calls.map(
    ({ body }) => JSON.parse(body) as { type: string; timestamp: string; data: Record<string, unknown> },
  );

describe('web hooks', () => {
  it('are told what happens, signed so that the receiver can check it with the key alone', async () => {
    const { app, there, hook, outbox } = await started();
    const problem = await aProblem(app, { title: 'Lager går tørt', words: cast.imre.name });
    await outbox.turn();
    await outbox.turn();
    expect(told(there)).toEqual([
      {
        type: 'problem.seen',
        timestamp: '2026-03-02T08:00:00.000Z',
        data: { problem, title: 'Lager går tørt', part: null, href: `http://127.0.0.1/problems/${problem}` },
      },
    ]);
    const { headers, body } = there.calls[0]!;
    const { 'webhook-id': id, 'webhook-timestamp': at } = headers;
    const secret = Buffer.from(hook.key.slice('whsec_'.length), 'base64');
    expect(secret.length).toBe(32);
    const signature = createHmac('sha256', secret).update(`${id}.${at}.${body}`).digest('base64');
    expect(headers['webhook-signature']).toBe(`v1,${signature}`);
    expect(headers['content-type']).toContain('application/json');
  });

  it('tell of an offer when it opens to strangers, is taken, and is open again', async () => {
    const { app, there, outbox } = await started(['offer.opened', 'offer.closed']);
    const { jobId, number } = await aFabrication(app, { quantity: 3 });
    const types = async () => {
      await outbox.turn();
      return told(there).map(({ type }) => type);
    };
    await asPerson(app, 'lead', (act) => offerJob(act, jobId));
    expect(await types()).toEqual(['offer.opened']);
    expect(told(there)[0]!.data).toMatchObject({
      job: jobId,
      part: number,
      revision: 'A',
      openQuantity: '3 pieces',
    });
    const promise = { soonestDays: 1, likelyDays: 2, latestDays: 3 };
    const claim = (milli: number) =>
      asPerson(app, 'imre', (act) => claimJob(act, { jobId, personId: castId.imre, milli, ...promise }));
    const claimId = await claim(1000);
    expect(await types()).toEqual(['offer.opened']);
    await claim(2000);
    expect(await types()).toEqual(['offer.opened', 'offer.closed']);
    await asPerson(app, 'imre', (act) => handBack(act, { claimId, milli: 1000 }));
    expect(await types()).toEqual(['offer.opened', 'offer.closed', 'offer.opened']);
    // Not for strangers: nothing that could be shown to them.
    const quiet = await aFabrication(app);
    await asPerson(app, 'lead', (act) => offerJob(act, quiet.jobId, false));
    await asPerson(app, 'lead', (act) => withdrawOffer(act, quiet.jobId));
    expect((await types()).length).toBe(3);
    expect(JSON.stringify(told(there))).not.toContain(cast.imre.name);
  });

  it('tell of gatherings, without their place, of revisions and of the finish', async () => {
    const { app, there, outbox } = await started();
    const gatheringId = await aGathering(app, { fromOn: '2026-04-10', untilOn: '2026-04-12' });
    await asPerson(app, 'lead', (act) =>
      moveGathering(act, { gatheringId, fromOn: '2026-04-11', untilOn: '2026-04-12' }),
    );
    await asPerson(app, 'lead', (act) => dropGathering(act, { gatheringId }));
    await aFabrication(app);
    const record = { open: 1, critical: 1, at: app.context.clock.now() };
    await app.context.db.write.finishRecord.createMany({
      data: [
        { day: '2026-02-27', finishOn: '2026-06-01', ...record },
        { day: '2026-03-01', finishOn: '2026-06-11', ...record },
      ],
    });
    // The day that is not over does not count.
    const today = { finishOn: '2026-07-30', ...record };
    await app.context.db.write.finishRecord.upsert({
      where: { day: '2026-03-02' },
      create: { day: '2026-03-02', ...today },
      update: today,
    });
    await outbox.turn();
    await anOutbox(app).turn();
    const all = told(there);
    expect(all.map(({ type }) => type)).toEqual([
      'gathering.planned',
      'gathering.moved',
      'gathering.called_off',
      'revision.released',
      'finish.moved',
    ]);
    expect(all[1]!.data).toMatchObject({ from: '2026-04-11', until: '2026-04-12' });
    expect(all[4]!.data).toMatchObject({
      day: '2026-03-01',
      before: '2026-06-01',
      finish: '2026-06-11',
      days: 10,
    });
    expect(JSON.stringify(all)).not.toContain('dairy');
  });

  it('come again with growing waits and the same id, and are given up after three days', async () => {
    const { app, there, outbox, lead, hook } = await started();
    there.answers.status = 500;
    await aProblem(app);
    for (let hours = 0; hours < 80; hours += 1) {
      await outbox.turn();
      app.passDays(1 / 24);
    }
    expect(there.calls.length).toBeGreaterThan(10);
    expect(new Set(there.calls.map(({ headers }) => headers['webhook-id'])).size).toBe(1);
    expect(new Set(there.calls.map(({ headers }) => headers['webhook-timestamp'])).size).toBe(
      there.calls.length,
    );
    expect(await app.context.db.read.hookCall.findFirst()).toMatchObject({ state: 'given up', status: 500 });
    expect((await lead.get(hook.path)).text).toContain('It answered 500.');
    there.answers.status = 204;
    await aProblem(app);
    await outbox.turn();
    expect((await app.context.db.read.hookCall.findMany()).at(-1)).toMatchObject({
      state: 'delivered',
      status: 204,
    });
  });

  it('let what happens meanwhile wait with a call that failed, and call in order again later', async () => {
    const { app, there, outbox } = await started();
    there.answers.status = 500;
    for (let n = 0; n < 3; n += 1) {
      await aProblem(app);
      await outbox.turn();
    }
    // The address did not answer: nothing new asks it before its wait is over.
    expect(there.calls.length).toBe(1);
    there.answers.status = 204;
    app.passDays(1 / 1440);
    await outbox.turn();
    const problems = told(there).map(({ data }) => data.problem as number);
    expect(problems.length).toBe(4);
    expect(problems.slice(1)).toEqual([...problems.slice(1)].sort((a, b) => a - b));
    expect(problems[1]).toBe(problems[0]);
  });

  it('tell a hook nothing that happened before it was added', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    // Letters are on, so that the log is told; it was not told of yet when the hook came.
    await letLettersLeave(app, 1, { on: 'yes' });
    await aProblem(app);
    app.passDays(0.001);
    const there = await receiver();
    await added(lead, there.url);
    app.passDays(0.001);
    await aProblem(app);
    await anOutbox(app).turn();
    expect(told(there).map(({ data }) => data.problem)).toEqual([2]);
  });

  it('keep a paused hook, a removed one and one that answers 410 from being called', async () => {
    const { app, there, outbox, lead, hook } = await started();
    await lead.post(`${hook.path}/pause`);
    expect((await lead.post(`${hook.path}/pause`)).status).toBe(409);
    expect((await lead.post(`${hook.path}/try`)).status).toBe(409);
    await aProblem(app);
    await outbox.turn();
    await lead.post(`${hook.path}/resume`);
    await outbox.turn();
    expect(there.calls).toEqual([]);
    there.answers.status = 410;
    await aProblem(app);
    await outbox.turn();
    expect(there.calls.length).toBe(1);
    expect((await lead.get(hook.path)).text).toContain('paused since');
    await aProblem(app);
    await outbox.turn();
    expect(there.calls.length).toBe(1);
    await lead.post(`${hook.path}/resume`);
    expect((await lead.get('/settings/hooks')).text).not.toContain('not taken');
    there.answers.status = 500;
    await aProblem(app);
    await outbox.turn();
    expect((await lead.get('/settings/hooks')).text).toContain('not taken, tried again');
    await lead.post(`${hook.path}/remove`);
    app.passDays(1);
    await outbox.turn();
    expect(there.calls.length).toBe(2);
    expect((await lead.get(hook.path)).status).toBe(404);
    expect((await lead.post(`${hook.path}/try`)).status).toBe(404);
  });

  it('two processes make one call, and a slow address keeps no other waiting', async () => {
    const { app, there, outbox, lead } = await started();
    const slow = await receiver();
    slow.answers.silent = true;
    await added(lead, slow.url);
    await aProblem(app);
    await Promise.all([outbox.turn(), anOutbox(app).turn()]);
    expect(there.calls.length).toBe(1);
    expect(slow.calls.length).toBe(1);
    const calls = await app.context.db.read.hookCall.findMany({ orderBy: { hookId: 'asc' } });
    expect(calls).toMatchObject([
      { state: 'delivered' },
      { state: 'waiting', lastError: 'No answer came within 3 seconds.' },
    ]);
  });

  it('have a page that shows the key once, and signs with the new one once it is made anew', async () => {
    const { app, there, outbox, lead, hook } = await started();
    expect((await lead.get(hook.path)).text).not.toContain('whsec_');
    const answer = await lead.post(`${hook.path}/key`);
    const page = (await lead.get(answer.headers.location!)).text
      .replaceAll('&#x2F;', '/')
      .replaceAll('&#x3D;', '=');
    const key = /whsec_[A-Za-z0-9+/=]+/.exec(page)![0];
    expect(key).not.toBe(hook.key);
    await lead.post(`${hook.path}/try`);
    await outbox.turn();
    const { headers, body } = there.calls[0]!;
    const sign = (written: string) =>
      `v1,${createHmac('sha256', Buffer.from(written.slice(6), 'base64'))
        .update(`${headers['webhook-id']}.${headers['webhook-timestamp']}.${body}`)
        .digest('base64')}`;
    expect(headers['webhook-signature']).toBe(sign(key));
    expect(headers['webhook-signature']).not.toBe(sign(hook.key));
    expect(JSON.parse(body)).toEqual({ type: 'test', timestamp: '2026-03-02T08:00:00.000Z', data: {} });
    const tables = JSON.stringify([
      await app.context.db.read.hook.findMany(),
      await app.context.db.read.act.findMany(),
    ]);
    expect(tables).not.toContain(key.slice(6, 20));
  });

  it('tell the second of two leads who change one', async () => {
    const { lead, hook, app } = await started();
    const seen = `${HOOK_KINDS.join(' ')} | our site`;
    expect((await lead.post(hook.path, { kinds: ['problem.seen'], note: 'a', seen })).status).toBe(303);
    const second = await lead.post(hook.path, { kinds: ['problem.cured'], note: 'mine', seen });
    expect(second.status).toBe(409);
    expect(second.text).toContain('value="mine"');
    expect(await app.context.db.read.hook.findFirst()).toMatchObject({
      kinds: '["problem.seen"]',
      note: 'a',
    });
  });

  it('refuse what does not fit at its field', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    expect((await lead.get('/settings/hooks')).text).toContain('None yet.');
    const fields = { url: 'https://example.org/told', kinds: ['problem.seen'], note: 'keep me' };
    for (const [change, sentence] of [
      [{ url: '' }, 'Type the address that is to be told.'],
      [{ url: 'example.org' }, 'Type a whole address, like https://example.org/told.'],
      [{ url: 'ftp://example.org' }, 'Type a whole address'],
      [{ url: 'javascript:alert(1)' }, 'Type a whole address'],
      [{ url: 'https://a:b@example.org' }, 'Leave user and password out'],
      [{ url: 'http://example.org' }, 'What goes to an address with http can be read'],
      [{ url: 'http://169.254.169.254/latest', open: 'yes' }, 'single machine’s own link'],
      [{ url: 'https://[fe80::1]/' }, 'single machine’s own link'],
      [{ kinds: [] }, 'Choose at least one thing to be told.'],
      [{ kinds: ['gossip'] }, 'Choose one of the list.'],
    ] as const) {
      const answer = await lead.post('/settings/hooks', { ...fields, ...change });
      expect(answer.status, JSON.stringify(change)).toBe(422);
      expect(answer.text).toContain(sentence);
      expect(answer.text).toContain('keep me');
    }
    expect(await app.context.db.read.hook.count()).toBe(0);
    expect((await lead.get('/settings/hooks/7')).status).toBe(404);
    expect((await lead.get('/settings/hooks/x')).status).toBe(404);
  });
});

describe('callHook', () => {
  it('follows no redirect', async () => {
    const [there, elsewhere] = [await receiver(), await receiver()];
    there.answers.status = 307;
    there.answers.headers = { location: elsewhere.url };
    expect(await callHook(there.url, {}, '{}')).toEqual({
      kind: 'wait',
      status: 307,
      words: 'It answered 307. It leads elsewhere, which is not followed.',
      askedMs: 0,
    });
    expect(elsewhere.calls).toEqual([]);
  });

  it('minds how long it is asked to wait', async () => {
    const there = await receiver();
    there.answers.status = 503;
    there.answers.headers = { 'retry-after': '120' };
    expect(await callHook(there.url, {}, '{}')).toMatchObject({
      kind: 'wait',
      status: 503,
      askedMs: 120_000,
    });
  });

  it('never calls a machine’s own link, however it is written', async () => {
    for (const url of [
      'http://169.254.1.1/',
      'http://2852039166/',
      'http://[::ffff:169.254.169.254]/',
      'http://[fe80::1]/',
    ]) {
      expect(await callHook(url, {}, '{}')).toMatchObject({
        kind: 'wait',
        status: null,
        words: expect.stringContaining('own link'),
      });
    }
  });

  it('tells nothing to who can’t prove to be the host, and follows a name to an address that it may call', async () => {
    // A server with TLS and a certificate that nobody vouches for; what it speaks behind that does not matter.
    const server = await mailServer('takes', { secure: true });
    expect(await callHook(`https://127.0.0.1:${server.port}/`, {}, '{}')).toMatchObject({
      kind: 'wait',
      words: expect.stringContaining('No protected connection could be made'),
    });
    const there = await receiver();
    const named = there.url.replace('127.0.0.1', 'localhost');
    expect(await callHook(named, {}, '{}')).toEqual({ kind: 'delivered', status: 204 });
  });

  it('says in plain words why nothing came', async () => {
    expect(await callHook('http://127.0.0.1:1/', {}, '{}')).toMatchObject({
      words: 'It takes no connection.',
    });
    expect(await callHook('http://nothing.invalid/', {}, '{}')).toMatchObject({
      words: expect.stringMatching(/Nothing of this name is found|could not be looked up/),
    });
  });
});
