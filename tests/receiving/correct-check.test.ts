import { describe, expect, it } from 'vitest';
import { offerJob, quantitiesOf } from '../../src/jobs/index.ts';
import { type Browser, startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { asPerson, jobNow } from '../support/jobs.ts';
import { aDeliveredClaim, checked } from '../support/receiving.ts';

const KEYED = { part: { characteristics: [{ text: '25 H7', label: 'bore', isKey: true }, '40'] } };

async function checkOf(app: TestApp, unitNo: number) {
  return app.context.db.read.unitCheck.findFirstOrThrow({ where: { unitNo }, include: { values: true } });
}

const correct = (browser: Browser, id: number, fields: Record<string, unknown>) =>
  browser.post(`/receiving/checks/${id}/correction`, {
    version: 1,
    reason: '',
    gauge: 'calliper',
    ...fields,
  });

async function aLine(quantity = 3) {
  const app = await startApp();
  const delivered = await aDeliveredClaim(app, { quantity, jobWish: KEYED });
  const [bore = 0] = delivered.characteristicIds;
  return { app, ...delivered, bore, crew: await app.as('crew') };
}

describe('an inspection that was wrong', () => {
  it('is put right with a reason; the log and the unit keep both', async () => {
    const { app, lineId, jobId, bore, crew } = await aLine();
    const values = [{ characteristicId: bore, value: 25.03 }];
    const follow = await checked(app, {
      lineId,
      units: [1],
      disposition: 'scrap',
      reason: 'bore oversize',
      values,
    });
    const { id } = await checkOf(app, 1);
    const page = (await crew.get(`/receiving/checks/${id}`)).text;
    expect(page).toContain('0.009 mm above the upper limit');
    expect(page).toContain('value="25.03 mm"');
    const done = await correct(crew, id, {
      disposition: 'accept',
      [`v-${bore}`]: '25,013',
      why: 'Measured warm; <b>cold</b> it is inside.',
    });
    expect(done.status).toBe(303);
    const row = await checkOf(app, 1);
    expect(row).toMatchObject({ disposition: 'accept', followJobId: null, version: 2, byId: castId.crew });
    expect(row.values.map(({ value }) => value)).toEqual([25.013]);
    expect(quantitiesOf(await jobNow(app, jobId))).toMatchObject({ accepted: 1000, rejected: 0 });
    expect((await jobNow(app, follow ?? 0)).droppedAt).not.toBeNull();
    const act = await app.context.db.read.act.findFirstOrThrow({ where: { kind: 'correct-inspection' } });
    expect(JSON.parse(act.before ?? '')).toMatchObject({ disposition: 'scrap', values: { [bore]: 25.03 } });
    expect(JSON.parse(act.after ?? '')).toMatchObject({ disposition: 'accept', values: { [bore]: 25.013 } });
    const after = (await crew.get(`/receiving/checks/${id}`)).text;
    expect(after).toContain('Measured warm; &lt;b&gt;cold&lt;/b&gt; it is inside.');
    expect(after).toContain('Before: scrap: bore oversize; bore 25.03 mm');
    expect((await crew.get(`/jobs/${jobId}`)).text).toContain('corrected');
    expect((await crew.get('/log')).text).toContain('corrected the inspection of 1 piece');
  });

  it('takes its unit out of a job that others are in, and makes one when it is rejected now', async () => {
    const { app, lineId, jobId, bore, crew } = await aLine();
    const follow = await checked(app, { lineId, units: [1, 2], disposition: 'rework', reason: 'burr' });
    const first = await checkOf(app, 1);
    const concession = {
      disposition: 'concession',
      reason: 'burr does not matter',
      why: 'Tried it: it fits.',
    };
    expect((await correct(crew, first.id, concession)).status).toBe(303);
    const after = await app.context.db.read.job.findUniqueOrThrow({ where: { id: follow ?? 0 } });
    expect(after).toMatchObject({ milli: 1000, droppedAt: null });
    expect(after.note).toContain('Piece 1');
    expect(after.note).toContain('not in this job any more');
    await checked(app, { lineId, units: [3], values: [{ characteristicId: bore, value: 25.01 }] });
    const third = await checkOf(app, 3);
    const scrap = {
      disposition: 'scrap',
      reason: 'cracked',
      why: 'Seen under the lamp.',
      [`v-${bore}`]: '25.01',
    };
    expect((await correct(crew, third.id, scrap)).status).toBe(303);
    const { followJobId } = await checkOf(app, 3);
    expect(
      await app.context.db.read.job.findUniqueOrThrow({ where: { id: followJobId ?? 0 } }),
    ).toMatchObject({
      fromReason: 'replacement',
      milli: 1000,
      fromJobId: jobId,
    });
    expect(quantitiesOf(await jobNow(app, jobId))).toMatchObject({ accepted: 1000, rejected: 2000 });
  });

  it('stays as it was once the job that makes it good has begun, and says why', async () => {
    const { app, lineId, bore, crew } = await aLine();
    const follow = await checked(app, { lineId, units: [1], disposition: 'rework', reason: 'burr' });
    await asPerson(app, 'lead', (act) => offerJob(act, follow ?? 0));
    const { id } = await checkOf(app, 1);
    const accept = { disposition: 'accept', [`v-${bore}`]: '25.01', why: 'No burr.' };
    const refused = await correct(crew, id, accept);
    expect(refused.status).toBe(409);
    expect(refused.text).toContain(`Job ${follow}, which makes it good, is offered to makers`);
    expect(refused.text).toContain('No burr.');
    expect(await checkOf(app, 1)).toMatchObject({ disposition: 'rework', version: 1, followJobId: follow });
    // What does not touch that job may still be put right.
    const words = { disposition: 'rework', reason: 'burr at the keyway', why: 'Said more exactly.' };
    expect((await correct(crew, id, words)).status).toBe(303);
  });

  it('is corrected by one of two; the second is told', async () => {
    const { app, lineId, bore } = await aLine();
    await checked(app, { lineId, units: [1], values: [{ characteristicId: bore, value: 25.01 }] });
    const { id } = await checkOf(app, 1);
    const statuses = await Promise.all(
      (['lead', 'crew'] as const).map(async (who) =>
        correct(await app.as(who), id, {
          disposition: 'scrap',
          reason: `cracked, says ${who}`,
          why: 'Seen now.',
        }),
      ),
    );
    expect(statuses.map(({ status }) => status).sort()).toEqual([303, 409]);
    expect(statuses.find(({ status }) => status === 409)?.text).toContain('Somebody was quicker');
    expect(await app.context.db.read.job.count({ where: { fromReason: 'replacement' } })).toBe(1);
    expect(await checkOf(app, 1)).toMatchObject({ version: 2 });
  });

  it('tells what does not fit and changes nothing', async () => {
    const { app, lineId, bore, crew } = await aLine();
    await checked(app, { lineId, units: [1], values: [{ characteristicId: bore, value: 25.01 }] });
    const { id } = await checkOf(app, 1);
    const good = {
      disposition: 'concession',
      reason: 'runs free',
      why: 'Wrong box.',
      [`v-${bore}`]: '25.03',
    };
    const cases: [Record<string, unknown>, number, string][] = [
      [{ why: '' }, 422, 'Say what was wrong'],
      [{ why: 'x'.repeat(1001) }, 422, 'At most 1000 characters'],
      [{ reason: '' }, 422, 'Say why it is not accepted'],
      [{ disposition: 'sell' }, 422, 'Choose what becomes of it'],
      [{ gauge: '' }, 422, 'Say what it was measured with'],
      [{ [`v-${bore}`]: '0.985' }, 422, 'is it in inches?'],
      [{ disposition: 'accept' }, 422, '0.009 mm above the upper limit'],
      [{ 'v-9999': '1' }, 422, 'of another drawing'],
      [{ version: 7 }, 409, 'Somebody was quicker'],
      [{ version: 'x' }, 409, 'Somebody was quicker'],
    ];
    for (const [wrong, status, sentence] of cases) {
      const answer = await correct(crew, id, { ...good, ...wrong });
      expect(answer.status, JSON.stringify(wrong)).toBe(status);
      expect(answer.text, JSON.stringify(wrong)).toContain(sentence);
    }
    expect(await checkOf(app, 1)).toMatchObject({ disposition: 'accept', version: 1 });
    expect(await app.context.db.read.act.count({ where: { kind: 'correct-inspection' } })).toBe(0);
    expect((await correct(await app.as('imre'), id, good)).status).toBe(403);
    expect((await (await app.as('imre')).get(`/receiving/checks/${id}`)).status).toBe(403);
    expect((await correct(crew, 9999, good)).status).toBe(404);
    expect((await crew.get('/receiving/checks/9999')).status).toBe(404);
  });

  it('is nothing new when nothing is different', async () => {
    const { app, lineId, bore, crew } = await aLine();
    await checked(app, { lineId, units: [1], values: [{ characteristicId: bore, value: 25.01 }] });
    const { id } = await checkOf(app, 1);
    await app.context.db.write.unitCheck.update({ where: { id }, data: { gauge: 'calliper' } });
    const same = await correct(crew, id, { disposition: 'accept', [`v-${bore}`]: '25.01 mm', why: 'again' });
    expect(same.status).toBe(409);
    expect(same.text).toContain('Nothing is different');
  });

  it('is decided on its revision’s page once what was accepted of it is listed there', async () => {
    const { app, lineId, bore, claimId, revisionId, crew } = await aLine();
    await checked(app, { lineId, units: [1], values: [{ characteristicId: bore, value: 25.01 }] });
    await app.context.db.write.oldUnits.create({
      data: { revisionId, claimId, milli: 1000, at: new Date('2026-03-02T09:00:00Z') },
    });
    const { id } = await checkOf(app, 1);
    const scrap = { disposition: 'scrap', reason: 'cracked', why: 'Seen now.' };
    const refused = await correct(crew, id, scrap);
    expect(refused.status).toBe(409);
    expect(refused.text).toContain('decide there');
    expect(await checkOf(app, 1)).toMatchObject({ disposition: 'accept', version: 1 });
    expect(await app.context.db.read.job.count({ where: { fromReason: 'replacement' } })).toBe(0);
  });
});
