import { describe, expect, it } from 'vitest';
import { finishJob } from '../../src/jobs/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { aClaim, anOfferedJob, anotherJob, asPerson } from '../support/jobs.ts';
import { anAssembly } from '../support/parts.ts';

const PAGES = ['risk', 'next', 'late'] as const;

const page = async (app: TestApp, name: string) => {
  const { status, text } = await (await app.as('lead')).get(`/schedule/${name}`);
  expect(status).toBe(200);
  return text
    .replace(/<svg.*?<\/svg>/gs, ' ')
    .replace(/<[^>]+>/g, ' ')
    .replace(/\s+/g, ' ');
};

describe.each(PAGES)('GET /schedule/%s', (name) => {
  it('is for lead and crew', async () => {
    const app = await startApp();
    const path = `/schedule/${name}`;
    expect((await app.visitor().get(path)).status).toBe(303);
    expect((await (await app.as('imre')).get(path)).status).toBe(403);
    expect((await (await app.as('crew')).get(path)).status).toBe(200);
  });

  it('says where to begin in an empty build, and when nothing is left', async () => {
    const app = await startApp();
    expect(await page(app, name)).toContain('Nothing to schedule yet');
    const jobId = await anotherJob(app);
    await asPerson(app, 'lead', (act) => finishJob(act, { jobId, result: '', ready: true, atBench: false }));
    expect(await page(app, name)).toContain('Nothing is left to do');
  });
});

describe('the pages of the simulation', () => {
  it('tell the finish, what drives it, and when assemblies are ready', async () => {
    const app = await startApp();
    await anAssembly(app, { name: 'Frame' });
    await anotherJob(app, { title: 'Build a crate', days: 30 });
    const text = await page(app, 'risk');
    expect(text).toMatch(/In half of the runs \d+ \w+ finished by then/);
    expect(text).toMatch(/In 95 of 100/);
    expect(text).toContain('Build a crate');
    expect(text).toContain('Frame');
    expect(text).toContain('runs of the whole network with a fixed seed');
  });

  it('rank what the lead can do, with the week planned within the hours', async () => {
    const app = await startApp();
    const { jobId } = await anOfferedJob(app, { quantity: 2 });
    expect(jobId).toBeGreaterThan(0);
    await anotherJob(app, { title: 'Build a crate', hours: 3 });
    const text = await page(app, 'next');
    expect(text).toContain('The week ahead');
    expect(text).toContain('Build a crate');
    expect(text).toMatch(/10 h: 10 h a week by the settings/);
  });

  it('list promises that may come late, and say so when none is open', async () => {
    const app = await startApp();
    expect(await page(app, 'late')).toContain('Nothing to schedule yet');
    const { jobId } = await anOfferedJob(app, { quantity: 1 });
    expect(await page(app, 'late')).toContain('No maker has anything in hand');
    await aClaim(app, { jobId });
    expect(await page(app, 'late')).toMatch(/Imre|1 promise is open/);
  });

  it('show typed text as text', async () => {
    const app = await startApp();
    await anotherJob(app, { title: '<b>bold</b> & "quoted"', days: 5 });
    for (const name of PAGES) {
      const { text } = await (await app.as('lead')).get(`/schedule/${name}`);
      expect(text).not.toContain('<b>bold</b>');
    }
  });
});
