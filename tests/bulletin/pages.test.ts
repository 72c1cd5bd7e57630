import { describe, expect, it } from 'vitest';
import { publishedBulletins } from '../../src/bulletin/index.ts';
import { type Browser, startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';

const WEEK = '/bulletin/2026-03-08';
const TEXT = { title: 'First', opening: 'Dear all, the ring is down.', closing: 'Bye.', version: '0' };

async function acted(test: TestApp, at: string, title: string) {
  await test.context.db.write.act.create({
    data: { at: new Date(at), kind: 'see-problem', personId: castId.crew, after: JSON.stringify({ title }) },
  });
}

async function published(): Promise<{ test: TestApp; lead: Browser }> {
  const test = await startApp();
  const lead = await test.as('lead');
  await acted(test, '2026-03-02T07:00:00Z', 'Gear binds');
  await lead.post(WEEK, TEXT);
  expect((await lead.post(`${WEEK}/publish`, { version: '1' })).status).toBe(303);
  return { test, lead };
}

describe('the weeks', () => {
  it('are told by the build’s own zone and closing weekday', async () => {
    const test = await startApp();
    const lead = await test.as('lead');
    await test.context.db.write.build.update({ where: { id: 1 }, data: { timeZone: 'Pacific/Auckland' } });
    // Sunday evening in Auckland, and Monday morning there, while it is Sunday still in UTC (UTC+13).
    await acted(test, '2026-03-08T10:59:59.999Z', 'On Sunday');
    await acted(test, '2026-03-08T11:00:00.000Z', 'On Monday');
    test.setNow('2026-03-09T00:00:00Z');
    const [first, second] = [await lead.get(WEEK), await lead.get('/bulletin/2026-03-15')];
    expect(first.text).toContain('Seen: On Sunday.');
    expect(first.text).not.toContain('On Monday');
    expect(second.text).toContain('Seen: On Monday.');
    expect(second.text).not.toContain('On Sunday');
    // Pago Pago is a day behind (UTC-11): both lie in its Saturday night, in the week to Sunday.
    await test.context.db.write.build.update({ where: { id: 1 }, data: { timeZone: 'Pacific/Pago_Pago' } });
    const there = (await lead.get(WEEK)).text;
    expect(there).toContain('Seen: On Sunday.');
    expect(there).toContain('Seen: On Monday.');
  });

  it('lose no day and tell none twice when the closing weekday is changed', async () => {
    const { test, lead } = await published();
    await test.context.db.write.build.update({ where: { id: 1 }, data: { bulletinWeekday: 3 } });
    test.setNow('2026-03-12T08:00:00Z');
    await acted(test, '2026-03-10T08:00:00Z', 'On Tuesday');
    const short = await lead.get('/bulletin/2026-03-11');
    expect(short.text).toContain('9 Mar to 11 Mar 2026: 3 days, because the closing weekday was changed');
    expect(short.text).toContain('Seen: On Tuesday.');
    expect(short.text).not.toContain('Gear binds');
    expect((await test.visitor().get(WEEK)).text).toContain('2 Mar to 8 Mar 2026');
    expect((await lead.get('/bulletin/2026-03-15')).status).toBe(404);
    expect((await lead.get('/bulletin/2026-03-18')).status).toBe(200);
  });

  it('tell what came after a bulletin was published in the next one', async () => {
    const { test, lead } = await published();
    test.setNow('2026-03-05T08:00:00Z');
    await acted(test, '2026-03-05T07:00:00Z', 'Foot is loose');
    test.setNow('2026-03-10T08:00:00Z');
    await acted(test, '2026-03-10T07:00:00Z', 'Lid rattles');
    const { text } = await lead.get('/bulletin/2026-03-15');
    expect(text).toContain('Seen: Foot is loose.');
    expect(text).toContain('Seen: Lid rattles.');
    expect(text).not.toContain('Gear binds');
    expect(text).toContain('that came after the last bulletin was published');
    expect((await test.visitor().get(WEEK)).text).not.toContain('Foot is loose');
  });

  it.each(['2026-03-07', '2026-03-15', '2026-02-30', '1970-01-04', 'x', '..%2f..', '2026-03-08%00'])(
    'has no page for %s, whatever is asked of it',
    async (day) => {
      const test = await startApp();
      const lead = await test.as('lead');
      for (const page of ['', '/preview', '/order', '/script.txt'])
        expect((await lead.get(`/bulletin/${day}${page}`)).status).toBe(404);
      for (const act of ['', '/publish', '/cut', '/correct'])
        expect((await lead.post(`/bulletin/${day}${act}`, { ...TEXT, words: 'x' })).status).toBe(404);
      expect(await test.context.db.read.bulletin.count()).toBe(0);
    },
  );

  it('are written by the lead alone', async () => {
    const { test } = await published();
    for (const who of ['crew', 'imre'] as const) {
      const one = await test.as(who);
      for (const page of ['/preview', '/order', '/script.txt', '/description.txt', '/credits.txt'])
        expect((await one.get(WEEK + page)).status).toBe(403);
      for (const act of ['', '/publish', '/cut', '/correct'])
        expect((await one.post(WEEK + act, { ...TEXT, words: 'x' })).status).toBe(403);
    }
  });
});

describe('a published bulletin', () => {
  it('says so when nothing happened in the week', async () => {
    const test = await startApp();
    const lead = await test.as('lead');
    expect((await lead.get(`${WEEK}/preview`)).text).toContain('Nothing happened in this week');
    expect((await lead.post(`${WEEK}/publish`, { version: '0' })).status).toBe(303);
    const { text } = await test.visitor().get(WEEK);
    expect(text).toContain('Nothing happened in this week that there would be to tell of.');
    expect(text).toContain('<h1>The week to 8 Mar 2026</h1>');
    const [one] = await publishedBulletins(test.context.db.read, { limit: 1, baseUrl: 'http://x' });
    expect(one!.text).toContain('Nothing happened in this week');
  });

  it('leads to the weeks beside it that are published', async () => {
    const { test, lead } = await published();
    test.setNow('2026-03-17T08:00:00Z');
    await lead.post('/bulletin/2026-03-22/publish', { version: '0' });
    const page = (await test.visitor().get(WEEK)).text;
    expect(page).toContain('rel="next" href="/bulletin/2026-03-22"');
    expect(page).not.toContain('rel="prev"');
    expect((await test.visitor().get('/bulletin/2026-03-22')).text).toContain(
      'rel="prev" href="/bulletin/2026-03-08">Week before: First',
    );
  });

  it('is put right beside what was published, which stays as it was', async () => {
    const { test, lead } = await published();
    const { db } = test.context;
    const { frozen } = await db.read.bulletin.findFirstOrThrow();
    test.setNow('2026-03-09T08:00:00Z');
    const empty = await lead.post(`${WEEK}/correct`, { words: '  ' });
    expect(empty.status).toBe(422);
    expect(empty.text).toContain('Say what is put right.');
    const long = await lead.post(`${WEEK}/correct`, { words: 'y'.repeat(2001) });
    expect(long.status).toBe(422);
    expect(long.text).toContain('y'.repeat(2001));
    const done = await lead.post(`${WEEK}/correct`, { words: 'It was the *lid*, not <b>the ring</b>.' });
    expect(done.status).toBe(303);
    const page = (await test.visitor().get(WEEK)).text;
    expect(page).toContain('Put right on 9 Mar 2026.');
    expect(page).toContain('It was the <em>lid</em>, not &lt;b&gt;the ring&lt;/b&gt;.');
    expect(page).toContain('Dear all, the ring is down.');
    const row = await db.read.bulletin.findFirstOrThrow();
    expect(row.frozen).toBe(frozen);
    expect(row.version).toBe(1);
    const [one] = await publishedBulletins(db.read, { limit: 1, baseUrl: 'http://x' });
    expect(one!.updatedAt).toEqual(test.context.clock.now());
    expect(one!.publishedAt < one!.updatedAt).toBe(true);
    expect(one!.text).toContain('Put right on 9 Mar 2026\nIt was the lid');
    expect((await lead.get('/log')).text).toContain(
      'put right what the bulletin of the week to 2026-03-08 says',
    );
    // The same form sent twice adds it once; what is not published is not put right.
    await lead.post(`${WEEK}/correct`, { words: 'Twice', _once: 'same' });
    await lead.post(`${WEEK}/correct`, { words: 'Twice', _once: 'same' });
    expect((await test.visitor().get(WEEK)).text.split('Twice')).toHaveLength(2);
    const unpublished = await lead.post('/bulletin/2026-03-15/correct', { words: 'x' });
    expect(unpublished.status).toBe(404);
  });
});

describe('the running order', () => {
  it('shows minutes, suggests the longest lines to cut, and leaves them out', async () => {
    const test = await startApp();
    const lead = await test.as('lead');
    await acted(test, '2026-03-02T07:00:00Z', `Long ${'word '.repeat(120)}`.trim());
    await acted(test, '2026-03-02T07:01:00Z', 'Short');
    await lead.post(WEEK, { ...TEXT, minutes: '0.5' });
    const page = (await lead.get(`${WEEK}/order`)).text;
    expect(page).toContain('At 130 words a minute');
    expect(page).toMatch(/data-label="Begins">0:00<\/td><td data-label="Piece">Opening/);
    expect(page).toContain('longer than the 30 s wanted');
    const cuts = [...page.matchAll(/name="cut" value="([^"]+)"/g)].map(([, key]) => key!);
    expect(cuts).toHaveLength(1);
    expect((await lead.get(WEEK)).text).toContain('too long');
    const stale = await lead.post(`${WEEK}/cut`, { version: '0', cut: cuts });
    expect(stale.status).toBe(409);
    expect(stale.text).toContain('What to cut of it stands below: choose again.');
    expect((await lead.post(`${WEEK}/cut`, { version: '1', cut: cuts })).status).toBe(303);
    const after = (await lead.get(`${WEEK}/order`)).text;
    expect(after).toContain('It fits into the 30 s wanted.');
    const row = await test.context.db.read.bulletin.findFirstOrThrow();
    expect(row).toMatchObject({ version: 2, title: 'First', minutes: 0.5 });
    expect(JSON.parse(row.omitted)).toEqual(cuts);
    expect((await lead.get(`${WEEK}/preview`)).text).not.toContain('word word');
    expect((await lead.get(`${WEEK}/preview`)).text).toContain('Seen: Short.');
  });

  it('leaves a whole section out where all of it goes', async () => {
    const test = await startApp();
    const lead = await test.as('lead');
    for (let at = 10; at < 60; at += 1)
      await acted(test, `2026-03-02T06:${at}:00Z`, `Long ${'word '.repeat(20)}`.trim());
    await lead.post(WEEK, { ...TEXT, opening: 'Dear all '.repeat(40), minutes: '0.5' });
    const page = (await lead.get(`${WEEK}/order`)).text;
    expect(page).toContain('All 50 lines');
    const [, cut] = /name="cut" value="([^"]+)"/.exec(page)!;
    expect((await lead.post(`${WEEK}/cut`, { version: '1', cut })).status).toBe(303);
    expect((await lead.get(`${WEEK}/preview`)).text).not.toContain('Seen:');
    const row = await test.context.db.read.bulletin.findFirstOrThrow();
    expect(JSON.parse(row.omitted)).toHaveLength(50);
  });

  it('follows the pace of the settings, typed within what can be said', async () => {
    const { test, lead } = await published();
    const settings = (await lead.get('/settings')).text;
    const fields: Record<string, string | string[]> = { weekdays: ['1', '2'] };
    for (const [, name, value] of settings.matchAll(
      /<input id="f-[^"]*" name="([^"]+)" type="text" value="([^"]*)"/g,
    ))
      fields[name!] = value!;
    Object.assign(fields, { bulletinWeekday: '7', about: '', postAddress: '' });
    for (const [pace, sentence] of [
      ['79', 'At least 80 words a minute'],
      ['221', 'At most 220 words a minute'],
      ['', 'Type a number.'],
    ]) {
      const wrong = await lead.post('/settings', { ...fields, speakPace: pace });
      expect(wrong.status).toBe(422);
      expect(wrong.text).toContain(sentence);
    }
    expect(
      (await lead.post('/settings', { ...fields, speakPace: '100', bulletinMinutes: '2,5' })).status,
    ).toBe(303);
    expect(await test.context.db.read.build.findFirst()).toMatchObject({
      speakPace: 100,
      bulletinMinutes: 2.5,
    });
    const page = (await lead.get(`${WEEK}/order`)).text;
    expect(page).toContain('At 100 words a minute');
    expect(page).toContain('It fits into the 2 min 30 s wanted.');
    expect(page).not.toContain('name="cut"');
  });

  it('gives script, text for a video and credits as plain text', async () => {
    const { lead } = await published();
    const texts = await Promise.all(
      ['script.txt', 'description.txt', 'credits.txt', 'credits.txt?by=work'].map((name) =>
        lead.get(`${WEEK}/${name}`),
      ),
    );
    for (const { status, headers } of texts) {
      expect(status).toBe(200);
      expect(headers['content-type']).toBe('text/plain; charset=utf-8');
    }
    const [script, description, credits, byWork] = texts.map(({ text }) => text);
    expect(script).toContain('First\n2 Mar to 8 Mar 2026.');
    expect(script).toContain('[0:00] Opening (3 s)\nDear all, the ring is down.');
    expect(description).toContain('0:00 Opening');
    expect(description).toContain('All of it: http://127.0.0.1/bulletin/2026-03-08');
    expect(credits).toBe('Tor Eide\n');
    expect(byWork).toBe('Finding what is wrong\n  Tor Eide\n');
  });
});

describe('a big week', () => {
  it('of 20,000 acts is drafted in time, on a page that can be read', async () => {
    const test = await startApp();
    const lead = await test.as('lead');
    const at = test.context.clock.now().toISOString().replace('Z', '+00:00');
    await test.context.db.write.$executeRawUnsafe(
      `WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 20000)
       INSERT INTO Act (at, kind, personId, after) SELECT '${at}', 'see-problem', 2 + i % 4, '{"title":"Problem ' || i || '"}' FROM n`,
    );
    const began = performance.now();
    const { status, text } = await lead.get(WEEK);
    const took = performance.now() - began;
    expect(status).toBe(200);
    expect(text).toContain('And 19941 more.');
    expect(text.length).toBeLessThan(200_000);
    // Generous: what is asked is that it does not grow out of hand.
    expect(took).toBeLessThan(5000);
    expect((await lead.post(`${WEEK}/publish`, { version: '0' })).status).toBe(303);
    const row = await test.context.db.read.bulletin.findFirstOrThrow();
    expect(row.frozen!.length).toBeLessThan(50_000);
  });
});
