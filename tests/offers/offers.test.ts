import { describe, expect, it } from 'vitest';
import { robotSign, shownMark } from '../../src/offers/robot-guard.ts';
import { type Browser, startApp, type TestApp } from '../support/app.ts';
import { aClaim, anOfferedJob } from '../support/jobs.ts';

const now = new Date('2026-03-02T08:00:00Z');
const later = (ms: number) => new Date(now.getTime() + ms);

describe('robotSign', () => {
  it('lets a person pass, and says why it stops the rest', () => {
    const mark = shownMark('key', now);
    expect(robotSign('key', mark, '', later(60_000))).toBeNull();
    expect(robotSign('key', mark, '', later(1000))).toContain('quicker than a person types');
    expect(robotSign('key', mark, '', later(25 * 3_600_000))).toContain('more than a day');
    expect(robotSign('key', mark, 'http://x', later(60_000))).toContain('Leave the last field empty');
    expect(robotSign('other', mark, '', later(60_000))).toContain('too old');
    expect(robotSign('key', `${now.getTime() - 1}.${mark.split('.')[1]}`, '', later(60_000))).toContain(
      'too old',
    );
    for (const wrong of ['', '.', 'x', '1.2.3'])
      expect(robotSign('key', wrong, '', now)).toContain('too old');
  });
});

const ask = {
  name: 'Noor <b>',
  reach: 'noor@example.org',
  country: 'be',
  tools: 'A small lathe',
  quantity: '3',
  soonestDays: '7',
  likelyDays: '10',
  latestDays: '21',
  words: '',
  website: '',
};

/** Opens an offer's page and, a minute later, sends the form. */
async function send(test: TestApp, one: Browser, jobId: number, fields: Record<string, string> = {}) {
  const { text } = await one.get(`/offers/${jobId}`);
  const shown = /name="shown" value="([^"]+)"/.exec(text)![1]!;
  test.passDays(60 / 86_400);
  return one.post(`/offers/${jobId}`, { ...ask, shown, ...fields });
}

describe('an offer', () => {
  it('is open to visitors, with what is needed to make it and no private details', async () => {
    const test = await startApp();
    const { jobId } = await anOfferedJob(test, { quantity: 4 });
    const list = await test.visitor().get('/offers');
    expect(list.status).toBe(200);
    expect(list.text).toContain(`/offers/${jobId}`);
    const page = await test.visitor().get(`/offers/${jobId}`);
    expect(page.text).toContain('4 pieces');
    expect(page.text).toContain('/documents/');
    expect(page.text).toContain('Cautions');
    expect(page.text).not.toMatch(/example\.org|Hill Road|Ottilie/);
    const file = /\/documents\/\d+/.exec(page.text)![0];
    expect((await test.visitor().get(file)).status).toBe(200);
  });

  it('goes when all of it is claimed', async () => {
    const test = await startApp();
    const offered = await anOfferedJob(test, { quantity: 2 });
    await aClaim(test, { jobId: offered.jobId, quantity: 2 });
    expect((await test.visitor().get('/offers')).text).toContain('Nothing is offered right now');
    expect((await test.visitor().get(`/offers/${offered.jobId}`)).status).toBe(404);
  });

  it('is called for in plain text by the lead', async () => {
    const test = await startApp();
    const { jobId } = await anOfferedJob(test, { quantity: 4 });
    const { text } = await (await test.as('lead')).get(`/offers/${jobId}/call`);
    expect(text).toContain(`http://127.0.0.1/offers/${jobId}`);
    expect(text).toContain('4 pieces');
    expect((await (await test.as('imre')).get(`/offers/${jobId}/call`)).status).toBe(403);
  });
});

describe('a stranger', () => {
  it('offers to make some; the lead takes it, with account, claim and sign-in link in one act', async () => {
    const test = await startApp();
    const { jobId } = await anOfferedJob(test, { quantity: 4 });
    const sent = await send(test, test.visitor(), jobId);
    expect(sent.headers.location).toBe('/offers/thanks');
    const { db } = test.context;
    expect(await db.read.claim.count()).toBe(0);
    const waiting = await db.read.strangerOffer.findFirstOrThrow();
    const lead = await test.as('lead');
    const page = (await lead.get('/offers/waiting')).text;
    expect(page).toContain('Noor &lt;b&gt;');
    expect(page).toContain('noor@example.org');
    const path = `/offers/waiting/${waiting.id}/take`;
    expect((await lead.post(path, { quantity: '9' })).status).toBe(409);
    expect(await db.read.person.count()).toBe(5);
    const taken = await lead.post(path, { quantity: '2' });
    expect(taken.headers.location).toMatch(/^\/people\/links\/\d+$/);
    const claim = await db.read.claim.findFirstOrThrow({ include: { person: true } });
    expect(claim).toMatchObject({
      milli: 2000,
      latestDays: 21,
      person: { role: 'maker', country: 'BE', email: null },
    });
    const link = /\/sign-in-link\/[\w-]+/.exec((await lead.get(taken.headers.location!)).text)![0];
    const noor = test.visitor();
    expect((await noor.post(link)).status).toBe(303);
    expect((await noor.get(`/jobs/${jobId}`)).status).toBe(200);
    expect((await lead.post(path, { quantity: '2' })).status).toBe(409);
    expect(JSON.stringify(await db.read.act.findMany())).not.toContain('noor@example.org');
  });

  it('taken by two clicks at once makes one account', async () => {
    const test = await startApp();
    const { jobId } = await anOfferedJob(test, { quantity: 4 });
    await send(test, test.visitor(), jobId);
    const { id } = await test.context.db.read.strangerOffer.findFirstOrThrow();
    const leads = [await test.as('lead'), await test.as('lead')];
    const answers = await Promise.all(
      leads.map((lead) => lead.post(`/offers/waiting/${id}/take`, { quantity: '2' })),
    );
    expect(answers.map(({ status }) => status).sort()).toEqual([303, 409]);
    expect(await test.context.db.read.person.count()).toBe(6);
  });

  it('declined leaves nothing personal behind', async () => {
    const test = await startApp();
    const { jobId } = await anOfferedJob(test, { quantity: 4 });
    await send(test, test.visitor(), jobId);
    const { id } = await test.context.db.read.strangerOffer.findFirstOrThrow();
    await (await test.as('lead')).post(`/offers/waiting/${id}/decline`);
    expect(JSON.stringify(await test.context.db.read.strangerOffer.findMany())).not.toMatch(
      /Noor|noor|lathe/,
    );
  });

  it.each([
    [{ quantity: '9' }, 'Only 4 pieces of it are open.'],
    [{ quantity: '-1' }, ''],
    [{ quantity: '1.5' }, ''],
    [{ quantity: 'some' }, ''],
    [{ name: '' }, 'Say how you are called.'],
    [{ name: 'x'.repeat(81) }, 'At most 80 characters'],
    [{ reach: 'a\u0007b' }, 'characters that cannot be seen'],
    [{ likelyDays: '3' }, 'Not before the soonest, 7 days.'],
    [{ latestDays: '8' }, 'Not before the likely, 10 days.'],
    [{ latestDays: '9999' }, 'At most 730 days; this is 9999.'],
    [{ soonestDays: '' }, 'Type a number.'],
    [{ country: 'B1' }, 'Two letters'],
    [{ website: 'http://robots.example' }, 'Leave the last field empty'],
    [{ shown: 'x' }, 'The page was too old.'],
  ])('is told what does not fit: %j', async (fields, sentence) => {
    const test = await startApp();
    const { jobId } = await anOfferedJob(test, { quantity: 4 });
    const answer = await send(test, test.visitor(), jobId, { words: 'typed & kept', ...fields } as Record<
      string,
      string
    >);
    expect(answer.status).toBe(422);
    expect(answer.text).toContain(sentence);
    expect(answer.text).toContain('typed &amp; kept');
    expect(await test.context.db.read.strangerOffer.count()).toBe(0);
  });

  it('finds a full list closed, however many come', async () => {
    const test = await startApp();
    const { jobId } = await anOfferedJob(test, { quantity: 4 });
    const { db, clock } = test.context;
    const { id: __, ...row } = {
      id: 0,
      jobId,
      name: 'n',
      reach: 'r',
      tools: 't',
      milli: 1000,
      soonestDays: 1,
      likelyDays: 1,
      latestDays: 1,
      at: clock.now(),
    };
    await db.write.strangerOffer.createMany({ data: Array.from({ length: 20 }, () => row) });
    const answer = await send(test, test.visitor(), jobId);
    expect(answer.status).toBe(409);
    expect(answer.text).toContain('Very many people have offered already');
  });

  it('and the lead’s page of them are for the lead alone', async () => {
    const test = await startApp();
    expect((await (await test.as('crew')).get('/offers/waiting')).status).toBe(403);
    expect((await test.visitor().get('/offers/waiting')).status).toBe(303);
    expect((await (await test.as('imre')).post('/offers/waiting/1/take', { quantity: '1' })).status).toBe(
      403,
    );
  });
});
