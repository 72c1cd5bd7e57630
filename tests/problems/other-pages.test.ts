import { describe, expect, it, vi } from 'vitest';
import { changeJob } from '../../src/jobs/index.ts';
import { readPartLabels } from '../../src/papers/part-labels.ts';
import { addUse } from '../../src/parts/index.ts';
import { openProblems, problemsOfPart, waitingDecisions } from '../../src/problems/index.ts';
import { startApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { aClaim, aFabrication, anOfferedJob, asPerson } from '../support/jobs.ts';
import { anAssembly, asLead } from '../support/parts.ts';
import { aDecision, aGathering, aProblem } from '../support/problems.ts';

/** What a page shows as text in its main block, without markup. */
const shown = (html: string) =>
  html
    .slice(html.indexOf('<main'), html.indexOf('</main>'))
    .replace(/<[^>]+>/g, ' ')
    .replace(/\s+/g, ' ');

describe('the decisions’ pages', () => {
  it('ask, show the day it must be taken by, and take it once', async () => {
    const app = await startApp();
    const { jobId } = await anOfferedJob(app, { title: 'Moon arm' });
    const lead = await app.as('lead');
    const sent = await lead.post('/decisions', {
      question: 'Brass or <steel>?',
      options: 'brass\n\n steel ',
      jobId: String(jobId),
      gatheringId: '',
    });
    const here = sent.headers.location!;
    const page = (await lead.get(here)).text;
    expect(page).toContain('Brass or &lt;steel&gt;?');
    expect(shown(page)).toMatch(
      new RegExp(`To be taken by \\d+ \\w+ Left .+ Why then Job ${jobId}, Moon arm, can begin`),
    );
    const list = shown((await lead.get('/decisions')).text);
    expect(list).toContain('brass · steel');
    const wrong: [Record<string, string>, string][] = [
      [{ option: '', other: '', reason: '' }, 'Choose an option or type the answer.'],
      [{ option: 'brass', other: 'bronze', reason: '' }, 'not both'],
      [{ option: 'brass', other: '', reason: 'x'.repeat(2001) }, 'At most 2000 characters'],
    ];
    for (const [fields, sentence] of wrong) {
      const { status, text } = await lead.post(`${here}/take`, fields);
      expect(status).toBe(422);
      expect(text).toContain(sentence);
    }
    const take = () => lead.post(`${here}/take`, { option: 'brass', other: '', reason: 'It is here.' });
    const answers = await Promise.all([take(), take()]);
    expect(answers.map(({ status }) => status).sort()).toEqual([303, 409]);
    expect(shown((await lead.get(here)).text)).toContain('The answer brass It is here.');
    expect((await lead.get('/decisions/77')).status).toBe(404);
  });

  it('say at the field what does not fit', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const over = await aGathering(app, { fromOn: '2026-03-02', untilOn: '2026-03-02' });
    app.passDays(2);
    const form = { question: 'Which?', options: 'a\nb', jobId: '', gatheringId: '' };
    const cases: [Record<string, string>, string][] = [
      [{ question: '' }, 'Type the question.'],
      [{ question: 'x'.repeat(201) }, 'At most 200 characters'],
      [{ options: 'only one' }, 'One option is no choice'],
      [{ options: Array.from({ length: 13 }, (_, at) => at).join('\n') }, 'At most 12 options'],
      [{ options: `${'x'.repeat(201)}\nb` }, 'An option has at most 200 characters'],
      [{ jobId: 'seven' }, 'Type the number of a job.'],
      [{ jobId: '999' }, 'There is no job 999.'],
      [{ gatheringId: '999' }, 'Choose a gathering that is still ahead.'],
      [{ gatheringId: String(over) }, 'Choose a gathering that is still ahead.'],
    ];
    for (const [wrong, sentence] of cases) {
      const { status, text } = await lead.post('/decisions', { ...form, ...wrong });
      expect(status).toBe(422);
      expect(text).toContain(sentence);
    }
    expect(await app.context.db.read.decision.count()).toBe(0);
  });
});

describe('the gatherings’ pages', () => {
  const form = {
    title: 'Spring fit-up',
    fromOn: '2026-03-14',
    untilOn: '2026-03-15',
    place: 'Fjord Road 7',
    places: '2',
    beginsAt: '09:00',
    dayHours: '8',
    note: 'Bring <gloves>',
  };

  it('show the place to the shop and to those who come, and to nobody else', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const here = (await lead.post('/gatherings', form)).headers.location!;
    const imre = await app.as('imre');
    const before = (await imre.get(here)).text;
    expect(before).not.toContain('Fjord');
    expect(before).toContain('told to those who come');
    expect(before).toContain('Bring &lt;gloves&gt;');
    expect((await imre.get('/gatherings')).text).not.toContain('Fjord');
    expect((await imre.post(`${here}/come`, { skills: 'scraping <b>' })).headers.location).toBe(here);
    expect((await imre.get(here)).text).toContain('Fjord Road 7');
    expect((await (await app.as('crew')).get(here)).text).toContain('Fjord Road 7');
    const farid = (await (await app.as('farid')).get(here)).text;
    expect(farid).toContain('scraping &lt;b&gt;');
    expect(farid).not.toContain('Fjord');
    expect(farid).not.toContain('example.org');
    expect((await lead.get('/log')).text).not.toMatch(/Fjord|scraping/);
    await imre.post(`${here}/leave`);
    expect((await imre.get(here)).text).not.toContain('Fjord');
    expect((await app.visitor().get(here)).status).toBe(303);
  });

  it('give the last place to exactly one of two who press at the same moment', async () => {
    const app = await startApp();
    const id = await aGathering(app, { places: 1 });
    const [imre, farid] = [await app.as('imre'), await app.as('farid')];
    const sent = await Promise.all(
      [imre, farid].map((one) => one.post(`/gatherings/${id}/come`, { skills: '' })),
    );
    expect(sent.map(({ status }) => status).sort()).toEqual([303, 409]);
    expect(sent.find(({ status }) => status === 409)?.text).toContain(
      'All 1 places of Spring fit-up are taken.',
    );
    expect(await app.context.db.read.comer.count()).toBe(1);
    const late = await app.as('sunniva');
    expect((await late.get(`/gatherings/${id}`)).text).toContain('All places are taken.');
  });

  it('let the lead write others down; makers plan nothing and speak for nobody else', async () => {
    const app = await startApp();
    const id = await aGathering(app);
    const here = `/gatherings/${id}`;
    const lead = await app.as('lead');
    const comer = { personId: String(castId.sunniva), skills: 'soldering' };
    expect((await lead.post(`${here}/comers`, comer)).status).toBe(303);
    expect((await lead.post(`${here}/comers`, { ...comer, personId: '99' })).text).toContain(
      'There is no such person here.',
    );
    expect((await lead.post(`${here}/comers`, { ...comer, personId: '' })).status).toBe(422);
    expect((await lead.get(here)).text).toContain('Sunniva Dahl');
    const imre = await app.as('imre');
    for (const path of ['/gatherings/new', `${here}/change`]) expect((await imre.get(path)).status).toBe(403);
    for (const path of [
      '/gatherings',
      `${here}/change`,
      `${here}/drop`,
      `${here}/comers`,
      `${here}/comers/remove`,
    ]) {
      expect((await imre.post(path, { ...form, ...comer, seen: '0', reason: '' })).status).toBe(403);
    }
    expect((await imre.post(`${here}/leave`)).status).toBe(409);
    expect((await lead.post(`${here}/comers/remove`, { personId: String(castId.sunniva) })).status).toBe(303);
    expect((await imre.get('/gatherings')).text).toContain('aria-current="page">Gatherings');
  });

  it('say at the field what does not fit, and keep what was typed', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const cases: [Record<string, string>, string][] = [
      [{ title: '' }, 'Name the gathering.'],
      [{ fromOn: '' }, 'Type a day as year-month-day'],
      [{ untilOn: '2026-03-13' }, 'The last day comes before the first'],
      [{ fromOn: '2026-01-01', untilOn: '2026-01-02' }, 'This day is past'],
      [{ untilOn: '2026-08-01' }, 'At most 60 days'],
      [{ places: '0' }, 'At least 1; this is 0.'],
      [{ places: '2.5' }, 'Type a whole number.'],
      [{ places: '1e9' }, 'Type a whole number.'],
      [{ place: 'x'.repeat(501) }, 'At most 500 characters'],
    ];
    for (const [wrong, sentence] of cases) {
      const { status, text } = await lead.post('/gatherings', { ...form, ...wrong });
      expect(status).toBe(422);
      expect(text).toContain(sentence);
      expect(text).toContain('Bring &lt;gloves&gt;');
    }
    expect(await app.context.db.read.gathering.count()).toBe(0);
    const id = await aGathering(app);
    const skills = await lead.post(`/gatherings/${id}/come`, { skills: 'x'.repeat(201) });
    expect(skills.status).toBe(422);
    expect((await lead.get('/gatherings/77')).status).toBe(404);
  });

  it('list the jobs and decisions kept for it, and what becomes of them when it is called off', async () => {
    const app = await startApp();
    const id = await aGathering(app);
    const { jobId } = await anOfferedJob(app, { title: 'Moon arm' });
    await asPerson(app, 'lead', (act) => changeJob(act, jobId, { gatheringId: id }));
    await aDecision(app, { gatheringId: id });
    const lead = await app.as('lead');
    const page = shown((await lead.get(`/gatherings/${id}`)).text);
    expect(page).toContain(`${jobId} Moon arm offered`);
    expect(page).toContain('Brass or steel for the moon arm?');
    expect((await (await app.as('imre')).get(`/gatherings/${id}`)).text).not.toContain('/decisions/');
    expect((await lead.post(`/gatherings/${id}/drop`, { reason: '' })).status).toBe(303);
    expect(shown((await lead.get(`/gatherings/${id}`)).text)).toContain('need another date');
    expect(shown((await lead.get('/decisions')).text)).toContain('Spring fit-up is called off');
    expect((await lead.get(`/gatherings/${id}/change`)).text).toContain('Called off.');
    expect(shown((await lead.get('/gatherings')).text)).toContain('called off');
  });
});

describe('what other sheets show', () => {
  it('problemsOfPart tells everybody what there is, and opens the pages to those they concern', async () => {
    const app = await startApp();
    const job = await anOfferedJob(app);
    await aClaim(app, { who: 'imre', jobId: job.jobId });
    await aProblem(app, { partId: job.partId, severity: 3, title: 'Small' });
    await aProblem(app, { partId: job.partId, severity: 8, title: 'Grave' });
    await aProblem(app, { title: 'Elsewhere' });
    const { db } = app.context;
    const of = (who: 'lead' | 'imre' | 'farid') =>
      problemsOfPart(
        db,
        job.partId,
        { id: castId[who], role: who === 'lead' ? 'lead' : 'maker' },
        '2026-03-02',
      );
    const lead = await of('lead');
    expect(lead.pending.map(({ title }) => title)).toEqual(['Grave', 'Small']);
    expect(lead).toMatchObject({
      addHref: `/problems/new?part=${job.number}`,
      allHref: `/problems?part=${job.number}`,
    });
    expect((await of('imre')).pending.map(({ opens }) => opens)).toEqual([true, true]);
    expect(await of('farid')).toMatchObject({ addHref: null, allHref: null });
    expect((await of('farid')).pending.map(({ opens }) => opens)).toEqual([false, false]);
    const open = await openProblems(db, '2026-03-02');
    expect(open.map(({ title }) => title)).toEqual(['Grave', 'Elsewhere', 'Small']);
  });

  it('problemsOfPart asks once for many problems whether a maker may open them', async () => {
    const app = await startApp();
    const job = await anOfferedJob(app);
    const other = await anOfferedJob(app);
    await aClaim(app, { who: 'imre', jobId: other.jobId });
    for (let at = 0; at < 4; at += 1) await aProblem(app, { partId: job.partId });
    const mine = await aProblem(app, { partId: job.partId, jobId: other.jobId });
    const { db } = app.context;
    const asked = vi.spyOn(db.read.claim, 'findMany');
    const found = await problemsOfPart(db, job.partId, { id: castId.imre, role: 'maker' }, '2026-03-02');
    expect(found.pending.filter(({ opens }) => opens).map(({ id }) => id)).toEqual([mine]);
    expect(asked.mock.calls.length).toBeLessThan(4);
  });

  it('problemsOfPart has a sheet of labels for every part below, however many', async () => {
    const app = await startApp();
    const top = await anAssembly(app, { number: 'BIG-1', children: [{ number: 'BIG-2', kind: 'assembly' }] });
    const { write } = app.context.db;
    const pins = Array.from({ length: 500 }, (_, at) => 1000 + at);
    await write.part.createMany({
      data: pins.map((id) => ({
        ...{ id, number: `PIN-${id}`, numberKey: `PIN-${id}`, name: 'Pin', kind: 'made' },
        createdAt: new Date(),
      })),
    });
    // the act that comes last makes the structure be read again
    await write.use.createMany({
      data: pins.slice(1).map((childId) => ({ parentId: top.childIds[0]!, childId, milli: 1000 })),
    });
    await asLead(app, (act) => addUse(act, { parentId: top.childIds[0]!, childId: pins[0]!, milli: 1000 }));
    const person = { id: castId.lead, role: 'lead' as const };
    const { labels } = await problemsOfPart(app.context.db, top.id, person, '2026-03-02');
    expect(labels).toEqual([
      { href: '/parts/BIG-1/labels.pdf', name: 'it and what goes into it' },
      { href: '/parts/BIG-1/labels.pdf?below=all', name: 'all below it too, 1 to 480 of 502' },
      { href: '/parts/BIG-1/labels.pdf?below=all&from=481', name: 'all below it too, 481 to 502 of 502' },
    ]);
    const rest = await readPartLabels(app.context.db, 'BIG-1', { deep: true, from: 481, baseUrl: '' });
    expect(rest.labels.length).toBe(22);
  });

  it('waitingDecisions gives the most pressing first, by the days of the schedule', async () => {
    const app = await startApp();
    const { jobId } = await aFabrication(app);
    await aDecision(app, { question: 'No date?' });
    await aDecision(app, { question: 'Late?', jobId });
    await aDecision(app, { question: 'At the gathering?', gatheringId: await aGathering(app) });
    const times = {
      of: () => ({
        startOn: '2026-03-05',
        lateStartOn: '2026-03-09',
        likelyOn: null,
        needByOn: null,
        floatDays: 0,
        critical: true,
        ready: true,
      }),
      ofPart: () => null,
      finishOn: () => null,
    };
    const waiting = await waitingDecisions(app.context.db, times, '2026-03-02');
    expect(waiting.map(({ question, byOn, left }) => [question, byOn, left])).toEqual([
      ['Late?', '2026-03-09', '7 days'],
      ['At the gathering?', '2026-03-15', '13 days'],
      ['No date?', null, 'no date'],
    ]);
  });
});
