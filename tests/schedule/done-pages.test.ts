import { describe, expect, it } from 'vitest';
import { finishJob, startJob } from '../../src/jobs/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { aReleasedPart } from '../support/drawings.ts';
import { anotherJob, asPerson } from '../support/jobs.ts';

const read = async (app: TestApp, path = '/schedule/done') => {
  const { status, text } = await (await app.as('lead')).get(path);
  expect(status).toBe(200);
  return text
    .replace(/<svg.*?<\/svg>/gs, ' ')
    .replace(/<[^>]+>/g, ' ')
    .replace(/\s+/g, ' ');
};

describe('GET /schedule/done', () => {
  it('is for lead and crew, and says what will stand there', async () => {
    const app = await startApp();
    expect((await app.visitor().get('/schedule/done')).status).toBe(303);
    expect((await (await app.as('imre')).get('/schedule/done')).status).toBe(403);
    expect(await read(app)).toContain('Nothing is done yet');
  });

  it('tells what is over with its real days, the latest first', async () => {
    const app = await startApp();
    await aReleasedPart(app, { name: 'Bracket' });
    app.passDays(1);
    const jobId = await anotherJob(app, { title: 'Build a crate' });
    await asPerson(app, 'lead', (act) => startJob(act, jobId));
    app.passDays(5);
    await asPerson(app, 'lead', (act) => finishJob(act, { jobId, result: '', ready: true, atBench: false }));
    const text = await read(app);
    expect(text).toMatch(/Done: Build a crate .*3 Mar 8 Mar 5 days.*Released: Bracket.* not said 2 Mar –/);
    // what was dropped, and what is only begun, is not done
    const other = await anotherJob(app, { title: 'Only begun' });
    await asPerson(app, 'lead', (act) => startJob(act, other));
    expect(await read(app)).not.toContain('Only begun');
  });

  it('takes an address that can’t be read as the first page, and shows typed text as text', async () => {
    const app = await startApp();
    const jobId = await anotherJob(app, { title: '<b>bold</b>' });
    await asPerson(app, 'lead', (act) => finishJob(act, { jobId, result: '', ready: true, atBench: false }));
    const { text } = await (await app.as('lead')).get('/schedule/done?page=x');
    expect(text).toContain('&lt;b&gt;bold');
    expect((await (await app.as('lead')).get('/schedule/done?page=999')).status).toBe(200);
  });
});
