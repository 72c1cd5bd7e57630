import { describe, expect, it } from 'vitest';
import { factsReader } from '../../src/jobs/index.ts';
import { startApp } from '../support/app.ts';
import { aFabrication, anotherJob, jobNow } from '../support/jobs.ts';
import { anAssembly } from '../support/parts.ts';

describe('the spot of a job', () => {
  it('is named with the job, shown on its page, and changed', async () => {
    const app = await startApp();
    const crew = await app.as('crew');
    const { number } = await anAssembly(app, { children: [{}] });
    const form = { kind: 'fit-up', part: number, quantity: '1', title: 'Fit the frame' };
    const page = (await crew.get('/jobs/new?kind=fit-up')).text;
    expect(page).toContain('name="spot"');
    const made = await crew.post('/jobs', { ...form, spot: '  Long   bench ' });
    expect(made.status).toBe(303);
    const jobId = Number(made.headers.location?.split('/').pop());
    expect((await jobNow(app, jobId)).spot).toBe('Long bench');
    expect(factsReader(app.context.db).one(jobId)?.spot).toBe('Long bench');
    expect((await crew.get(`/jobs/${jobId}`)).text).toMatch(/<dt>Spot<\/dt><dd[^>]*>Long bench</);
    expect((await crew.get('/jobs/new?kind=trial')).text).toContain('In use: Long bench.');

    const edit = (await crew.get(`/jobs/${jobId}/edit`)).text;
    expect(edit).toContain('value="Long bench"');
    const change = { title: 'Fit the frame', quantity: '1', spot: '<b>Pit</b>' };
    expect((await crew.post(`/jobs/${jobId}/edit`, change)).status).toBe(303);
    expect((await crew.get(`/jobs/${jobId}`)).text).toContain('&lt;b&gt;Pit&lt;/b&gt;');
    const row = await app.context.db.read.act.findFirstOrThrow({ where: { kind: 'change-job' } });
    expect([row.before, row.after]).toEqual(['{"spot":"Long bench"}', '{"spot":"<b>Pit</b>"}']);
    expect((await crew.post(`/jobs/${jobId}/edit`, { ...change, spot: '' })).status).toBe(303);
    expect((await crew.get(`/jobs/${jobId}`)).text).not.toContain('<dt>Spot');
  });

  it('is refused when it is too long or hides something, and typed words are kept', async () => {
    const app = await startApp();
    const crew = await app.as('crew');
    const jobId = await anotherJob(app, { spot: 'Pit' });
    for (const [spot, sentence] of [
      ['x'.repeat(61), 'At most 60 characters; this has 61.'],
      ['Pit\u202e', 'characters that cannot be seen'],
    ] as const) {
      for (const path of ['/jobs', `/jobs/${jobId}/edit`]) {
        const { status, text } = await crew.post(path, { kind: 'other', title: 'Kept words', spot });
        expect(status).toBe(422);
        expect(text).toContain(sentence);
        expect(text).toContain('value="Kept words"');
      }
    }
    expect((await jobNow(app, jobId)).spot).toBe('Pit');
    expect(await app.context.db.read.job.count()).toBe(1);
  });

  it('is not there for what makers make, even when it is sent', async () => {
    const app = await startApp();
    const crew = await app.as('crew');
    const { jobId } = await aFabrication(app);
    for (const kind of ['fabricate', 'design', 'purchase']) {
      expect((await crew.get(`/jobs/new?kind=${kind}`)).text).not.toContain('name="spot"');
    }
    const sent = { title: 'Gear', quantity: '4', spot: 'Pit' };
    expect((await crew.post(`/jobs/${jobId}/edit`, sent)).status).toBe(303);
    expect((await jobNow(app, jobId)).spot).toBe('');
  });
});
