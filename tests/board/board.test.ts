import { describe, expect, it, vi } from 'vitest';
import { createJob, dropJob, finishJob, offerJob } from '../../src/jobs/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { openEvents } from '../support/events.ts';
import { aClaim, aFabrication, anOfferedJob, anotherJob, asPerson, finished } from '../support/jobs.ts';
import { anAssembly } from '../support/parts.ts';

/** The zones of a board page: heading and the numbers of the jobs in them. */
function zones(text: string): Record<string, number[]> {
  const found: Record<string, number[]> = {};
  for (const [, heading, content] of text.matchAll(
    /<section class="zone".*?<h2[^>]*>(?:<i[^>]*><\/i>)?\s*([^<]+?)\s*<small>(.*?)<\/section>/gs,
  )) {
    found[heading!] = [...content!.matchAll(/<li id="[a-z]+-(\d+)"/g)].map(([, number]) => Number(number));
  }
  return found;
}

const board = async (app: TestApp, who: 'lead' | 'crew' | 'imre' | 'farid', query = '') => {
  const { status, text } = await (await app.as(who)).get(`/board${query}`);
  expect(status).toBe(200);
  return text;
};

const many = (app: TestApp, count: number, kind: 'other' | 'design' = 'other') =>
  asPerson(app, 'lead', async (act) => {
    const ids: number[] = [];
    for (let n = 0; n < count; n++) {
      ids.push(await createJob(act, { kind, title: `Work ${n}`, partId: null, milli: 1000, days: 1 + n }));
    }
    return ids;
  });

describe('GET /board', () => {
  it('is for who is signed in', async () => {
    const app = await startApp();
    const { status, headers } = await app.visitor().get('/board');
    expect(status).toBe(303);
    expect(headers.location).toBe('/sign-in?back=%2Fboard');
    for (const who of ['lead', 'crew', 'imre'] as const) await board(app, who);
  });

  it('says what to do first where there is no job', async () => {
    const app = await startApp();
    expect(await board(app, 'lead')).toContain('href="/jobs/new"');
    const maker = await board(app, 'imre');
    expect(maker).toContain('href="/offers"');
    expect(maker).not.toContain('href="/jobs/new"');
  });

  it('puts each job into the zone of its stage, with counts and quantities', async () => {
    const app = await startApp();
    const { jobId: preparing } = await aFabrication(app, { quantity: 2 });
    const { jobId: offered } = await anOfferedJob(app, { quantity: 3 });
    const { jobId: promised } = await aClaim(app, { quantity: 5 });
    const other = await anotherJob(app);
    const text = await board(app, 'lead');
    expect(zones(text)).toEqual({
      Preparing: [preparing],
      Ready: [other],
      Offered: [offered],
      Promised: [promised],
    });
    expect(text).toContain('<small>1 job, 5 pieces</small>');
    expect(text.replace(/<[^>]+>/g, '')).toMatch(
      /4 jobs open: 1 with makers, 1 offered, 2 wait for you\. Finish \d+ \w+ ?/,
    );
  });

  it('folds what is over at the end, and leaves dropped jobs there', async () => {
    const app = await startApp();
    const [one, two, three] = await many(app, 3);
    await asPerson(app, 'lead', (act) =>
      finishJob(act, { jobId: one!, result: 'done', ready: true, atBench: false }),
    );
    await asPerson(app, 'lead', (act) => dropJob(act, { jobId: two!, reason: 'not needed' }));
    const text = await board(app, 'lead');
    expect(zones(text)).toEqual({ Ready: [three], Finished: [one], Dropped: [two] });
    expect(text).toMatch(/<details class="over" id="over-finished" data-keep>/);
    expect(text.replace(/<[^>]+>/g, '')).toContain('1 job open');
  });

  it('orders a zone by what waits for the reader, then by float', async () => {
    const app = await startApp();
    const [short, long] = [await anotherJob(app, { days: 2 }), await anotherJob(app, { days: 30 })];
    const named = await anotherJob(app, { days: 1, personId: castId.crew });
    expect(zones(await board(app, 'crew')).Ready).toEqual([long, short, named]);
    expect(zones(await board(app, 'imre')).Ready).toEqual([long, short, named]);
    const forCrew = await board(app, 'crew', '?mine=yes');
    expect(zones(forCrew).Ready).toContain(named);
  });

  it('shows a maker first what is asked of them, and their own work before that of others', async () => {
    const app = await startApp();
    const quiet = await aClaim(app, { quantity: 2 });
    const { jobId: others } = await aClaim(app, { who: 'farid', quantity: 1, likelyDays: 29 });
    const done = await aClaim(app, { quantity: 1 });
    await finished(app, { ...done, quantity: 1 });
    const text = await board(app, 'imre');
    const seen = zones(text);
    expect(Object.keys(seen)[0]).toBe('Asked of you');
    expect(seen['Asked of you']).toEqual([done.jobId]);
    expect(seen.Promised).toEqual([quiet.jobId, others]);
    expect(zones(await board(app, 'farid'))['Asked of you']).toBeUndefined();
    expect(text).not.toContain('Hill Road');
  });

  it('turns a zone of more than forty jobs into rows, and shows the rest on a page of the stage', async () => {
    const app = await startApp();
    const ids = await many(app, 41);
    const text = await board(app, 'lead');
    expect(text).toContain('class="rows"');
    expect(text).not.toContain('class="cards"');
    expect(zones(text).Ready).toHaveLength(40);
    expect(text).toContain('<a href="/board?stage=ready">Show all 41</a>');
    const all = await board(app, 'lead', '?stage=ready');
    expect(new Set(zones(all).Ready)).toEqual(new Set(ids));
    expect(all).toContain('All stages');
    await asPerson(app, 'lead', (act) => dropJob(act, { jobId: ids[0]!, reason: 'not needed' }));
    expect(await board(app, 'lead')).toContain('class="cards"');
  });

  it('shows typed text as text', async () => {
    const app = await startApp();
    await anotherJob(app, { title: '<script>alert(1)</script>' });
    const text = await board(app, 'lead', `?words=${encodeURIComponent('<script>')}`);
    expect(text).toContain('&lt;script&gt;alert(1)&lt;/script&gt;');
    expect(text).toContain('value="&lt;script&gt;"');
    expect(text).not.toContain('<script>alert');
  });
});

describe('the filters of the board', () => {
  it('take an assembly with everything below it', async () => {
    const app = await startApp();
    const inner = await aFabrication(app, { quantity: 2 });
    const [frame] = await app.context.db.read.use.findMany({ where: { childId: inner.partId } });
    const top = await anAssembly(app, { name: 'Whole', children: [{ id: frame!.parentId }] });
    const outside = await aFabrication(app, { quantity: 1 });
    const loose = await anotherJob(app);
    const below = zones(await board(app, 'lead', `?assembly=${top.id}`));
    expect(below).toEqual({ Preparing: [inner.jobId] });
    expect(zones(await board(app, 'lead', `?assembly=${frame!.parentId}`))).toEqual({
      Preparing: [inner.jobId],
    });
    const all = zones(await board(app, 'lead'));
    expect(all.Preparing).toContain(outside.jobId);
    expect(all.Ready).toEqual([loose]);
  });

  it('take maker, kind, process, words, what drives the finish and what waits for the reader', async () => {
    const app = await startApp();
    const claimed = await aClaim(app, { quantity: 2 });
    const other = await anotherJob(app, { title: 'Paint the hall' });
    const slow = await anotherJob(app, { days: 90 });
    const { process } = await jobProcess(app, claimed.jobId);
    const asked = async (query: string) =>
      Object.values(zones(await board(app, 'lead', query)))
        .flat()
        .sort();
    expect(await asked(`?maker=${castId.imre}`)).toEqual([claimed.jobId]);
    expect(await asked('?kind=other')).toEqual([other, slow].sort());
    expect(await asked(`?process=${encodeURIComponent(process)}`)).toEqual([claimed.jobId]);
    expect(await asked('?words=paint+HALL')).toEqual([other]);
    expect(await asked(`?words=${slow}`)).toContain(slow);
    expect(await asked('?drives=yes')).toEqual([slow]);
    expect(await asked('?mine=yes')).toEqual([other, slow].sort());
    expect(await asked('?kind=other&drives=yes')).toEqual([slow]);
  });

  it('stay in the address: in the forms that act, in the live region and in the links', async () => {
    const app = await startApp();
    await anotherJob(app);
    const text = await board(app, 'lead', '?kind=other&mine=yes');
    expect(text).toContain('hx-get="/board?kind=other&amp;mine=yes"');
    expect(text).toContain('name="_back" value="/board?kind=other&amp;mine=yes"');
    expect(text).toMatch(/<option value="other" selected>/);
    expect(text).toMatch(/name="mine" type="checkbox" value="yes" checked/);
    expect(text).toContain('<a href="/board">Show all jobs</a>');
  });

  it('say so when nothing fits, and take nonsense for no filter', async () => {
    const app = await startApp();
    const id = await anotherJob(app);
    const none = await board(app, 'lead', '?words=nothing-like-this');
    expect(none).toContain('No job like this');
    for (const query of [
      '?assembly=x',
      '?kind=parcel',
      '?stage=later',
      '?maker=-1',
      '?page=0',
      `?words=${'x'.repeat(90)}`,
    ]) {
      expect(zones(await board(app, 'lead', query)).Ready).toEqual([id]);
    }
    expect(zones(await board(app, 'lead', '?assembly=999'))).toEqual({});
  });
});

describe('the board follows the acts', () => {
  it('an act from a card leads back to the board as it was filtered', async () => {
    const app = await startApp();
    const { jobId } = await aFabrication(app, { quantity: 2 });
    const lead = await app.as('lead');
    const before = await lead.get('/board?kind=fabricate');
    expect(before.text).toContain(`action="/jobs/${jobId}/offer"`);
    const done = await lead.post(`/jobs/${jobId}/offer`, { _back: '/board?kind=fabricate' });
    expect(done.status).toBe(303);
    expect(done.headers.location).toBe('/board?kind=fabricate');
    expect(zones((await lead.get('/board?kind=fabricate')).text)).toEqual({ Offered: [jobId] });
  });

  it('tells open pages that something changed, once for acts close together', async () => {
    const app = await startApp();
    await app.app.listen({ port: 0, host: '127.0.0.1' });
    const { jobId } = await aFabrication(app, { quantity: 2 });
    const maker = await app.as('imre');
    const events = await openEvents(app, maker);
    expect(events.status).toBe(200);
    await asPerson(app, 'lead', (act) => offerJob(act, jobId));
    await anotherJob(app);
    await vi.waitFor(() => expect(events.text()).toContain('event: changed'), { timeout: 3000 });
    expect(zones((await maker.get('/board')).text).Offered).toEqual([jobId]);
    expect(events.text().match(/event: changed/g)).toHaveLength(1);
    events.close();
  });

  it('tells who comes back what they missed, and nobody who missed nothing', async () => {
    const app = await startApp();
    await app.app.listen({ port: 0, host: '127.0.0.1' });
    const lead = await app.as('lead');
    const first = await openEvents(app, lead);
    await vi.waitFor(() => expect(first.text()).toMatch(/id: \S+\n\n/));
    const seen = /id: (\S+)/.exec(first.text())![1]!;
    first.close();
    const again = await openEvents(app, lead, { 'last-event-id': seen });
    await anotherJob(app);
    await vi.waitFor(() => expect(again.text()).toContain('event: changed'), { timeout: 3000 });
    expect(again.text().match(/event: changed/g)).toHaveLength(1);
    again.close();
    const late = await openEvents(app, lead, { 'last-event-id': seen });
    await vi.waitFor(() => expect(late.text()).toContain('event: changed'));
    late.close();
  });

  it('is closed to who is not signed in', async () => {
    const app = await startApp();
    await app.app.listen({ port: 0, host: '127.0.0.1' });
    expect((await openEvents(app, app.visitor())).status).toBe(303);
  });
});

async function jobProcess(app: TestApp, jobId: number): Promise<{ process: string }> {
  const { revisionId } = await app.context.db.read.job.findUniqueOrThrow({ where: { id: jobId } });
  const { processId } = await app.context.db.read.revision.findUniqueOrThrow({ where: { id: revisionId! } });
  const { name } = await app.context.db.read.process.findUniqueOrThrow({ where: { id: processId! } });
  return { process: name };
}
