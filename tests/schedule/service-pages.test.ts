import { describe, expect, it } from 'vitest';
import { claimJob, finishJob } from '../../src/jobs/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { aClaim, anOfferedJob, anotherJob, asPerson } from '../support/jobs.ts';
import { anAssembly, aPart } from '../support/parts.ts';

const page = async (app: TestApp, path = '/schedule') => {
  const { status, text } = await (await app.as('lead')).get(path);
  expect(status).toBe(200);
  return text;
};

/** A page as it is read: without marks, on one line. */
const words = (text: string) =>
  text
    .replace(/<svg.*?<\/svg>/gs, ' ')
    .replace(/<[^>]+>/g, ' ')
    .replace(/\s+/g, ' ');

describe('GET /schedule', () => {
  it('is for lead and crew', async () => {
    const app = await startApp();
    expect((await app.visitor().get('/schedule')).status).toBe(303);
    expect((await (await app.as('imre')).get('/schedule')).status).toBe(403);
    expect((await (await app.as('imre')).get('/schedule/nodes/part-1-make')).status).toBe(403);
    expect((await (await app.as('crew')).get('/schedule')).status).toBe(200);
  });

  it('says where to begin in an empty build, and when nothing is left', async () => {
    const app = await startApp();
    expect(await page(app)).toContain('Nothing to schedule yet');
    const id = await anotherJob(app);
    await asPerson(app, 'lead', (act) =>
      finishJob(act, { jobId: id, result: '', ready: true, atBench: false }),
    );
    expect(await page(app)).toContain('Nothing is left to do');
    // a loose part is needed for nothing
    await aPart(app);
    expect(await page(app)).toContain('Nothing is left to do');
  });

  it('is a page with one job only', async () => {
    const app = await startApp();
    const id = await anotherJob(app, { title: 'Build a crate', days: 3 });
    const text = await page(app);
    expect(words(text)).toContain('Finish, if all goes as likely 4 Mar 2026');
    expect(words(text)).toContain('1 step in 1 of 1 open job');
    expect(text).toContain(`<a href="/schedule/nodes/job-${id}">Build a crate</a>`);
    expect(text).toContain('class="bar-drives"');
    expect(words(text)).toContain('no finish is stored from a week ago yet');
    // The simulation may be there already, or not yet.
    expect(words(text)).toMatch(/Critical 1 job Finish 4 Mar (In 80 of 100 \d+ Mar )?As of/);
  });

  it('draws every step on dates, with its float, beside the table', async () => {
    const app = await startApp();
    const { jobId } = await anOfferedJob(app, { quantity: 2 });
    const short = await anotherJob(app, { title: 'Sweep', days: 2 });
    const text = await page(app);
    const rows = [...text.matchAll(/<tr[^>]*>\s*<th scope="row">.*?<\/tr>/gs)].map(([row]) => row);
    expect(rows).toHaveLength(6);
    const sweep = rows.find((row) => row.includes('Sweep'))!;
    expect(words(sweep)).toMatch(
      new RegExp(`Sweep job ${short} the job says 2 working days 2 Mar 3 Mar 20 d`),
    );
    expect(sweep).toContain('class="bar-plan"');
    expect(sweep).toContain('class="bar-float"');
    const bar = /<rect class="bar-plan" x="([\d.]+)%" width="([\d.]+)%"/.exec(sweep)!;
    // two days of the thirty from 2 to 31 March
    expect([bar[1], bar[2]]).toEqual(['0', '6.67']);
    expect(text).toContain(`/schedule/nodes/job-${jobId}-find`);
    expect(text).not.toMatch(/ style=/);
  });

  it('draws what was promised beside what is counted with, and says it', async () => {
    const app = await startApp();
    await aClaim(app, { soonestDays: 6, likelyDays: 12, latestDays: 18 });
    const text = await page(app);
    const rows = [...text.matchAll(/<tr[^>]*>\s*<th scope="row">.*?<\/tr>/gs)].map(([row]) => row);
    const making = rows.filter((row) => row.includes('class="bar-spread"'));
    expect(making).toHaveLength(1);
    expect(words(making[0]!)).toContain('promised for 8 Mar to 20 Mar');
    expect(words(text)).toContain('promised, soonest to latest');
  });

  it('shows only what is asked for, and keeps it in the address', async () => {
    const app = await startApp();
    const { jobId } = await anOfferedJob(app, { quantity: 2 });
    await anotherJob(app, { title: 'Sweep' });
    const listed = async (query: string) =>
      [
        ...(await page(app, `/schedule${query}`)).matchAll(
          /<th scope="row"><a href="\/schedule\/nodes\/([^"]+)"/g,
        ),
      ].map(([, key]) => key);
    expect(await listed('?words=sweep')).toHaveLength(1);
    expect(await listed(`?words=job+${jobId}`)).toHaveLength(4);
    expect(await listed('?show=drives')).toHaveLength(5);
    expect(await listed('?show=late')).toEqual([]);
    expect(await page(app, '/schedule?show=late')).toContain('No step like this');
    expect(await listed('?show=nonsense&page=x')).toHaveLength(6);

    await asPerson(app, 'imre', (act) =>
      claimJob(act, {
        jobId,
        personId: castId.imre,
        milli: 2000,
        soonestDays: 1,
        likelyDays: 2,
        latestDays: 3,
      }),
    );
    app.passDays(5);
    expect(await listed('?show=late')).toHaveLength(1);
    expect(words(await page(app))).toContain('Imre Kovacs promised 4 Mar, 3 days ago: counted as tomorrow');
  });

  it('tells how the finish moved in a week', async () => {
    const app = await startApp();
    await anotherJob(app, { days: 3 });
    await page(app);
    app.passDays(7);
    expect(words(await page(app))).toContain('11 Mar 2026 7 days later than as computed on 2 Mar');
  });

  it('pages through many steps', async () => {
    const app = await startApp();
    for (let n = 0; n < 3; n++) {
      await anAssembly(app, { children: Array.from({ length: 5 }, () => ({})) });
    }
    const text = await page(app);
    expect(words(text)).toContain('1 of 2, 93 steps');
    const next = await page(app, '/schedule?page=2');
    expect([...next.matchAll(/<th scope="row">/g)]).toHaveLength(33);
    expect(await page(app, '/schedule?page=99')).toContain('2 of 2');
  });

  it('shows typed text as text', async () => {
    const app = await startApp();
    const id = await anotherJob(app, { title: '<img src=x onerror=alert(1)>' });
    for (const path of ['/schedule', `/schedule/nodes/job-${id}`, '/schedule?words=%3Cimg']) {
      const text = await page(app, path);
      expect(text).toContain('&lt;img');
      expect(text).not.toContain('<img src=x');
    }
  });
});

describe('GET /schedule/nodes/:key', () => {
  it('tells the chain of facts back to today, and what stands before and after', async () => {
    const app = await startApp();
    const { childIds, id } = await anAssembly(app, { name: 'Frame', children: [{ name: 'Post' }] });
    const text = await page(app, `/schedule/nodes/part-${id}-fit-up`);
    const chain = [
      ...text.matchAll(/<li><span class="num soft">.*?<a href="\/schedule\/nodes\/([^"]+)"/gs),
    ].map(([, key]) => key);
    const post = childIds[0];
    expect(chain).toEqual([
      `part-${post}-design`,
      `part-${post}-release`,
      `part-${post}-find`,
      `part-${post}-make`,
      `part-${post}-post`,
      `part-${post}-inspect`,
      `part-${id}-fit-up`,
    ]);
    expect(words(text)).toContain('Post ready to fit , on 3 Apr sets its start');
    expect(words(await page(app, `/schedule/nodes/part-${post}-design`))).toContain('Nothing holds it');
  });

  it('is not there for a step that is done or never was', async () => {
    const app = await startApp();
    await anotherJob(app);
    for (const key of ['job-99', 'part-1-make', '%3Cscript%3E', 'x'.repeat(90)]) {
      expect((await (await app.as('lead')).get(`/schedule/nodes/${key}`)).status).toBe(404);
    }
  });
});
