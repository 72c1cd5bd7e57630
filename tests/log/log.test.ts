import { describe, expect, it } from 'vitest';
import { actSentence, type LogRow } from '../../src/log/index.ts';
import { startApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';

const row = (fields: Partial<LogRow>): LogRow => ({
  id: 1,
  at: '2026-03-02T08:00:00.000+00:00',
  kind: 'claim-job',
  personId: 3,
  who: 'Imre',
  partId: 1,
  partNumber: 'TB-0001',
  partName: 'Gear',
  partUnit: 'piece',
  jobId: 7,
  jobTitle: 'Gear',
  jobKind: 'fabricate',
  aboutId: null,
  about: null,
  thingType: null,
  thingId: null,
  milli: 4000,
  before: null,
  after: null,
  ...fields,
});

describe('actSentence', () => {
  it('says what was claimed, how much and what was promised', () => {
    const after = JSON.stringify({ soonestDays: 5, likelyDays: 8, latestDays: 13 });
    expect(actSentence(row({ after }))).toBe(
      'claimed 4 pieces of job 7, Gear, to be posted in 5, 8 or 13 days',
    );
  });

  it('has plain words even for a kind it does not know', () => {
    expect(actSentence(row({ kind: 'some-new-act' }))).toBe('some new act');
  });
});

describe('the log', () => {
  it('refuses to be changed or shortened, whoever asks', async () => {
    const { context } = await startApp();
    const { write } = context.db;
    await expect(write.act.updateMany({ data: { kind: 'nothing' } })).rejects.toThrow();
    await expect(write.act.deleteMany({})).rejects.toThrow();
    expect(await context.db.read.act.count()).toBe(1);
  });

  it('is read by lead and crew, filtered by what stands in the address', async () => {
    const test = await startApp();
    const imre = await test.as('imre');
    await imre.post(`/makers/${castId.imre}/away`, { fromOn: '2026-04-01', untilOn: '2026-04-05', note: '' });
    expect((await imre.get('/log')).status).toBe(403);
    const crew = await test.as('crew');
    const all = (await crew.get('/log')).text;
    expect(all).toContain('noted Imre Kovacs as away 2026-04-01 to 2026-04-05');
    expect(all).toContain('set up the build Test build');
    const some = (await crew.get(`/log?who=${castId.imre}&kind=add-away&from=2026-03-02&until=2026-03-02`))
      .text;
    expect(some).toContain('noted Imre Kovacs as away');
    expect(some).not.toContain('set up the build Test build');
    expect((await crew.get('/log?from=2026-03-03')).text).toContain('No act like this');
  });

  it.each([
    ['kind=x', 'Choose one of the list.'],
    ['from=yesterday', 'Type a day as year-month-day'],
    ['part=TB-9999', 'No part has the number TB-9999.'],
    ['job=-1', 'Type the number of a job.'],
  ])('says at the field what is wrong with %s', async (query, sentence) => {
    const test = await startApp();
    const { status, text } = await (await test.as('lead')).get(`/log?${query}`);
    expect(status).toBe(422);
    expect(text).toContain(sentence);
  });
});
