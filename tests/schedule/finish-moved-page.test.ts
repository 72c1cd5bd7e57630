import { describe, expect, it, vi } from 'vitest';
import { createJob } from '../../src/jobs/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { aClaim, anOfferedJob, anotherJob, asPerson } from '../support/jobs.ts';

const text = async (app: TestApp, path = '/schedule/moved') => (await (await app.as('lead')).get(path)).text;

describe('GET /schedule/moved', () => {
  it('is for the shop', async () => {
    const app = await startApp();
    expect((await (await app.as('imre')).get('/schedule/moved')).status).toBe(403);
    expect((await app.visitor().get('/schedule/moved')).status).toBe(303);
  });

  it('says what to do first in an empty build', async () => {
    const app = await startApp();
    expect(await text(app)).toContain('Nothing to schedule yet');
  });

  it('is there at once, then tells what moved the finish, with names', async () => {
    const app = await startApp();
    const { jobId } = await anOfferedJob(app, { quantity: 2, part: { name: 'Moon <arm>' } });
    const lead = await app.as('lead');
    expect((await lead.get('/schedule')).text).toContain('<a href="/schedule/moved">why</a>');
    app.passDays(8);
    await aClaim(app, { jobId, soonestDays: 1, likelyDays: 2, latestDays: 4 });
    await asPerson(app, 'lead', (act) =>
      createJob(act, { kind: 'other', title: 'Paint', partId: null, milli: 1000, days: 90 }),
    );
    expect((await lead.get('/schedule/moved')).text).toContain('Being computed');
    const page = await vi.waitFor(
      async () => {
        const now = (await lead.get('/schedule/moved')).text;
        expect(now).not.toContain('Being computed');
        return now;
      },
      { timeout: 5000 },
    );
    expect(page).toContain('Paint: job opened;');
    expect(page).toContain('Taken together, what was done: ');
    expect(page).toContain('How far this goes');
    expect(page).not.toContain('<arm>');
  });

  it('says so where nothing moved it', async () => {
    const app = await startApp();
    await anotherJob(app, { days: 3 });
    const lead = await app.as('lead');
    app.passDays(9);
    await lead.get('/schedule/moved');
    await vi.waitFor(
      async () =>
        expect((await lead.get('/schedule/moved')).text).toContain(
          'Nothing that was done moves the finish by a day on its own.',
        ),
      { timeout: 5000 },
    );
  });
});
