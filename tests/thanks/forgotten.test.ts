import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { forgetPerson } from '../../src/accounts/forget-person.ts';
import { sweepExpired } from '../../src/accounts/index.ts';
import { askQuery, correctReport, handBack, reportWork } from '../../src/jobs/index.ts';
import { askDecision, comeToGathering } from '../../src/problems/index.ts';
import { postParcel } from '../../src/receiving/index.ts';
import { type Browser, startApp, type TestApp } from '../support/app.ts';
import { CAST_PASSWORD, castId } from '../support/cast.ts';
import { aClaim, anOfferedJob, anotherJob, asPerson, finished } from '../support/jobs.ts';
import { aGathering } from '../support/problems.ts';
import { aDeliveredClaim, checked, todayIn } from '../support/receiving.ts';

/** Everything of one person that could be found again, each by a word that stands nowhere else. */
const OWN = {
  name: 'Zebulon Quirk',
  email: 'zebulon@quirk.example',
  reach: '+64 555 0177',
  address: '9 Wombat Rise',
  alias: 'Thundermill',
  about: 'I keep aardvarks.',
  thanksWords: 'I filed the okapi wheel.',
  tool: 'Narwhal lathe',
  toolNote: 'under the pangolin shed',
  away: 'with my axolotl',
  skills: 'quokka scraping',
  claimNote: 'leave it with the platypus',
  tracking: 'RRXQ99117NZ',
  invited: 'that tapir from the fair',
  stranger: 'ocelot mill',
  letter: 'Capybara news',
  refused: '550 no mailbox',
  remark: 'sulks since the wombat fell',
};
const WORDS = new RegExp(
  [
    ...Object.values(OWN),
    'Zebulon',
    'Quirk',
    'Wombat',
    'aardvark',
    'okapi',
    'Narwhal',
    'pangolin',
    'axolotl',
    'quokka',
    'platypus',
    'tapir',
    'ocelot',
    'Capybara',
    'sulks',
  ]
    .map((word) => word.replace(/[.*+?^${}()|[\]\\]/g, '\\$&'))
    .join('|'),
);

/** Every row of every table that holds one of the words. */
function rowsWith({ context }: TestApp, words: RegExp): string[] {
  const { hot } = context.db;
  const tables = hot.prepare<[], string>("SELECT name FROM sqlite_master WHERE type = 'table'").pluck().all();
  return tables.flatMap((table) =>
    hot
      .prepare<[], Record<string, unknown>>(`SELECT * FROM "${table}"`)
      .all()
      .map((row) => JSON.stringify(row))
      .filter((text) => words.test(text))
      .map((text) => `${table}: ${text}`),
  );
}

/** Every page that can be reached by links from the given ones, each once, with its text. */
async function walk(browser: Browser, from: string[]): Promise<Map<string, string>> {
  const seen = new Map<string, string>();
  const waiting = [...from];
  while (waiting.length > 0 && seen.size < 110) {
    const path = waiting.shift()!;
    if (seen.has(path)) continue;
    const { text, body, headers, status } = await browser.get(path);
    seen.set(path, `${text ?? ''}${Buffer.isBuffer(body) ? body.toString('utf8') : JSON.stringify(body)}`);
    expect([200, 303, 304, 403, 404], path).toContain(status);
    if (!String(headers['content-type']).startsWith('text/html')) continue;
    for (const [, href] of text.matchAll(/href="(\/[^"#]*)/g)) {
      const next = href!.replaceAll('&amp;', '&');
      // Letters of a page with filters lead to ever more filters: each path once with and once without is enough.
      if (!/^\/(static|libraries)\//.test(next) && !(next.includes('?') && seen.size > 40))
        waiting.push(next);
    }
  }
  return seen;
}

async function aWholeLife(test: TestApp) {
  const { db } = test.context;
  const { imre } = castId;
  const claim = await aDeliveredClaim(test, {
    tracking: OWN.tracking,
    jobWish: { part: { name: 'Planet gear' } },
  });
  await checked(test, { lineId: claim.lineId, units: [1, 2, 3, 4] });
  await asPerson(test, 'imre', (act) => askQuery(act, { jobId: claim.jobId, question: 'Which side?' }));
  const tried = await aClaim(test, { quantity: 1, note: OWN.claimNote });
  await asPerson(test, 'imre', (act) =>
    reportWork(act, test.context.files, { claimId: tried.claimId, milli: 1000, words: 'done', hours: 2 }),
  );
  const sentOn = await todayIn(test);
  const lines = [{ claimId: tried.claimId, milli: 1000 }];
  const parcel = { fromId: imre, lines, carrier: '', tracking: '', note: '', sentOn };
  await asPerson(test, 'imre', (act) => postParcel(act, parcel));
  const held = await aGathering(test, {
    fromOn: '2026-03-02',
    untilOn: '2026-03-02',
    title: 'Winter fit-up',
  });
  const ahead = await aGathering(test);
  for (const gatheringId of [held, ahead])
    await asPerson(test, 'imre', (act) =>
      comeToGathering(act, { gatheringId, personId: imre, skills: OWN.skills }),
    );
  const jobId = await anotherJob(test, { personId: imre });
  await asPerson(test, 'lead', (act) => askDecision(act, { question: 'Oil or grease?', options: [] }));
  const offered = await anOfferedJob(test);

  const browser = await test.as('imre');
  const details = { name: OWN.name, email: OWN.email, reach: OWN.reach, address: OWN.address, country: 'NZ' };
  await browser.post('/me', {
    ...details,
    thanksBy: 'alias',
    alias: OWN.alias,
    weeklyHours: '4',
    lengthUnit: 'mm',
    about: OWN.about,
  });
  await browser.post('/me/thanks-words', { thanksWords: OWN.thanksWords });
  await browser.post(`/makers/${imre}/tools`, {
    name: OWN.tool,
    note: OWN.toolNote,
    processId: '',
    materials: '',
  });
  await browser.post(`/makers/${imre}/away`, { fromOn: '2026-05-01', untilOn: '2026-05-03', note: OWN.away });
  // What other parts of the program keep of somebody, as they keep it.
  const at = test.context.clock.now();
  const { write } = db;
  await write.act.create({ data: { at, kind: 'accept-invitation', aboutId: imre } });
  const ticket = { kind: 'invitation', createdAt: at, expiresAt: at };
  await write.ticket.create({
    data: { ...ticket, hash: 'a', usedAt: at, note: OWN.invited, email: OWN.email },
  });
  const ask = {
    jobId: offered.jobId,
    tools: OWN.stranger,
    milli: 1000,
    soonestDays: 1,
    likelyDays: 2,
    latestDays: 3,
    at,
  };
  await write.strangerOffer.create({ data: { ...ask, name: OWN.name, reach: OWN.email } });
  const letter = {
    kind: 'query',
    personId: imre,
    subject: OWN.letter,
    body: OWN.letter,
    nextAt: at,
    createdAt: at,
  };
  await write.letter.create({ data: { ...letter, key: 'one' } });
  await write.letter.create({
    data: { ...letter, key: 'two', state: 'refused', lastError: `${OWN.refused} ${OWN.email}` },
  });
  await write.build.update({ where: { id: 1 }, data: { postContact: `Ask for ${OWN.name}` } });
  await write.mailSettings.upsert({
    where: { id: 1 },
    create: { fromEmail: OWN.email, fromName: OWN.name, user: OWN.email, on: true },
    update: { fromEmail: OWN.email, fromName: OWN.name, user: OWN.email, on: true },
  });
  await write.decision.updateMany({ data: { deciderId: imre } });
  await write.packingLine.create({
    data: { gatheringId: ahead, key: 'typed:1', words: 'a vice', personId: imre },
  });
  return { browser, claim, held, ahead, jobId };
}

describe('forgetting a person', () => {
  it('leaves no word of theirs in any table, page, feed, calendar or export, and what they did whole', async () => {
    const test = await startApp();
    const { db } = test.context;
    const { browser, claim, held, ahead, jobId } = await aWholeLife(test);
    const { text } = await browser.get('/calendar');
    const calendar = new URL(/http:\/\/127\.0\.0\.1\/calendar\/[^<?"\s]+\.ics/.exec(text)![0]).pathname;
    const lead = await test.as('lead');
    test.setNow('2026-03-09T08:00:00Z');
    await lead.post('/bulletin/2026-03-08', { title: '', opening: 'Hello', closing: '', version: '0' });
    const passedOver = JSON.stringify([
      { person: castId.imre, why: OWN.remark },
      { person: castId.crew, why: 'stays' },
    ]);
    await db.write.bulletin.updateMany({ data: { passedOver } });
    expect((await lead.post('/bulletin/2026-03-08/publish', { version: '1' })).status).toBe(303);
    const [, fed] = [...(await walk(test.visitor(), ['/bulletin/feed.atom']))][0]!;
    expect(fed).toContain(OWN.alias);
    expect((await test.visitor().get('/thanks')).text).toContain(OWN.thanksWords);
    // Each of the words is found before: the search would find it after.
    const before = rowsWith(test, WORDS).join('\n');
    for (const word of Object.values(OWN)) expect(before, word).toContain(word);
    const acts = await db.read.act.count();

    const gone = await browser.post('/me/forget', { sure: 'yes', presentPassword: CAST_PASSWORD });
    expect(gone.status).toBe(303);
    expect(rowsWith(test, WORDS)).toEqual([]);
    const pages = new Map([
      ...(await walk(lead, [
        '/',
        '/people',
        '/people/3',
        '/makers',
        '/makers/3',
        '/log',
        '/exchange/everything.json',
        '/exchange/log.csv',
        '/exchange',
        `/jobs/${claim.jobId}`,
      ])),
      ...(await walk(test.visitor(), [
        '/bulletin',
        '/bulletin/2026-03-08',
        '/offers',
        '/thanks',
        '/calendar',
        '/feed.atom',
        '/gatherings.ics',
      ])),
    ]);
    for (const path of [
      '/exchange/everything.json',
      '/exchange/log.csv',
      '/gatherings.ics',
      '/feed.atom',
      '/log',
    ])
      expect([...pages.keys()], path).toContain(path);
    expect(pages.size).toBeGreaterThan(60);
    expect([...pages].filter(([, page]) => WORDS.test(page)).map(([path]) => path)).toEqual([]);
    expect((await test.visitor().get(calendar)).status).toBe(404);
    expect(
      (await test.visitor().post('/sign-in', { email: OWN.email, password: CAST_PASSWORD })).status,
    ).toBe(422);

    // Nor do the files of the database hold them any more, in pages that are free or in the journal.
    for (const name of ['farwright.db', 'farwright.db-wal']) {
      const path = join(test.context.settings.dataDir, name);
      expect(
        existsSync(path) ? WORDS.exec(readFileSync(path, 'latin1'))?.[0] : undefined,
        name,
      ).toBeUndefined();
    }

    // What was done stays.
    expect(await db.read.act.count()).toBe(acts + 3);
    const thanks = (await test.visitor().get('/thanks')).text;
    expect(thanks).toContain('1 who has left');
    expect(thanks).toContain('4 pieces of Planet gear');
    expect(thanks).toContain('1 gathering come to');
    expect((await lead.get(`/jobs/${claim.jobId}`)).text).toContain('someone who has left');
    const comers = await db.read.comer.findMany({ orderBy: { gatheringId: 'asc' } });
    expect(comers.map(({ gatheringId, cancelledAt }) => [gatheringId, cancelledAt !== null])).toEqual([
      [held, false],
      [ahead, true],
    ]);
    // What waited for them waits for anybody.
    expect((await db.read.job.findUniqueOrThrow({ where: { id: jobId } })).personId).toBeNull();
    expect((await db.read.decision.findFirstOrThrow()).deciderId).toBeNull();
    expect((await db.read.packingLine.findFirstOrThrow()).personId).toBeNull();
    expect(
      (await db.read.letter.findMany({ orderBy: { key: 'asc' } })).map(({ key, state }) => [key, state]),
    ).toEqual(
      expect.arrayContaining([
        ['one', 'dropped'],
        ['two', 'refused'],
      ]),
    );
    expect(await db.read.mailSettings.findUniqueOrThrow({ where: { id: 1 } })).toMatchObject({
      on: false,
      fromEmail: '',
    });
  }, 120_000);

  it('is refused while pieces of theirs are unfinished, and changes nothing then', async () => {
    const test = await startApp();
    const { jobId } = await aClaim(test);
    const imre = await test.as('imre');
    const { status, text } = await imre.post('/me/forget', { sure: 'yes', presentPassword: CAST_PASSWORD });
    expect(status).toBe(409);
    expect(text).toContain(`Hand back the unfinished claims first: job ${jobId}.`);
    const person = await test.context.db.read.person.findUniqueOrThrow({ where: { id: castId.imre } });
    expect([person.name, person.forgottenAt]).toEqual(['Imre Kovacs', null]);
  });

  it('is refused while pieces are made and not posted, and goes once they are taken back', async () => {
    const test = await startApp();
    const { jobId, claimId } = await aClaim(test, { quantity: 2 });
    await finished(test, { claimId, quantity: 1 });
    const lead = await test.as('lead');
    const forget = () => lead.post(`/people/${castId.imre}/forget`, { sure: 'yes' });
    const both = await forget();
    expect(both.status).toBe(409);
    expect(both.text).toContain(`Hand back the unfinished claims first: job ${jobId}.`);
    expect(both.text).toContain(`Post what is made first, or take the report of it back`);
    await asPerson(test, 'imre', (act) => handBack(act, { claimId, milli: 1000 }));
    const made = await forget();
    expect([made.status, made.text.includes('Hand back the unfinished')]).toEqual([409, false]);
    await asPerson(test, 'lead', (act) => correctReport(act, { claimId, milli: 1000, words: '' }));
    await asPerson(test, 'lead', (act) => handBack(act, { claimId, milli: 1000 }));
    expect((await forget()).status).toBe(303);
  });

  it('is done by the lead without a password, once', async () => {
    const test = await startApp();
    const lead = await test.as('lead');
    expect((await lead.post(`/people/${castId.farid}/forget`, { sure: 'yes' })).status).toBe(303);
    await asPerson(test, 'lead', (act) => forgetPerson(act, castId.farid));
    expect(await test.context.db.read.act.count({ where: { kind: 'forget-person' } })).toBe(1);
  });

  it('leaves one lead where both go at the same moment', async () => {
    const test = await startApp();
    const lead = await test.as('lead');
    await lead.post(`/people/${castId.crew}/role`, { role: 'lead' });
    const both = [lead, await test.as('crew')];
    const form = { sure: 'yes', presentPassword: CAST_PASSWORD };
    const answers = await Promise.all(both.map((one) => one.post('/me/forget', form)));
    expect(answers.map(({ status }) => status).sort()).toEqual([303, 409]);
    const left = { role: 'lead', forgottenAt: null, deactivatedAt: null };
    expect(await test.context.db.read.person.count({ where: left })).toBe(1);
  });

  it('leaves settings alone that name nobody who leaves', async () => {
    const test = await startApp();
    const { write, read } = test.context.db;
    await write.build.update({
      where: { id: 1 },
      data: { postAddress: 'The barn, Fjord', postContact: 'Ottilie' },
    });
    await asPerson(test, 'lead', (act) => forgetPerson(act, castId.farid));
    expect(await read.build.findUniqueOrThrow({ where: { id: 1 } })).toMatchObject({
      postAddress: 'The barn, Fjord',
      postContact: 'Ottilie',
    });
  });
});

describe('sweepExpired', () => {
  it('wipes what was noted on a link that is too old, and keeps it on one that is open', async () => {
    const test = await startApp();
    const lead = await test.as('lead');
    await lead.post('/people/invitations', { role: 'maker', note: OWN.invited });
    await sweepExpired(test.context.db, test.context.clock);
    expect(rowsWith(test, /tapir/)).toHaveLength(1);
    test.passDays(15);
    await sweepExpired(test.context.db, test.context.clock);
    expect(rowsWith(test, /tapir/)).toEqual([]);
  });
});
