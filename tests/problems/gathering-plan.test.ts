import { describe, expect, it } from 'vitest';
import { createJob, finishJob, startJob } from '../../src/jobs/index.ts';
import {
  changeGathering,
  comeToGathering,
  dropGathering,
  leaveGathering,
  moveGathering,
  takeDecision,
} from '../../src/problems/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { type CastName, castId } from '../support/cast.ts';
import { aClaim, anOfferedJob, anotherJob, asPerson } from '../support/jobs.ts';
import { anAssembly } from '../support/parts.ts';
import { aDecision, aGathering } from '../support/problems.ts';

const come = (app: TestApp, gatheringId: number, who: CastName, over: Record<string, unknown> = {}) =>
  asPerson(app, who, (act) => comeToGathering(act, { gatheringId, personId: castId[who], ...over }));
const textOf = async (app: TestApp, who: CastName, path: string) =>
  (await (await app.as(who)).get(path)).text;

/** A drum is fitted at the gathering, of a shaft that Imre promised for the days just before it. */
async function aDoubtfulFitUp(app: TestApp) {
  const { jobId: shaftJob, partId } = await anOfferedJob(app, { quantity: 1, part: { name: 'Shaft' } });
  const drum = await anAssembly(app, { name: 'Drum', children: [{ id: partId }] });
  const gatheringId = await aGathering(app, { fromOn: '2026-04-04', untilOn: '2026-04-05' });
  await aClaim(app, { jobId: shaftJob, soonestDays: 15, likelyDays: 22, latestDays: 45 });
  const fitJob = await asPerson(app, 'lead', (act) =>
    createJob(act, { kind: 'fit-up', title: '', partId: drum.id, milli: 1000, gatheringId, hours: 3 }),
  );
  await come(app, gatheringId, 'lead');
  return { gatheringId, fitJob, shaftJob };
}

describe('the agenda page', () => {
  it('says what to do first: for a gathering without people, and for one without work', async () => {
    const app = await startApp();
    const id = await aGathering(app);
    const lead = await app.as('lead');
    const empty = await lead.get(`/gatherings/${id}/agenda`);
    expect(empty.status).toBe(200);
    expect(empty.text).toContain('Nobody comes yet');
    await come(app, id, 'lead');
    const without = await lead.get(`/gatherings/${id}/agenda`);
    expect(without.text).toContain('Nothing to be done there yet');
    expect((await lead.get(`/gatherings/${id}/packing`)).text).toContain('Nothing to pack yet');
    const far = await aGathering(app, { fromOn: '2028-05-01', untilOn: '2028-05-02' });
    await come(app, far, 'lead');
    expect((await lead.get(`/gatherings/${far}/agenda`)).text).toContain('Too far ahead');
  });

  it('places kept work and decisions within the hours, and says why', async () => {
    const app = await startApp();
    const id = await aGathering(app, { beginsAt: '10:30', dayHours: 6 });
    await come(app, id, 'lead');
    await come(app, id, 'imre', { skills: 'sweeping', fromOn: '2026-03-15', hours: 3 });
    const jobId = await anotherJob(app, { gatheringId: id, hours: 2 });
    const his = await anotherJob(app, { title: 'Oil the hinges', gatheringId: id, personId: castId.imre });
    await anotherJob(app, { title: 'Paint', gatheringId: id, personId: castId.farid });
    await anotherJob(app, { title: 'Dig', gatheringId: id, hours: 99 });
    await aDecision(app, { jobId, gatheringId: id });
    const text = await textOf(app, 'lead', `/gatherings/${id}/agenda`);
    expect(text).toContain('3 of 5 items');
    expect(text).toMatch(/10:30 to 11:00[\s\S]*Brass or steel[\s\S]*before “Sweep the shop”/);
    expect(text).toMatch(/11:00 to 13:00[\s\S]*Sweep the shop/);
    expect(text).toMatch(
      /Sun 15 Mar[\s\S]*10:30 to 12:30[\s\S]*Oil the hinges[\s\S]*when Imre Kovacs is there/,
    );
    expect(text).toContain('Farid Amiri does it and is not on the list');
    expect(text).toContain('takes 99 h, more than anybody is there for');
    expect(text).toContain(`/jobs/${his}`);
    // Imre sees the agenda with his own line marked, and no page of a decision
    const imres = await textOf(app, 'imre', `/gatherings/${id}/agenda`);
    expect(imres).toContain('Imre Kovacs, you');
    expect(imres).not.toContain('href="/decisions/');
  });

  it('says that a decision has nobody to take it', async () => {
    const app = await startApp();
    const id = await aGathering(app);
    await come(app, id, 'crew');
    await aDecision(app, { gatheringId: id });
    expect(await textOf(app, 'lead', `/gatherings/${id}/agenda`)).toContain(
      'the lead decides it, and is not on the list',
    );
  });

  it('tells the shop how likely a parcel is there and what its lateness would do; others only that it is doubtful', async () => {
    const app = await startApp();
    const { gatheringId, shaftJob } = await aDoubtfulFitUp(app);
    await come(app, gatheringId, 'sunniva');
    const shop = await textOf(app, 'crew', `/gatherings/${gatheringId}/agenda`);
    expect(shop).toContain('Fit up Drum');
    expect(shop).toMatch(new RegExp(`/jobs/${shaftJob}">Shaft</a>[\\s\\S]*with a maker: Imre Kovacs`));
    expect(shop).toMatch(/\d+ in 100/);
    expect(shop).toMatch(/If it is late[\s\S]*“Fit up Drum”[\s\S]*falls? out/);
    expect(shop).toMatch(/The finish (moves by \d+ days?, to|of the plan stays)/);
    const hers = await textOf(app, 'sunniva', `/gatherings/${gatheringId}/agenda`);
    expect(hers).toContain('Fit up Drum');
    expect(hers).not.toContain('id="late"');
    expect(hers).not.toContain('with a maker');
    // who comes can bring it
    await come(app, gatheringId, 'imre');
    expect(await textOf(app, 'lead', `/gatherings/${gatheringId}/agenda`)).toContain(
      'Imre Kovacs comes and could bring it',
    );
    expect(await textOf(app, 'imre', `/gatherings/${gatheringId}/packing`)).toMatch(/You bring[\s\S]*Shaft/);
  });

  it('goes on from today while it lasts, and tells afterwards what came of it', async () => {
    const app = await startApp();
    const id = await aGathering(app);
    await come(app, id, 'lead');
    const jobId = await anotherJob(app, { gatheringId: id, hours: 2 });
    await anotherJob(app, { title: 'Paint', gatheringId: id });
    const decisionId = await aDecision(app, { gatheringId: id });
    app.setNow('2026-03-15T09:00:00Z');
    const during = await textOf(app, 'lead', `/gatherings/${id}/agenda`);
    expect(during).not.toContain('Sat 14 Mar');
    expect(during).toContain('Sun 15 Mar');
    await asPerson(app, 'lead', (act) => startJob(act, jobId));
    await asPerson(app, 'lead', (act) =>
      finishJob(act, { jobId, result: 'Spotless', ready: true, atBench: false }),
    );
    await asPerson(app, 'lead', (act) => takeDecision(act, { decisionId, answer: 'brass', reason: '' }));
    app.passDays(3);
    const done = await textOf(app, 'lead', `/gatherings/${id}/agenda`);
    expect(done).toMatch(/Sweep the shop[\s\S]*finished there[\s\S]*Spotless/);
    expect(done).toMatch(/Paint[\s\S]*not finished/);
    expect(done).toMatch(/Brass or steel[\s\S]*decided there[\s\S]*brass/);
    const off = await aGathering(app, { fromOn: '2026-05-01', untilOn: '2026-05-02' });
    await asPerson(app, 'lead', (act) => dropGathering(act, { gatheringId: off }));
    expect(await textOf(app, 'lead', `/gatherings/${off}/agenda`)).toContain('Called off.');
  });
});

describe('days and hours', () => {
  it('of a gathering are typed, and what does not fit is kept as typed', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const typed = {
      title: 'Fit-up',
      fromOn: '2026-03-14',
      untilOn: '2026-03-15',
      places: '4',
      place: '',
      note: '',
    };
    const post = (beginsAt: string, dayHours: string) =>
      lead.post('/gatherings', { ...typed, beginsAt, dayHours });
    for (const [beginsAt, dayHours, sentence] of [
      ['25:00', '8', 'Type a time of the day, like 09:00.'],
      ['soon', '8', 'Type a time of the day, like 09:00.'],
      ['', '8', 'Type a time of the day, like 09:00.'],
      ['9:00', '0', 'At least 0.5 h; this is 0.'],
      ['9:00', '17', 'At most 16 h; this is 17.'],
      ['9:00', 'long', 'Type a number.'],
      ['18:15', '8', 'From 18:15 there are 5.5 h to midnight; these are 8.'],
    ] as const) {
      const { status, text } = await post(beginsAt, dayHours);
      expect([beginsAt, dayHours, status]).toEqual([beginsAt, dayHours, 422]);
      expect(text).toContain(sentence);
      expect(text).toContain(`name="dayHours" type="text" value="${dayHours}"`);
    }
    expect(await app.context.db.read.gathering.count()).toBe(0);
    const { headers } = await post('8.30', '7,5');
    const row = await app.context.db.read.gathering.findFirstOrThrow();
    expect([row.beginsAt, row.dayHours]).toEqual(['08:30', 7.5]);
    expect((await lead.get(headers.location!)).text).toContain('7.5 h of work a day, from 08:30');
    const form = await lead.get(`${headers.location}/change`);
    expect(form.text).toContain('value="08:30"');
    // moved by another page: hours stay
    await asPerson(app, 'lead', (act) =>
      moveGathering(act, { gatheringId: row.id, fromOn: '2026-03-21', untilOn: '2026-03-22' }),
    );
    const moved = await app.context.db.read.gathering.findFirstOrThrow();
    expect([moved.fromOn, moved.beginsAt, moved.dayHours]).toEqual(['2026-03-21', '08:30', 7.5]);
  });

  it('of a person lie within it; what does not fit is told at its field', async () => {
    const app = await startApp();
    const id = await aGathering(app);
    const imre = await app.as('imre');
    const post = (fields: Record<string, string>) =>
      imre.post(`/gatherings/${id}/come`, { skills: 'lathe', fromOn: '', untilOn: '', hours: '', ...fields });
    for (const [fields, sentence] of [
      [{ fromOn: '2026-03-13' }, 'The gathering is from 2026-03-14 to 2026-03-15.'],
      [{ untilOn: '2026-03-16' }, 'The gathering is from 2026-03-14 to 2026-03-15.'],
      [{ fromOn: '2026-03-15', untilOn: '2026-03-14' }, 'The last day comes before the first, 2026-03-15.'],
      [{ fromOn: 'Friday' }, 'Type a day as year-month-day'],
      [{ hours: '9' }, 'A day there has 8 h; these are 9.'],
      [{ hours: '-1' }, 'At least 0.5 h; this is -1.'],
    ] as const) {
      const { status, text } = await post(fields);
      expect([fields, status]).toEqual([fields, 422]);
      expect(text).toContain(sentence);
      expect(text).toContain('value="lathe"');
      for (const value of Object.values(fields)) expect(text).toContain(`value="${value}"`);
    }
    expect(await app.context.db.read.comer.count()).toBe(0);
    expect((await post({ untilOn: '2026-03-14', hours: '3,5' })).status).toBe(303);
    const { text } = await imre.get(`/gatherings/${id}`);
    expect(text).toContain('14 Mar, 3.5 h a day');
    expect(text).toContain('value="2026-03-14"');
    // who leaves takes their days along
    await asPerson(app, 'imre', (act) => leaveGathering(act, { gatheringId: id, personId: castId.imre }));
    const row = await app.context.db.read.comer.findFirstOrThrow();
    expect([row.fromOn, row.untilOn, row.hours, row.skills]).toEqual([null, null, null, '']);
  });

  it('are changed for others by the lead, in a form with what was said', async () => {
    const app = await startApp();
    const id = await aGathering(app, { places: 1 });
    await come(app, id, 'imre', { skills: 'lathe', hours: 2 });
    const lead = await app.as('lead');
    const form = await lead.get(`/gatherings/${id}?comer=${castId.imre}`);
    expect(form.text).toContain('Change what was said');
    expect(form.text).toContain('value="lathe"');
    const changed = await lead.post(`/gatherings/${id}/comers`, {
      personId: castId.imre,
      skills: 'lathe, mill',
      fromOn: '2026-03-15',
      untilOn: '',
      hours: '',
    });
    expect(changed.status).toBe(303);
    const row = await app.context.db.read.comer.findFirstOrThrow();
    expect([row.skills, row.fromOn, row.hours]).toEqual(['lathe, mill', '2026-03-15', null]);
    const wrong = await lead.post(`/gatherings/${id}/comers`, {
      personId: castId.imre,
      skills: 'x',
      fromOn: '2026-04-01',
      untilOn: '',
      hours: '',
    });
    expect([wrong.status, wrong.text.includes('The gathering is from')]).toEqual([422, true]);
  });

  it('that are no days of it any more are told, and nobody is counted on them', async () => {
    const app = await startApp();
    const id = await aGathering(app);
    await come(app, id, 'lead');
    await come(app, id, 'imre', { fromOn: '2026-03-14', untilOn: '2026-03-14' });
    await anotherJob(app, { gatheringId: id, personId: castId.imre });
    await asPerson(app, 'lead', (act) =>
      changeGathering(act, {
        gatheringId: id,
        title: 'Spring fit-up',
        fromOn: '2026-03-21',
        untilOn: '2026-03-22',
        places: 4,
      }),
    );
    expect(await textOf(app, 'lead', `/gatherings/${id}`)).toContain('on none of its days as they are now');
    const agenda = await textOf(app, 'lead', `/gatherings/${id}/agenda`);
    expect(agenda).toContain('Imre Kovacs said days that are no days of it any more: ask again.');
    expect(agenda).toContain('0 of 1 item');
  });
});
