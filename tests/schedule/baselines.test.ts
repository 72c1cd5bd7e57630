import { describe, expect, it } from 'vitest';
import { changeJob, dropJob, finishJob } from '../../src/jobs/index.ts';
import { addUse } from '../../src/parts/index.ts';
import { planOf } from '../../src/schedule/baseline-plan.ts';
import { slipsAgainst } from '../../src/schedule/baseline-slips.ts';
import { finishChart, weeklyEstimates } from '../../src/schedule/finish-chart.ts';
import { scheduleOf } from '../../src/schedule/schedule.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { anotherJob, asPerson } from '../support/jobs.ts';
import { anAssembly, aPart, asLead } from '../support/parts.ts';
import { facts, frame, type Given, job, part } from './derive-facts.ts';

const words = (text: string) =>
  text
    .replace(/<svg.*?<\/svg>/gs, ' ')
    .replace(/<[^>]+>/g, ' ')
    .replace(/\s+/g, ' ');

const none = { parts: new Map(), jobs: new Map() };

const given: Given = {
  parts: [frame, part(2, { kind: 'bought', name: 'Post', leadDays: 14 })],
  uses: [[1, 2, 4]],
  jobs: [job(3, { kind: 'purchase', partId: 2, milli: 4000 }), job(5, { kind: 'other', days: 2 })],
};

const slipsOf = (before: Given, after: Given, ends = none) =>
  slipsAgainst(planOf(scheduleOf(facts(before)))!.lines, scheduleOf(facts(after)), ends);

describe('planOf', () => {
  it('has the day of each part that is not ready and of each open job, and the finish', () => {
    const plan = planOf(scheduleOf(facts(given)))!;
    // order 2 and 3 March, delivery until the 18th, inspection on that day, fit-up on the 19th
    expect(plan).toEqual({
      finishOn: '2026-03-19',
      lines: [
        { partId: 2, jobId: null, label: 'TB-0002 Post', readyOn: '2026-03-19', critical: true },
        { partId: 1, jobId: null, label: 'TB-0001 Frame', readyOn: '2026-03-20', critical: true },
        { partId: null, jobId: 3, label: 'Job 3', readyOn: '2026-03-18', critical: true },
        { partId: null, jobId: 5, label: 'Job 5', readyOn: '2026-03-03', critical: false },
      ],
    });
    expect(planOf(scheduleOf(facts({})))).toBeNull();
  });
});

describe('slipsAgainst', () => {
  it('counts in calendar days and in working days of the build', () => {
    const later = { ...given, parts: [frame, part(2, { kind: 'bought', name: 'Post', leadDays: 21 })] };
    const { assemblies, parts, jobs, newParts } = slipsOf(given, later);
    expect(assemblies).toEqual([
      {
        label: 'TB-0001 Frame',
        href: '/parts/TB-0001',
        plannedOn: '2026-03-20',
        nowOn: '2026-03-27',
        state: 'open',
        days: 7,
        workingDays: 5,
        wasCritical: true,
        critical: true,
      },
    ]);
    expect(parts.map(({ days }) => days)).toEqual([7]);
    expect(jobs.map(({ label, days }) => [label, days])).toEqual([
      ['Job 3', 7],
      ['Job 5', 0],
    ]);
    expect(newParts).toEqual([]);
    const sooner = slipsOf(later, given);
    expect(sooner.assemblies[0]).toMatchObject({ days: -7, workingDays: -5 });
  });

  it('tells what is done, gone and new', () => {
    const after: Given = {
      parts: [frame, part(2, { kind: 'bought', name: 'Post', shelfMilli: 4000 }), part(4, { name: 'Lid' })],
      uses: [
        [1, 2, 4],
        [1, 4, 1],
      ],
      jobs: [
        job(3, { kind: 'purchase', partId: 2, milli: 4000, finishedAt: '2026-03-02T07:00:00.000Z' }),
        job(5, { kind: 'other', days: 2, droppedAt: '2026-03-02T07:00:00.000Z' }),
        job(6, { kind: 'other' }),
      ],
    };
    const ends = { parts: new Map([[2, '2026-03-10']]), jobs: new Map([[3, '2026-03-10']]) };
    const { parts, jobs, newParts, newJobs } = slipsOf(given, after, ends);
    expect(parts.map(({ state, nowOn, days }) => [state, nowOn, days])).toEqual([['done', '2026-03-10', -9]]);
    expect(jobs.map(({ label, state, days }) => [label, state, days])).toEqual([
      ['Job 3', 'done', -8],
      ['Job 5', 'gone', null],
    ]);
    expect(newParts.map(({ label }) => label)).toEqual(['TB-0004 Lid']);
    expect(newJobs.map(({ label }) => label)).toEqual(['Job 6']);
    // taken out of the structure: needed no more
    const out = slipsOf(given, { ...given, uses: [], jobs: [] });
    expect(out.parts.map(({ state }) => state)).toEqual(['gone']);
    const removed = slipsOf(given, { parts: [frame], uses: [], jobs: [] });
    expect(removed.parts.map(({ state, href }) => [state, href])).toEqual([['gone', '']]);
  });
});

describe('finishChart', () => {
  const estimate = (day: string, finishOn: string, at80On: string | null = null) => ({
    day,
    finishOn,
    at80On,
  });

  it('keeps the last estimate of each week', () => {
    const days = ['2026-03-02', '2026-03-08', '2026-03-09', '2026-03-23'];
    const weekly = weeklyEstimates(days.map((day) => estimate(day, day)));
    expect(weekly.map(({ day }) => day)).toEqual(['2026-03-08', '2026-03-09', '2026-03-23']);
  });

  it('sets later weeks to the right and a later finish higher', () => {
    const chart = finishChart(
      [
        estimate('2026-01-05', '2026-06-01'),
        estimate('2026-01-12', '2026-06-15', '2026-07-01'),
        estimate('2026-01-19', '2026-06-08', '2026-07-06'),
      ],
      { day: '2026-01-12', finishOn: '2026-06-01' },
    )!;
    const [a, b, c] = chart.dots as [
      { x: number; y: number },
      { x: number; y: number },
      { x: number; y: number },
    ];
    expect([a.x < b.x, b.x < c.x]).toEqual([true, true]);
    expect([b.y < c.y, c.y < a.y]).toEqual([true, true]);
    expect(chart.planned).toEqual({ x: b.x, y: a.y });
    expect(chart.at80).toHaveLength(1);
    expect(chart.at80[0]!.split(' ')).toHaveLength(2);
    for (const { x, y } of chart.dots) {
      expect(x >= chart.frame.left && x <= chart.frame.right).toBe(true);
      expect(y >= chart.frame.top && y <= chart.frame.bottom).toBe(true);
    }
    expect(chart.yTicks.map(({ label }) => label)).toContain('Jun 2026');
    expect(chart.words).toBe(
      'The finish as estimated from 5 Jan 2026 to 19 Jan 2026: 1 Jun 2026 at first, 8 Jun 2026 at last, 7 days later; the kept plan said 1 Jun 2026.',
    );
  });

  it('draws a finish that never moved in the middle, with its day beside it, and nothing of one estimate', () => {
    const chart = finishChart(
      [estimate('2026-03-02', '2026-06-10'), estimate('2026-03-09', '2026-06-10')],
      null,
    )!;
    const { top, bottom } = chart.frame;
    expect(Math.abs(chart.dots[0]!.y - (top + bottom) / 2)).toBeLessThan(10);
    expect(chart.yTicks.map(({ label }) => label)).toEqual(['10 Jun']);
    expect(chart.xTicks.map(({ label }) => label)).toEqual(['2 Mar', '9 Mar']);
    expect(chart.words).toContain('the same');
    expect(finishChart([estimate('2026-03-02', '2026-06-10')], null)).toBeNull();
    expect(finishChart([], null)).toBeNull();
  });

  it('breaks the line of 80 % where none was stored', () => {
    const chart = finishChart(
      Array.from({ length: 9 }, (_, n) =>
        estimate(`2026-03-0${n + 1}`, '2026-06-10', n === 4 ? null : '2026-07-10'),
      ),
      null,
    )!;
    expect(chart.at80.map((run) => run.split(' ').length)).toEqual([4, 4]);
    // one alone is a dash at its place, inside the frame
    const alone = finishChart(
      [estimate('2026-03-02', '2026-06-10'), estimate('2026-03-09', '2026-06-10', '2026-07-10')],
      null,
    )!;
    const [from, to] = alone.at80[0]!.split(' ').map((point) => point.split(',').map(Number)) as [
      number[],
      number[],
    ];
    expect(alone.at80).toHaveLength(1);
    expect(to[0]! - from[0]!).toBeGreaterThan(5);
    expect(to[0]!).toBeLessThanOrEqual(alone.frame.right);
    expect(from[1]).toBe(to[1]);
  });
});

const kept = ({ context }: TestApp) =>
  context.db.read.baseline.findMany({ orderBy: { id: 'asc' }, include: { lines: true } });

describe('/schedule/baselines', () => {
  it('is seen by the shop, kept by the lead, and says what to do first', async () => {
    const app = await startApp();
    expect((await app.visitor().get('/schedule/baselines')).status).toBe(303);
    expect((await (await app.as('imre')).get('/schedule/baselines')).status).toBe(403);
    const crew = await app.as('crew');
    const lead = await app.as('lead');
    expect((await crew.get('/schedule/baselines')).text).toContain('No plan is kept yet');
    expect((await lead.get('/schedule/baselines')).text).toContain('There is nothing to keep so far');
    const empty = await lead.post('/schedule/baselines', { name: 'Too soon' });
    expect(empty.status).toBe(409);
    expect(empty.text).toContain('Nothing is left to plan');
    await anotherJob(app);
    expect((await lead.get('/schedule/baselines')).text).toContain('Keep the plan of today');
    expect((await crew.get('/schedule/baselines')).text).not.toContain('Keep the plan of today');
    expect((await crew.post('/schedule/baselines', { name: 'Mine' })).status).toBe(403);
    expect(await kept(app)).toEqual([]);
  });

  it('keeps a plan and tells the slips against it', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const { id } = await anAssembly(app, {
      name: 'Frame',
      children: [
        { name: 'Post', kind: 'bought', leadDays: 10 },
        { name: 'Cap', kind: 'bought', leadDays: 3 },
      ],
    });
    const paint = await anotherJob(app, { title: 'Paint <b>it</b>', days: 2 });
    const sweep = await anotherJob(app, { title: 'Sweep', days: 1 });
    const drop = await anotherJob(app, { title: 'Polish', days: 1 });
    const sent = await lead.post('/schedule/baselines', { name: 'At the start', note: 'As agreed.' });
    expect(sent.status).toBe(303);
    expect(sent.headers.location).toBe('/schedule/baselines/1');
    const [plan] = await kept(app);
    expect(plan).toMatchObject({ name: 'At the start', day: '2026-03-02', createdById: 1 });
    expect(plan!.lines.map(({ label }) => label).sort()).toEqual(
      [
        'Paint <b>it</b>',
        'Polish',
        'Sweep',
        ...plan!.lines.flatMap(({ label, partId }) => (partId ? [label] : [])),
      ].sort(),
    );
    expect(plan!.lines).toHaveLength(6);

    app.passDays(7);
    await asPerson(app, 'lead', (act) => changeJob(act, paint, { days: 10 }));
    await asPerson(app, 'lead', (act) =>
      finishJob(act, { jobId: sweep, result: 'swept', ready: true, atBench: false }),
    );
    await asPerson(app, 'lead', (act) => dropJob(act, { jobId: drop, reason: 'not needed' }));
    const lid = await aPart(app, { name: 'Lid', kind: 'bought', leadDays: 10 });
    await asLead(app, (act) => addUse(act, { parentId: id, childId: lid.id, milli: 1000 }));

    const page = words((await lead.get('/schedule/baselines/1')).text);
    expect(page).toContain('Frame drives the finish');
    expect(page).toMatch(/Frame drives the finish \d+ Mar \d+ Mar 7 days later \+5/);
    expect(page).toContain('As agreed.');
    const jobs = (await lead.get('/schedule/baselines/1?of=jobs')).text;
    expect(jobs).toContain('Paint &lt;b&gt;it&lt;/b&gt;');
    expect(words(jobs)).toContain('Sweep 2 Mar since 9 Mar 7 days later +5');
    expect(words(jobs)).toMatch(/Polish 2 Mar gone/);
    expect(words((await lead.get('/schedule/baselines/1?of=new')).text)).toContain('Lid');
    expect((await lead.get('/schedule/baselines/1?of=nonsense&page=zz')).status).toBe(200);
    const list = words((await lead.get('/schedule/baselines')).text);
    expect(list).toContain('At the start As agreed. 2 Mar');
    expect(list).toContain('7 days later');
    expect((await lead.get('/log')).text).toContain('kept the plan of the day: At the start');
  });

  it('draws the finish over the weeks with its table', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const id = await anotherJob(app, { days: 3 });
    await lead.post('/schedule/baselines', { name: 'Start' });
    expect((await lead.get('/schedule/baselines')).text).toContain('One week has an estimate so far');
    for (const days of [8, 20]) {
      app.passDays(7);
      await asPerson(app, 'lead', (act) => changeJob(act, id, { days }));
      await lead.get('/schedule');
    }
    // what was computed is stored a moment later
    await expect.poll(() => app.context.db.read.finishRecord.count(), { timeout: 5000 }).toBe(3);
    for (const path of ['/schedule/baselines', '/schedule/baselines/1']) {
      const { text } = await lead.get(path);
      expect(text).toMatch(/<polyline class="c-axis" points="[\d., ]+"/);
      expect(text).not.toMatch(/ style=/);
      expect(words(text)).toContain('16 Mar 10 Apr 2026');
      expect(text).toContain('aria-label="The finish as estimated from 2 Mar 2026 to 16 Mar 2026');
    }
    expect((await lead.get('/schedule/baselines/1')).text).toContain('<line class="c-chain"');
  });

  it('answers what does not fit at its field, keeps what was typed and stores nothing', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    await anotherJob(app);
    await lead.post('/schedule/baselines', { name: 'Spring' });
    const before = await app.context.db.read.act.count();
    const cases: [Record<string, string>, string][] = [
      [{ name: '' }, 'Give it a name'],
      [{ name: 'x'.repeat(81) }, 'At most 80 characters; this has 81.'],
      [{ name: 'a\u0007b' }, 'characters that cannot be seen'],
      [{ name: 'SPRING' }, 'A plan of 2 Mar 2026 is kept by this name: Spring.'],
      [{ name: 'Good', note: 'y'.repeat(501) }, 'At most 500 characters; this has 501.'],
      [{ name: '<script>alert(1)</script>', note: 'y'.repeat(501) }, '&lt;script&gt;'],
    ];
    for (const [fields, sentence] of cases) {
      const { status, text } = await lead.post('/schedule/baselines', { note: 'typed words', ...fields });
      expect(`${JSON.stringify(fields).slice(0, 60)} ${status}`).toBe(
        `${JSON.stringify(fields).slice(0, 60)} 422`,
      );
      expect(text).toContain(sentence);
      expect(text).not.toContain('<script>alert');
      if (!fields.note) expect(text).toContain('typed words');
    }
    expect(await kept(app)).toHaveLength(1);
    expect(await app.context.db.read.act.count()).toBe(before);
    for (const id of ['99', '0', 'x', '1e3']) {
      expect((await lead.get(`/schedule/baselines/${id}`)).status).toBe(404);
      expect((await lead.post(`/schedule/baselines/${id}/name`, { name: 'No' })).status).toBe(404);
      expect((await lead.post(`/schedule/baselines/${id}/remove`)).status).toBe(404);
    }
  });

  it('is renamed, and taken off the list by one of two', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    await anotherJob(app);
    await lead.post('/schedule/baselines', { name: 'Spring' });
    await lead.post('/schedule/baselines', { name: 'Summer' });
    const taken = await lead.post('/schedule/baselines/2/name', { name: 'spring' });
    expect(taken.status).toBe(422);
    expect(taken.text).toContain('is kept by this name: Spring.');
    expect((await lead.post('/schedule/baselines/2/name', { name: 'SUMMER' })).status).toBe(303);
    const crew = await app.as('crew');
    expect((await crew.post('/schedule/baselines/2/remove')).status).toBe(403);
    expect((await crew.get('/schedule/baselines/2')).text).not.toContain('Rename it');
    expect((await lead.post('/schedule/baselines/2/remove')).status).toBe(303);
    const second = await lead.post('/schedule/baselines/2/remove');
    expect(second.status).toBe(409);
    expect(second.text).toContain('SUMMER is off the list already.');
    expect((await lead.get('/schedule/baselines/2')).status).toBe(404);
    expect((await kept(app)).map(({ removedAt }) => removedAt !== null)).toEqual([false, true]);
    // its name is free again
    expect((await lead.post('/schedule/baselines', { name: 'Summer' })).status).toBe(303);
  });

  it('keeps one plan of a name when two are sent at once, and one when one is sent twice', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    await anotherJob(app);
    await lead.csrf();
    const both = await Promise.all([1, 2].map(() => lead.post('/schedule/baselines', { name: 'Twins' })));
    expect(both.map(({ status }) => status).sort()).toEqual([303, 422]);
    for (let n = 0; n < 2; n += 1) {
      expect((await lead.post('/schedule/baselines', { name: 'Once', _once: 'same' })).status).toBe(303);
    }
    expect((await kept(app)).map(({ name }) => name)).toEqual(['Twins', 'Once']);
  });

  it('keeps the plan as it is in the act itself, also right after another act', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const id = await anotherJob(app, { days: 1 });
    await lead.get('/schedule');
    await lead.csrf();
    const [, sent] = await Promise.all([
      asPerson(app, 'crew', (act) => changeJob(act, id, { days: 5 })),
      lead.post('/schedule/baselines', { name: 'Race' }),
    ]);
    expect(sent.status).toBe(303);
    const [plan] = await kept(app);
    const acts = await app.context.db.read.act.findMany({ orderBy: { id: 'desc' }, take: 2 });
    const keptLast = acts[0]!.kind === 'keep-baseline';
    expect(plan!.finishOn).toBe(keptLast ? '2026-03-06' : '2026-03-02');
  });
});
