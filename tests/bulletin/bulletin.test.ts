import { describe, expect, it } from 'vitest';
import { startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';

describe('the bulletin', () => {
  const week = '/bulletin/2026-03-08';
  const words = {
    title: 'First',
    opening: '# Hello\n<b>no markup</b> [x](javascript:alert(1))',
    closing: '',
    version: '0',
  };

  async function kept(): Promise<TestApp> {
    const test = await startApp();
    const lead = await test.as('lead');
    expect((await lead.post(week, words)).status).toBe(303);
    return test;
  }

  it('is seen by the lead alone until it is published, then by everyone, and stays as it was', async () => {
    const test = await kept();
    for (const one of [test.visitor(), await test.as('imre')]) expect((await one.get(week)).status).toBe(404);
    const lead = await test.as('lead');
    expect((await lead.post(`${week}/publish`, { version: '1' })).status).toBe(303);
    const { status, text } = await test.visitor().get(week);
    expect(status).toBe(200);
    expect(text).toContain('<h2>Hello</h2>');
    expect(text).toContain('&lt;b&gt;no markup&lt;/b&gt;');
    expect(text).not.toContain('href="javascript:');
    expect((await test.visitor().get('/bulletin')).text).toContain('First');
    expect((await lead.post(week, { ...words, version: '1' })).status).toBe(409);
    expect((await lead.post(`${week}/publish`, { version: '1' })).status).toBe(409);
  });

  it('tells a second editor and keeps what they typed', async () => {
    const test = await kept();
    const lead = await test.as('lead');
    const second = await lead.post(week, { ...words, opening: 'My own words', version: '0' });
    expect(second.status).toBe(409);
    expect(second.text).toContain('Somebody kept another text meanwhile.');
    expect(second.text).toContain('My own words');
    expect(await test.context.db.read.bulletin.findFirst()).toMatchObject({ version: 1, title: 'First' });
  });

  it('says so when the week is empty, and leaves out what the lead unticks', async () => {
    const test = await startApp();
    const lead = await test.as('lead');
    expect((await lead.get(week)).text).toContain('An empty week');
    await test.context.db.write.problem.create({
      data: { title: 'Gear binds', seenAt: test.context.clock.now() },
    });
    await test.context.db.write.act.create({
      data: {
        at: test.context.clock.now(),
        kind: 'see-problem',
        personId: castId.crew,
        after: '{"title":"Gear binds"}',
      },
    });
    const draft = (await lead.get(week)).text;
    expect(draft).toContain('Seen: Gear binds.');
    expect(draft).toContain('Tor Eide, for finding what is wrong');
    const key = /name="all" value="([^"]+)"/.exec(draft)![1]!;
    await lead.post(week, { ...words, opening: '', all: key });
    await lead.post(`${week}/publish`, { version: '1' });
    const { text } = await test.visitor().get(week);
    expect(text).not.toContain('Gear binds');
    expect(text).toContain('Tor Eide');
    await lead.post(`/people/${castId.crew}/forget`, { sure: 'yes' });
    expect((await test.visitor().get(week)).text).not.toContain('Tor Eide');
  });

  it.each([
    [{ title: 'x'.repeat(121) }, 'At most 120 characters'],
    [{ version: 'x' }, 'Type a whole number.'],
    [{ opening: 'a\u0000b' }, 'characters that cannot be seen'],
  ])('refuses %j', async (fields, sentence) => {
    const test = await startApp();
    const lead = await test.as('lead');
    const answer = await lead.post(week, { ...words, ...fields, closing: 'kept as typed' });
    expect(answer.status).toBe(422);
    expect(answer.text).toContain(sentence);
    expect(answer.text).toContain('kept as typed');
    expect(await test.context.db.read.bulletin.count()).toBe(0);
  });

  it('has no page for a day that closes no week, a week to come, or for another role to edit', async () => {
    const test = await startApp();
    const lead = await test.as('lead');
    for (const day of ['2026-03-07', '2026-03-15', 'x'])
      expect((await lead.get(`/bulletin/${day}`)).status).toBe(404);
    expect((await (await test.as('crew')).post(week, words)).status).toBe(403);
  });
});
