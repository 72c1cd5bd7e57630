import { describe, expect, it } from 'vitest';
import { createJob, startJob } from '../../src/jobs/index.ts';
import { actSentence, readLog } from '../../src/log/index.ts';
import { removePart } from '../../src/parts/index.ts';
import { waitingDecisions } from '../../src/problems/index.ts';
import { buildFactsReader } from '../../src/schedule/facts-reader.ts';
import { leadSteps } from '../../src/schedule/lead-steps.ts';
import { scheduleOf } from '../../src/schedule/schedule.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { anotherJob, asPerson } from '../support/jobs.ts';
import { anAssembly, aPart, asLead } from '../support/parts.ts';
import { aDecision, aGathering } from '../support/problems.ts';

const decision = ({ context }: TestApp, id: number) =>
  context.db.read.decision.findUniqueOrThrow({ where: { id } });

const shown = (html: string) =>
  html
    .slice(html.indexOf('<main'), html.indexOf('</main>'))
    .replace(/<[^>]+>/g, ' ')
    .replace(/\s+/g, ' ');

const scheduleNow = ({ context }: TestApp) => scheduleOf(buildFactsReader(context.db)('2026-03-02')!);

/** Two jobs one after the other by a longer third: the short ones can wait. */
async function aBuild(app: TestApp) {
  await anotherJob(app, { title: 'The long one', days: 20 });
  return anotherJob(app, { title: 'The short <one>', days: 5 });
}

const form = { question: 'Which?', options: 'a\nb', jobId: '', part: '', deciderId: '', gatheringId: '' };

describe('the day a decision must be taken by', () => {
  it('is the latest start of the job that waits, by the network, with the earliest beside it', async () => {
    const app = await startApp();
    const jobId = await aBuild(app);
    const id = await aDecision(app, { jobId });
    const time = scheduleNow(app).jobTimes.get(jobId)!;
    // The long one takes twenty working days from Monday 2 March, to Friday 27: five before its end begin on the 23rd.
    expect(time).toMatchObject({ startOn: '2026-03-02', lateStartOn: '2026-03-23', floatDays: 15 });
    const page = shown((await (await app.as('lead')).get(`/decisions/${id}`)).text);
    expect(page).toContain('To be taken by 23 Mar Left 21 days Of use from 2 Mar');
    expect(page).toContain('can begin on 2 Mar and must begin by 23 Mar, or the finish moves');
    // Begun on that day it ends with the long one; a day later the finish has moved.
    const finish = scheduleNow(app).finishOn;
    app.setNow('2026-03-23T08:00:00Z');
    const late = scheduleOf(buildFactsReader(app.context.db)('2026-03-23')!);
    expect(finish).toBe('2026-03-27');
    expect(late.jobTimes.get(jobId)!.likelyOn).toBe('2026-03-27');
  });

  it('follows the work on a part: its jobs, and what no job answers for', async () => {
    const app = await startApp();
    const part = await aPart(app, { name: 'Moon arm', makeDays: 3 });
    await anAssembly(app, { children: [{ id: part.id }] });
    await anotherJob(app, { title: 'The long one', days: 200 });
    const id = await aDecision(app, { partId: part.id });
    const schedule = scheduleNow(app);
    const without = schedule.partTimes.get(part.id)!;
    expect(without.lateStartOn! > without.startOn!).toBe(true);
    const lead = await app.as('lead');
    const first = shown((await lead.get(`/decisions/${id}`)).text);
    expect(first).toContain(`The work on ${part.number}, Moon arm, can begin on 2 Mar and must begin by `);
    expect(first).toContain(`What waits for it the work on ${part.number}, Moon arm`);
    // It comes into the lead's steps as one on a job does.
    const step = leadSteps(schedule).find(({ decisionId }) => decisionId === id)!;
    expect(step).toMatchObject({
      act: 'decide',
      partId: part.id,
      because: 'the work on Moon arm waits for it',
    });
    const held = step.later.map((change) => schedule.network.nodes[change.step]!.part?.id);
    expect(held.length).toBeGreaterThan(1);
    expect(new Set(held)).toEqual(new Set([part.id]));
    const design = await asPerson(app, 'lead', (act) =>
      createJob(act, { kind: 'design', title: 'Draw it', partId: part.id, milli: 1000 }),
    );
    await asPerson(app, 'lead', (act) => startJob(act, design));
    const begun = shown((await lead.get(`/decisions/${id}`)).text);
    expect(begun).toContain(`Job ${design}, Draw it, has begun without it`);
    expect(begun).toContain('Left today');
  });

  it('says that nothing waits where the part is all there, and orders the list by days left', async () => {
    const app = await startApp();
    const jobId = await aBuild(app);
    const part = await aPart(app, { name: 'On the shelf' });
    const over = await aDecision(app, { question: 'Over?', partId: part.id });
    await aDecision(app, {
      question: 'Later?',
      gatheringId: await aGathering(app, { fromOn: '2026-05-01', untilOn: '2026-05-02' }),
    });
    await aDecision(app, { question: 'Soon?', jobId });
    const lead = await app.as('lead');
    expect(shown((await lead.get(`/decisions/${over}`)).text)).toContain(
      `The work on ${part.number}, On the shelf, is over: nothing waits for it any more`,
    );
    const list = shown((await lead.get('/decisions')).text);
    const order = ['Soon?', 'Later?', 'Over?'].map((question) => list.indexOf(question));
    expect([...order].sort((a, b) => a - b)).toEqual(order);
    const times = { of: () => null, ofPart: () => null, finishOn: () => null };
    const waiting = await waitingDecisions(app.context.db, times, '2026-03-02');
    expect(waiting.map(({ question }) => question)).toEqual(['Later?', 'Over?', 'Soon?']);
  });

  it('warns when the gathering it is kept for begins after it', async () => {
    const app = await startApp();
    const jobId = await aBuild(app);
    const late = await aGathering(app, { title: 'Too late', fromOn: '2026-03-25', untilOn: '2026-03-26' });
    const good = await aGathering(app, { title: 'In time', fromOn: '2026-03-20', untilOn: '2026-03-21' });
    const id = await aDecision(app, { jobId, gatheringId: late });
    const lead = await app.as('lead');
    const words = 'Too late begins on 25 Mar, 2 days after that: the finish would move.';
    expect(shown((await lead.get(`/decisions/${id}`)).text)).toContain(words);
    expect(shown((await lead.get('/decisions')).text)).toContain(words);
    const seen = { ...form, seen: '0', jobId: String(jobId), gatheringId: String(good) };
    expect((await lead.post(`/decisions/${id}/change`, seen)).status).toBe(303);
    expect(shown((await lead.get('/decisions')).text)).not.toContain('the finish would move');
  });
});

describe('who decides', () => {
  it('is somebody of lead and crew; nobody else but the lead takes it', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const crew = await app.as('crew');
    expect((await lead.get('/decisions/new')).text).not.toContain('Imre');
    const asked = await lead.post('/decisions', { ...form, deciderId: String(castId.crew) });
    const page = shown((await crew.get(asked.headers.location!)).text);
    expect(page).toContain('Who decides Tor Eide');
    expect(page).toContain('Options');
    expect(shown((await lead.get('/decisions')).text)).toContain('Tor Eide decides.');
    const own = await aDecision(app);
    const foreign = (await crew.get(`/decisions/${own}`)).text;
    expect(shown(foreign)).toContain('The lead decides this, between: brass · steel.');
    expect(foreign).not.toContain(`/decisions/${own}/take`);
    const answer = { option: 'brass', other: '', reason: '' };
    const refused = await crew.post(`/decisions/${own}/take`, answer);
    expect(refused.status).toBe(409);
    expect(refused.text).toContain('Only the lead decides this.');
    expect((await decision(app, own)).decidedAt).toBeNull();
    const taken = await crew.post(`${asked.headers.location}/take`, { ...answer, option: 'a' });
    expect(taken.status).toBe(303);
    expect((await lead.post(`/decisions/${own}/take`, answer)).status).toBe(303);
    const [row] = readLog(app.context.db, { thing: { type: 'decision', id: 1 } }, { limit: 9 }).reverse();
    expect(row).toMatchObject({ kind: 'ask-decision', about: 'Tor Eide' });
    expect(actSentence(row!)).toBe('asked Tor Eide for a decision: Which?');
    await crew.post('/decisions', { ...form, question: 'Mine?', deciderId: String(castId.crew) });
    expect(shown((await lead.get('/log')).text)).toContain('Tor Eide asked for a decision: Mine?');
  });

  it('is not a maker, nobody, or somebody who has left', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const cases: [Record<string, string>, string][] = [
      [{ deciderId: String(castId.imre) }, 'Choose a person of the list.'],
      [{ deciderId: '999' }, 'Choose a person of the list.'],
      [{ deciderId: 'x' }, 'Choose a person of the list.'],
      [{ part: 'TB-9999' }, 'No part has the number TB-9999.'],
      [{ part: 'x'.repeat(41) }, 'At most 40 characters'],
    ];
    for (const [wrong, sentence] of cases) {
      const { status, text } = await lead.post('/decisions', { ...form, question: 'Kept <i>?', ...wrong });
      expect([status, wrong]).toEqual([422, wrong]);
      expect(text).toContain(sentence);
      expect(text).toContain('Kept &lt;i&gt;?');
    }
    expect(await app.context.db.read.decision.count()).toBe(0);
    expect((await (await app.as('imre')).get('/decisions/new')).status).toBe(403);
  });
});

describe('a question that is changed', () => {
  it('keeps what stands, tells the second editor, and is closed once it is decided', async () => {
    const app = await startApp();
    const { number, id: partId } = await aPart(app);
    const gatheringId = await aGathering(app);
    const id = await aDecision(app, { partId, gatheringId, deciderId: castId.crew });
    const crew = await app.as('crew');
    const page = (await crew.get(`/decisions/${id}/change`)).text;
    expect(page).toContain(`value="${number}"`);
    expect(page).toMatch(new RegExp(`<option value="${castId.crew}" selected>Tor Eide`));
    // The gathering is over by now: it may stay, but is no choice for another question.
    app.setNow('2026-03-20T08:00:00Z');
    const change = (fields: object) =>
      crew.post(`/decisions/${id}/change`, {
        ...form,
        part: number,
        deciderId: String(castId.crew),
        gatheringId: String(gatheringId),
        seen: '0',
        ...fields,
      });
    expect((await change({ question: '' })).text).toContain('Type the question.');
    const [one, two] = await Promise.all([change({ question: 'First?' }), change({ question: 'Second?' })]);
    expect([one.status, two.status].sort()).toEqual([303, 409]);
    const second = one.status === 409 ? one : two;
    expect(second.text).toContain('Somebody changed this while you were at it');
    expect(second.text).toMatch(/value="(First|Second)\?"/);
    // Who was told may send it again from there.
    const newest = /name="seen" value="(\d+)"/.exec(second.text)![1]!;
    const again = await change({ question: 'Third?', seen: newest });
    expect([again.status, (await decision(app, id)).question]).toEqual([303, 'Third?']);
    expect(await decision(app, id)).toMatchObject({ partId, gatheringId, deciderId: castId.crew });
    const act = await app.context.db.read.act.findFirstOrThrow({ where: { kind: 'change-decision' } });
    expect(act).toMatchObject({ partId, aboutId: null });
    expect(Object.keys(JSON.parse(act.before!))).toEqual(['question', 'options']);
    expect(shown((await crew.get('/log')).text)).toMatch(/changed a question: Third\?/);
    await crew.post(`/decisions/${id}/take`, { option: 'a', other: '', reason: '' });
    const closed = await crew.get(`/decisions/${id}/change`);
    expect(shown(closed.text)).toContain('The answer a');
    expect((await change({ question: 'Too late?' })).status).toBe(409);
    expect((await crew.get('/decisions/99/change')).status).toBe(404);
  });
});

describe('an answer', () => {
  it('is to the question that was read: who answers an older one is told, and keeps what was typed', async () => {
    const app = await startApp();
    const id = await aDecision(app);
    const lead = await app.as('lead');
    const seen = /name="seen" value="(\d+)"/.exec((await lead.get(`/decisions/${id}`)).text)![1]!;
    const crew = await app.as('crew');
    await crew.post(`/decisions/${id}/change`, { ...form, question: 'Paint it?', options: 'yes\nno', seen });
    const answer = { option: '', other: 'steel', reason: 'It wears less.', seen };
    const late = await lead.post(`/decisions/${id}/take`, answer);
    expect(late.status).toBe(409);
    expect(shown(late.text)).toContain('Somebody changed this while you were at it');
    expect(late.text).toContain('It wears less.');
    expect((await decision(app, id)).decidedAt).toBeNull();
    const fresh = /name="seen" value="(\d+)"/.exec(late.text)![1]!;
    expect((await lead.post(`/decisions/${id}/take`, { ...answer, seen: fresh })).status).toBe(303);
    // Who decides second is told, and what they typed stands on the page.
    const second = await lead.post(`/decisions/${id}/take`, {
      ...answer,
      reason: 'Lighter & quiet',
      seen: fresh,
    });
    expect(second.status).toBe(409);
    expect(second.text).toContain('This is decided already');
    expect(second.text).toContain('You had typed:');
    expect(second.text).toContain('Lighter &amp; quiet');
  });
});

describe('a question of somebody else', () => {
  it('is handed on by who asked, who decides and the lead, and taken over by nobody', async () => {
    const app = await startApp();
    const id = await aDecision(app);
    const [lead, crew] = [await app.as('lead'), await app.as('crew')];
    const change = (who: typeof lead, fields: object) =>
      who.post(`/decisions/${id}/change`, { ...form, question: 'Which?', ...fields });
    const grabbed = await change(crew, { deciderId: String(castId.crew), seen: '0' });
    expect(grabbed.status).toBe(422);
    expect(grabbed.text).toContain('Only who asked, who decides, or the lead names somebody else.');
    expect((await change(crew, { question: 'Which one?', seen: '0' })).status).toBe(303);
    const seen = async () => /name="seen" value="(\d+)"/.exec((await lead.get(`/decisions/${id}`)).text)![1]!;
    expect((await change(lead, { deciderId: String(castId.crew), seen: await seen() })).status).toBe(303);
    // Who decides has left: saving the form does not hand the question on unseen.
    await app.context.db.write.person.update({
      where: { id: castId.crew },
      data: { deactivatedAt: new Date() },
    });
    const page = (await lead.get(`/decisions/${id}/change`)).text;
    expect(page).toMatch(new RegExp(`<option value="${castId.crew}" selected>Tor Eide, who has left`));
    expect(shown((await lead.get(`/decisions/${id}`)).text)).toContain(
      'Who decides the lead, as Tor Eide has left',
    );
    expect(shown((await lead.get('/decisions')).text)).toContain('has left: the lead decides.');
  });

  it('can be changed when its part was taken out of the build', async () => {
    const app = await startApp();
    const { id: partId, number } = await aPart(app);
    const id = await aDecision(app, { partId });
    await asLead(app, (act) => removePart(act, partId, () => []));
    const lead = await app.as('lead');
    const sent = { ...form, question: 'Still?', part: number, seen: '0' };
    expect((await lead.post(`/decisions/${id}/change`, sent)).status).toBe(303);
    expect(await decision(app, id)).toMatchObject({ question: 'Still?', partId });
    expect((await lead.post('/decisions', sent)).text).toContain(`No part has the number ${number}.`);
  });
});
