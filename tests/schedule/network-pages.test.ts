import { describe, expect, it } from 'vitest';
import { linkJobs, startJob } from '../../src/jobs/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { anOfferedJob, anotherJob, asPerson } from '../support/jobs.ts';
import { anAssembly } from '../support/parts.ts';

const page = async (app: TestApp, path = '/schedule/network') => {
  const { status, text } = await (await app.as('lead')).get(path);
  expect(status).toBe(200);
  return text;
};

/** A part of a page as it is read: without marks, on one line. */
const words = (text: string) =>
  text
    .replace(/<svg.*?<\/svg>/gs, ' ')
    .replace(/<[^>]+>/g, ' ')
    .replace(/\s+/g, ' ');

const rowsOf = (text: string) =>
  [...text.matchAll(/<tr[^>]*>\s*<th scope="row">.*?<\/tr>/gs)].map(([row]) => row);
const boxesOf = (text: string) =>
  [...text.matchAll(/<div class="netbox">.*?<\/div>/gs)].map(([box]) => words(box).trim());

describe('GET /schedule/network', () => {
  it('is for lead and crew, and says so where there is nothing to draw', async () => {
    const app = await startApp();
    expect((await app.visitor().get('/schedule/network')).status).toBe(303);
    expect((await (await app.as('imre')).get('/schedule/network')).status).toBe(403);
    expect((await (await app.as('crew')).get('/schedule/network')).status).toBe(200);
    expect(await page(app)).toContain('No chain to draw');
  });

  it('draws a chain of one step', async () => {
    const app = await startApp();
    await anotherJob(app, { title: 'Build a crate', days: 3 });
    const text = await page(app);
    expect(words(text)).toContain('1 step sets the finish');
    expect(words(text)).toContain('Nothing runs beside it');
    expect(boxesOf(text)).toEqual(['Build a crate 2 Mar – 4 Mar ; can begin, drives']);
    expect(text.match(/<svg class="chart net"/g)).toHaveLength(1);
  });

  it('draws the chain and what runs beside it, and says the same in a table', async () => {
    const app = await startApp();
    const { id, childIds } = await anAssembly(app, {
      name: 'Frame',
      children: [{ name: 'Post' }, { name: 'Rail' }],
    });
    const text = await page(app);
    // both children take the same time: one of them is the chain, the other drives beside it
    expect(words(text)).toContain(
      '7 steps set the finish one after the other; 6 run beside them with no float either',
    );
    expect(boxesOf(text)).toHaveLength(13);
    const rows = rowsOf(text);
    expect(rows).toHaveLength(13);
    const last = rows.at(-1)!;
    expect(last).toContain(`/schedule/nodes/part-${id}-fit-up`);
    expect(words(last)).toMatch(/Fit up Frame waits on the chain Inspect (Post|Rail) nothing/);
    const inspect = rows.filter((row) => row.includes('-inspect">'));
    for (const child of childIds) expect(text).toContain(`/schedule/nodes/part-${child}-inspect`);
    expect(inspect.filter((row) => words(row).includes('Fit up Frame')).length).toBeGreaterThanOrEqual(2);
    expect(text).not.toMatch(/ style=/);
  });

  it('takes in as much float as asked for', async () => {
    const app = await startApp();
    await anOfferedJob(app, { quantity: 2 });
    await anotherJob(app, { title: 'Paint', days: 15 });
    const beside = async (query: string) =>
      Number(/(\d+) runs? beside/.exec(words(await page(app, `/schedule/network${query}`)))?.[1] ?? 0);
    expect(await beside('?within=0')).toBe(0);
    expect(await beside('?within=40')).toBe(1);
    // not asked, or asked for nonsense: as little as shows anything
    expect(await beside('')).toBe(1);
    expect(await beside('?within=x&page=-1')).toBe(1);
    expect(await beside('?within=7')).toBe(1);
  });

  it('tells what is under way, and what is linked by hand, by the line', async () => {
    const app = await startApp();
    const first = await anotherJob(app, { title: 'Clear the floor', days: 40 });
    const second = await anotherJob(app, { title: 'Sand the floor', days: 5 });
    await asPerson(app, 'lead', (act) => linkJobs(act, { fromId: first, toId: second, type: 'FS', lag: 0 }));
    await asPerson(app, 'lead', (act) => startJob(act, first));
    const text = await page(app, '/schedule/network?within=0');
    expect(boxesOf(text).map((box) => box.replace(/.*; /, ''))).toEqual([
      'under way, drives',
      'waits, drives',
    ]);
    const wide = /<div class="net-wide".*?<\/div>/s.exec(text)![0];
    expect([...wide.matchAll(/<path class="(c-[a-z]+ w3)"/g)].map(([, line]) => line)).toEqual([
      'c-chain w3',
    ]);
    expect([...wide.matchAll(/<rect class="([^"]+)"/g)].map(([, line]) => line)).toEqual([
      'c-thin w3',
      'c-dashed w3',
    ]);
    expect(words(rowsOf(text)[1]!)).toMatch(/Sand the floor waits on the chain Clear the floor nothing/);
  });

  it('shows the ends of a long chain and pages through all of it', async () => {
    const app = await startApp();
    let below: number | undefined;
    for (let k = 0; k < 70; k++) {
      const job = await anotherJob(app, { title: `Step ${k}`, days: 1 });
      if (below !== undefined) {
        const before = below;
        await asPerson(app, 'lead', (act) =>
          linkJobs(act, { fromId: before, toId: job, type: 'FS', lag: 0 }),
        );
      }
      below = job;
    }
    const text = await page(app);
    expect(words(text)).toContain('70 steps set the finish');
    expect(boxesOf(text)).toHaveLength(25);
    expect(text).toContain('46 steps more');
    expect(words(text)).toContain('46 between them are not');
    expect(rowsOf(text)).toHaveLength(60);
    expect(rowsOf(await page(app, '/schedule/network?page=2'))).toHaveLength(10);
  });

  it('shows typed text as text', async () => {
    const app = await startApp();
    await anotherJob(app, { title: '<img src=x onerror=alert(1)>' });
    const text = await page(app);
    expect(text).toContain('&lt;img');
    expect(text).not.toContain('<img src=x');
  });
});
