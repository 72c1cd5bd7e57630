import { describe, expect, it } from 'vitest';
import { releaseRevision } from '../../src/drawings/index.ts';
import { answerQuery, askQuery } from '../../src/jobs/index.ts';
import { stopHeaders } from '../../src/outbox/compose.ts';
import { OutboxKeys } from '../../src/outbox/keys.ts';
import { comeToGathering, dropGathering, moveGathering } from '../../src/problems/index.ts';
import { postParcel } from '../../src/receiving/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { cast, castId } from '../support/cast.ts';
import { aDraft } from '../support/drawings.ts';
import { aClaim, aFabrication, anOfferedJob, asPerson, finished } from '../support/jobs.ts';
import { aGathering } from '../support/problems.ts';
import { anOutbox, letLettersLeave, lettersOf } from './an-outbox.ts';
import { mailServer, textOf } from './mail-server.ts';

async function started(change: Record<string, unknown> = {}) {
  const app = await startApp();
  const server = await mailServer();
  const lead = await letLettersLeave(app, server.port, change);
  return { app, server, lead, outbox: anOutbox(app) };
}

/** A published week with nothing in it. */
const FROZEN = {
  title: '',
  opening: '',
  closing: '',
  sections: [],
  thanks: [],
  finishOn: null,
  finishBefore: null,
};

async function published(
  { context }: TestApp,
  { week, ...text }: { week: string; title?: string; opening?: string },
) {
  const at = context.clock.now();
  const { id } = await context.db.write.bulletin.create({
    data: { week, frozen: JSON.stringify({ ...FROZEN, ...text }), publishedAt: at, createdAt: at },
  });
  const act = { at, kind: 'publish-bulletin', personId: 1, thingType: 'bulletin', thingId: id };
  await context.db.write.act.create({ data: { ...act, after: JSON.stringify({ week }) } });
}

const to = ({ taken }: { taken: { to: string[] }[] }) => taken.map((letter) => letter.to.join()).sort();

describe('letters', () => {
  it('tell lead and crew of a query, and everyone on the job of its answer, but never who did it', async () => {
    const { app, server, outbox } = await started();
    const { jobId } = await anOfferedJob(app, { quantity: 4 });
    await aClaim(app, { jobId, quantity: 2 });
    await aClaim(app, { jobId, quantity: 2, who: 'farid' });
    const queryId = await asPerson(app, 'imre', (act) =>
      askQuery(act, { jobId, question: 'Which side\n-- \nup?' }),
    );
    await outbox.turn();
    expect(to(server)).toEqual([cast.crew.email, cast.lead.email]);
    expect(textOf(server.taken[0]!)).toContain('> Which side\r\n> --\r\n> up?');
    expect(server.taken[0]!.raw).not.toContain(cast.imre.name);
    server.taken.length = 0;
    await asPerson(app, 'crew', (act) => answerQuery(act, { queryId, answer: 'The marked one.' }));
    await outbox.turn();
    await outbox.turn();
    expect(to(server)).toEqual([cast.farid.email, cast.imre.email].sort());
    expect(textOf(server.taken[0]!)).toContain(`http://127.0.0.1/jobs/${jobId}`);
    expect((await lettersOf(app)).map(({ state, body }) => [state, body])).toEqual(
      Array(4).fill(['sent', '']),
    );
  });

  it('ask a maker with an open claim to take a new revision up, once for all parts of one act', async () => {
    const { app, server, outbox } = await started();
    const job = await anOfferedJob(app);
    await aClaim(app, { jobId: job.jobId });
    const { revisionId } = await aDraft(app, { partId: job.partId, change: 'bore 26 H7' });
    await asPerson(app, 'lead', (act) => releaseRevision(act, { revisionId }));
    await outbox.turn();
    expect(to(server)).toEqual([cast.imre.email]);
    expect(server.taken[0]!.headers.subject).toMatch(/^A new revision: .*, revision B$/);
    expect(textOf(server.taken[0]!)).toContain('> bore 26 H7');
  });

  it('tell those who come that a gathering is moved or called off', async () => {
    const { app, server, outbox } = await started();
    const gatheringId = await aGathering(app, {
      title: 'Spring',
      fromOn: '2026-04-10',
      untilOn: '2026-04-12',
    });
    for (const who of ['imre', 'sunniva'] as const) {
      await asPerson(app, who, (act) => comeToGathering(act, { gatheringId, personId: castId[who] }));
    }
    await asPerson(app, 'lead', (act) =>
      moveGathering(act, { gatheringId, fromOn: '2026-04-17', untilOn: '2026-04-19' }),
    );
    await asPerson(app, 'lead', (act) => dropGathering(act, { gatheringId, reason: 'The hall is let.' }));
    await outbox.turn();
    expect(server.taken.map(({ headers }) => headers.subject).sort()).toEqual([
      'Spring is called off',
      'Spring is called off',
      'Spring is moved to 2026-04-17 to 2026-04-19',
      'Spring is moved to 2026-04-17 to 2026-04-19',
    ]);
    expect(textOf(server.taken[0]!)).toContain(
      '2026-04-10 to 2026-04-12 and is now 2026-04-17 to 2026-04-19',
    );
  });

  it('bring the bulletin to all who want it, as text and as HTML, with links that stop it', async () => {
    const { app, server, outbox } = await started();
    const imre = await app.as('imre');
    await imre.post('/me/mail', { kinds: ['reminder', 'revision'] });
    const week = '2026-03-01';
    await published(app, { week, title: 'Rings & <arms>', opening: 'We *need* hands.' });
    await outbox.turn();
    await outbox.turn();
    expect(to(server)).toEqual(
      [cast.crew, cast.farid, cast.lead, cast.sunniva].map(({ email }) => email).sort(),
    );
    const letter = server.taken.find((one) => one.to[0] === cast.farid.email)!;
    expect(textOf(letter)).toContain(`http://127.0.0.1/bulletin/${week}`);
    expect(textOf(letter, 'text/html')).toContain('<em>need</em>');
    expect(textOf(letter, 'text/html')).toContain('<title>Rings &amp; &lt;arms&gt;</title>');
    expect(letter.headers.subject).toBe('Rings & <arms>');
    const stop = /^<(http:\/\/127\.0\.0\.1\/mail\/stop\/[\w-]+)>$/.exec(
      letter.headers['list-unsubscribe']!,
    )?.[1];
    expect(textOf(letter, 'text/html')).toContain(stop);
    // RFC 8058, 3.1: with one click only over https.
    expect(letter.headers['list-unsubscribe-post']).toBeUndefined();
    const visitor = app.visitor();
    const path = new URL(stop!).pathname;
    expect((await visitor.get(path)).text).toContain('Stop letters of this kind');
    expect(
      (await app.context.db.read.person.findUniqueOrThrow({ where: { id: castId.farid } })).mailOff,
    ).toBe('[]');
    // As a mail program sends it: no cookie, no token, another origin.
    const click = await visitor.agent
      .post(path)
      .set('origin', 'https://mail.example')
      .type('form')
      .send('List-Unsubscribe=One-Click');
    expect(click.status).toBe(200);
    expect(
      (await app.context.db.read.person.findUniqueOrThrow({ where: { id: castId.farid } })).mailOff,
    ).toBe('["bulletin"]');
    expect((await visitor.get(path)).text).toContain('These letters are stopped');
    for (const wrong of [
      path.replace(/.$/, (end) => (end === 'A' ? 'B' : 'A')),
      path.replace('bulletin', 'reminder'),
      '/mail/stop/x',
    ]) {
      expect((await visitor.get(wrong)).status, wrong).toBe(404);
      expect((await visitor.agent.post(wrong)).status, wrong).toBe(404);
    }
  });

  it('bring an invitation to its address, whose link is in no table, and forget the address with the link', async () => {
    const { app, server, outbox, lead } = await started();
    expect(
      (await lead.post('/people/invitations', { role: 'maker', note: 'x', email: 'New@Example.org' })).status,
    ).toBe(303);
    await outbox.turn();
    expect(to(server)).toEqual(['new@example.org']);
    expect((await lead.get('/people/links/1')).text).toContain('It was mailed to new@example.org.');
    const link = /http:\/\/127\.0\.0\.1(\/invitation\/[\w-]+)/.exec(textOf(server.taken[0]!))?.[1];
    const secret = link!.split('/')[2]!;
    const tables = JSON.stringify([
      await app.context.db.read.letter.findMany(),
      await app.context.db.read.ticket.findMany(),
      await app.context.db.read.act.findMany(),
    ]);
    expect(tables).not.toContain(secret);
    expect(JSON.stringify(await app.context.db.read.act.findMany())).not.toContain('new@example.org');
    const visitor = app.visitor();
    const answer = await visitor.post(link!, {
      name: 'Neu',
      email: 'new@example.org',
      country: 'DE',
      password: 'a long password',
    });
    expect(answer.status).toBe(303);
    expect((await app.context.db.read.ticket.findFirstOrThrow()).email).toBe('');
    const bad = await lead.post('/people/invitations', {
      role: 'maker',
      note: 'keep me',
      email: 'no address',
    });
    expect(bad.status).toBe(422);
    expect(bad.text).toContain('Type a mail address, like ada@example.org.');
    expect(bad.text).toContain('keep me');
  });

  it('of an invitation taken back before it left, none comes', async () => {
    const { app, server, outbox, lead } = await started();
    const made = await lead.post('/people/invitations', {
      role: 'maker',
      note: '',
      email: 'new@example.org',
    });
    await lead.post(`${made.headers.location}/take-back`);
    await outbox.turn();
    expect(server.taken).toEqual([]);
    expect((await lettersOf(app)).length).toBe(0);
  });

  it('come only of the kinds that the lead lets leave, and not of what happened while they were off', async () => {
    const { app, server, outbox } = await started({ kinds: ['answer'] });
    const { jobId } = await anOfferedJob(app);
    const ask = () => asPerson(app, 'imre', (act) => askQuery(act, { jobId, question: 'Which?' }));
    const first = await ask();
    await outbox.turn();
    expect(server.taken).toEqual([]);
    await asPerson(app, 'lead', (act) => answerQuery(act, { queryId: first, answer: 'This.' }));
    await outbox.turn();
    expect(to(server)).toEqual([cast.imre.email]);
    await letLettersLeave(app, server.port, { on: '' });
    await ask();
    await outbox.turn();
    app.passDays(0.01);
    await letLettersLeave(app, server.port);
    await outbox.turn();
    expect(server.taken.length).toBe(1);
    await ask();
    await outbox.turn();
    expect(server.taken.length).toBe(3);
  });

  it('are dropped when their reader has left, closed the account, or stopped them meanwhile', async () => {
    const { app, server, outbox, lead } = await started();
    const { jobId } = await anOfferedJob(app, { quantity: 3 });
    for (const who of ['imre', 'sunniva', 'farid'] as const) await aClaim(app, { jobId, quantity: 1, who });
    const queryId = await asPerson(app, 'crew', (act) => askQuery(act, { jobId, question: 'Which?' }));
    await asPerson(app, 'lead', (act) => answerQuery(act, { queryId, answer: 'This.' }));
    await server.close();
    await outbox.turn();
    expect((await lettersOf(app)).filter(({ state }) => state === 'waiting').length).toBe(5);
    await lead.post(`/people/${castId.imre}/close`);
    await (await app.as('sunniva')).post('/me/mail', { kinds: [] });
    app.passDays(0.1);
    outbox.wakeUp();
    const again = await mailServer('takes', { port: server.port });
    await outbox.turn();
    expect(to(again)).toEqual([cast.crew, cast.farid, cast.lead].map(({ email }) => email).sort());
    const dropped = (await lettersOf(app)).filter(({ state }) => state === 'dropped');
    expect(dropped.map(({ personId, body }) => [personId, body])).toEqual([
      [castId.imre, ''],
      [castId.sunniva, ''],
    ]);
  });
});

describe('stopHeaders', () => {
  // RFC 2369, 3.2: the address in angle brackets; RFC 8058, 2: one click over https alone, by this line.
  it('name the address that stops such letters, with one click where it is protected', () => {
    expect(stopHeaders('https://build.example/mail/stop/x')).toEqual({
      'List-Unsubscribe': '<https://build.example/mail/stop/x>',
      'List-Unsubscribe-Post': 'List-Unsubscribe=One-Click',
    });
    expect(Object.keys(stopHeaders('http://build.example/mail/stop/x'))).toEqual(['List-Unsubscribe']);
  });
});

describe('what is personal', () => {
  it('goes with the letters of who has left, and with an invitation that is too old', async () => {
    const { app, outbox, server, lead } = await started();
    const { jobId } = await anOfferedJob(app);
    await asPerson(app, 'sunniva', (act) => askQuery(act, { jobId, question: 'Which?' }));
    const [queryId] = (await app.context.db.read.query.findMany()).map(({ id }) => id);
    await asPerson(app, 'lead', (act) => answerQuery(act, { queryId: queryId!, answer: 'This.' }));
    server.manners({ refuses: 'RCPT', code: 550, words: 'no' });
    await outbox.turn();
    await server.close();
    await lead.post('/people/invitations', { role: 'maker', note: '', email: 'new@example.org' });
    await outbox.turn();
    expect((await lead.post(`/people/${castId.sunniva}/forget`, { sure: 'yes' })).status).toBe(303);
    app.passDays(15);
    await outbox.turn();
    const letters = await lettersOf(app);
    expect(letters.filter(({ personId }) => personId === castId.sunniva)).toMatchObject([
      { state: 'dropped', subject: '', body: '', lastError: '' },
    ]);
    expect(await app.context.db.read.ticket.findFirst()).toMatchObject({ email: '' });
    expect((await lead.get('/settings/mail')).text).not.toContain('new@example.org');
  });

  it('goes no further than the link: a program that posts it by itself in either form stops that kind alone', async () => {
    const app = await startApp();
    const keys = new OutboxKeys(app.context.settings.dataDir);
    const { agent } = app.visitor();
    // RFC 8058, 3.2: the body is one of these two.
    const form = await agent
      .post(keys.stopPath(castId.imre, 'bulletin'))
      .type('form')
      .send('List-Unsubscribe=One-Click');
    expect(form.status).toBe(200);
    const parts = await agent
      .post(keys.stopPath(castId.imre, 'answer'))
      .field('List-Unsubscribe', 'One-Click');
    expect(parts.status).toBe(200);
    const person = await app.context.db.read.person.findUniqueOrThrow({ where: { id: castId.imre } });
    expect(JSON.parse(person.mailOff)).toEqual(['bulletin', 'answer']);
    expect(form.text).not.toContain(cast.imre.name);
    const other = keys.stopPath(castId.imre, 'bulletin').replace(`/${castId.imre}-`, `/${castId.crew}-`);
    expect((await agent.post(other).type('form').send('a=b')).status).toBe(404);
  });

  it('a form from elsewhere is still refused everywhere but at the link that stops letters', async () => {
    const app = await startApp();
    const { agent } = app.visitor();
    for (const path of ['/sign-in', '/settings/mail', '/me/mail', '/no/such/page']) {
      const answer = await agent.post(path).type('form').send('a=b');
      expect(answer.status, path).toBe(403);
    }
  });
});

describe('reminders', () => {
  async function reminded(): Promise<{
    app: TestApp;
    server: Awaited<ReturnType<typeof mailServer>>;
    claimId: number;
    jobId: number;
  }> {
    const { app, server } = await started();
    const claim = await aClaim(app, { likelyDays: 20 });
    return { app, server, ...claim };
  }

  it('are made once a day after seven in the morning where the build is, each thing once', async () => {
    const { app, server, jobId } = await reminded();
    // Promised for 22 March; from 16 March on it has been silent for fourteen days.
    app.setNow('2026-03-19T05:59:00Z'); // 6:59 in Oslo
    const outbox = anOutbox(app);
    await outbox.turn();
    expect(server.taken).toEqual([]);
    app.setNow('2026-03-19T06:01:00Z');
    for (let turns = 0; turns < 3; turns += 1) await outbox.turn();
    // Another process, or this one started anew, the same morning.
    await anOutbox(app).turn();
    expect(to(server)).toEqual([cast.imre.email]);
    const text = textOf(server.taken[0]!);
    expect(text).toContain('falls on 22 Mar, in 3 days. Nothing is reported finished yet');
    expect(text).toContain(`http://127.0.0.1/jobs/${jobId}`);
    app.setNow('2026-03-20T08:00:00Z');
    await outbox.turn();
    expect(textOf(server.taken[1]!)).toContain('Nothing was heard of');
    for (const day of ['21', '22', '23', '24', '25', '26', '27', '28', '29']) {
      app.setNow(`2026-03-${day}T08:00:00Z`);
      await outbox.turn();
    }
    expect(server.taken.length).toBe(2);
    app.setNow('2026-03-30T08:00:00Z');
    await outbox.turn();
    expect(textOf(server.taken[2]!)).toContain('for 28 days');
  });

  it('wait while somebody is away, or has sent a first piece that nobody looked at', async () => {
    const { app, server } = await reminded();
    await app.context.db.write.away.create({
      data: { personId: castId.imre, fromOn: '2026-03-18', untilOn: '2026-03-19' },
    });
    const first = await anOfferedJob(app, { quantity: 4, firstPiece: true });
    const { claimId } = await aClaim(app, { jobId: first.jobId, who: 'farid', likelyDays: 17 });
    await finished(app, { who: 'farid', claimId, quantity: 1 });
    await asPerson(app, 'farid', (act) =>
      postParcel(act, {
        fromId: castId.farid,
        lines: [{ claimId, milli: 1000 }],
        carrier: '',
        tracking: '',
        note: '',
        sentOn: '2026-03-02',
      }),
    );
    const outbox = anOutbox(app);
    app.setNow('2026-03-19T08:00:00Z');
    await outbox.turn();
    expect(server.taken).toEqual([]);
    app.setNow('2026-03-20T08:00:00Z');
    await outbox.turn();
    expect(to(server)).toEqual([cast.imre.email]);
  });

  it('leave alone who reports or posted, and tell of the day the machine needs it', async () => {
    const { app, server, claimId } = await reminded();
    app.setNow('2026-03-18T08:00:00Z');
    await finished(app, { claimId, quantity: 2 });
    app.setNow('2026-03-19T08:00:00Z');
    await anOutbox(app, { needByOn: '2026-03-21' }).turn();
    expect(server.taken).toEqual([]);
    app.setNow('2026-03-21T08:00:00Z');
    await anOutbox(app, { needByOn: '2026-03-24' }).turn();
    expect(textOf(server.taken[0]!)).toContain('is needed in the post by 24 Mar');
  });

  it('come before a gathering, to those who come, and after a week without an answer to a revision', async () => {
    const { app, server, outbox } = await started();
    const gatheringId = await aGathering(app, {
      title: 'Spring',
      fromOn: '2026-03-12',
      untilOn: '2026-03-14',
    });
    await asPerson(app, 'imre', (act) => comeToGathering(act, { gatheringId, personId: castId.imre }));
    const job = await anOfferedJob(app);
    await aClaim(app, { jobId: job.jobId, who: 'farid' });
    const { revisionId } = await aDraft(app, { partId: job.partId });
    await asPerson(app, 'lead', (act) => releaseRevision(act, { revisionId }));
    await outbox.turn();
    server.taken.length = 0;
    app.setNow('2026-03-09T08:00:00Z');
    await outbox.turn();
    expect(to(server)).toEqual([cast.farid.email, cast.imre.email].sort());
    const words = server.taken.map((letter) => textOf(letter)).join('\n');
    expect(words).toContain('Spring begins on 12 Mar, in 3 days.');
    expect(words).toContain('has revision B since 2 Mar. Say whether you take it up');
  });
});

describe('Teller', () => {
  it('tells of the other acts when one can’t be told of, and says so', async () => {
    const { app, server } = await started();
    const faults: unknown[] = [];
    const outbox = anOutbox(app, { faults });
    const { jobId } = await aFabrication(app);
    await app.context.db.write.act.create({
      data: {
        at: app.context.clock.now(),
        kind: 'change-gathering',
        after: 'not JSON',
        thingType: 'gathering',
        thingId: 1,
      },
    });
    await aGathering(app);
    await asPerson(app, 'crew', (act) => askQuery(act, { jobId, question: 'Which?' }));
    await app.context.db.write.act.create({
      data: { at: new Date(1), kind: 'answer-query', after: 'not JSON', thingType: 'query', thingId: 1 },
    });
    await outbox.turn();
    expect(to(server)).toEqual([cast.lead.email]);
    expect(faults.length).toBeGreaterThan(0);
    await outbox.turn();
    expect(faults.length).toBe(2);
  });

  it('sends the other letters when one can’t be written, and says so', async () => {
    const { app, server } = await started();
    const faults: unknown[] = [];
    const outbox = anOutbox(app, { faults });
    const at = app.context.clock.now();
    await app.context.db.write.bulletin.create({
      data: { week: '2026-03-01', frozen: 'not JSON', publishedAt: at, createdAt: at },
    });
    await app.context.db.write.letter.create({
      data: {
        key: 'bulletin:2026-03-01:2',
        kind: 'bulletin',
        personId: 2,
        subject: 'x',
        body: '',
        nextAt: at,
        createdAt: at,
      },
    });
    const { jobId } = await aFabrication(app);
    await asPerson(app, 'lead', (act) => askQuery(act, { jobId, question: 'Which?' }));
    await outbox.turn();
    expect(to(server)).toEqual([cast.crew.email]);
    expect(faults.length).toBe(1);
    expect((await lettersOf(app)).map(({ state }) => state)).toEqual(['refused', 'sent']);
  });

  it('makes a letter of a bulletin for each of 205 people, once, and asks a server that is away once', async () => {
    const { app, server, outbox } = await started();
    const at = app.context.clock.now();
    await app.context.db.write.person.createMany({
      data: Array.from({ length: 200 }, (_, n) => ({
        role: 'maker',
        name: `Person ${n}`,
        email: `p${n}@example.org`,
        createdAt: at,
      })),
    });
    await server.close();
    await published(app, { week: '2026-03-01' });
    // A week is published once; should the log say it twice, it is told once.
    await app.context.db.write.act.create({
      data: { at, kind: 'publish-bulletin', personId: 2, after: '{"week":"2026-03-01"}' },
    });
    await outbox.turn();
    const letters = await lettersOf(app);
    expect(letters.length).toBe(205);
    expect(new Set(letters.map(({ personId }) => personId)).size).toBe(205);
    expect(
      letters.every(
        ({ state, lastError }) => state === 'waiting' && lastError.startsWith('The mail server takes no'),
      ),
    ).toBe(true);
  });
});
