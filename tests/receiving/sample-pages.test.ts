import { describe, expect, it } from 'vitest';
import { quantitiesOf } from '../../src/jobs/index.ts';
import { acceptWithSample, takeSample } from '../../src/receiving/index.ts';
import { type Browser, startApp, type TestApp } from '../support/app.ts';
import { asPerson, jobNow } from '../support/jobs.ts';
import { aDeliveredClaim, checked } from '../support/receiving.ts';

const PLAIN = { part: { characteristics: ['25 H7', '40'] } };
const KEYED = { part: { characteristics: [{ text: '25 H7', label: 'bore', isKey: true }, '40'] } };

const check = (browser: Browser, lineId: number, fields: Record<string, unknown>) =>
  browser.post(`/receiving/lines/${lineId}/checks`, {
    form: 'one',
    reason: '',
    gauge: 'calliper',
    ...fields,
  });

const took = (app: TestApp, lineId: number) => asPerson(app, 'crew', (act) => takeSample(act, lineId));

async function measured(app: TestApp, lineId: number, ids: readonly number[], units: readonly number[]) {
  const values = ids.map((characteristicId, index) => ({
    characteristicId,
    value: [25.01, 40.1][index] ?? 0,
  }));
  for (const unit of units) await checked(app, { lineId, units: [unit], values });
}

const upTo = (last: number) => Array.from({ length: last }, (_, index) => index + 1);

describe('a lot of 400', () => {
  it('is sampled by the stated rule: 50 are measured, 350 accepted with them and told apart afterwards', async () => {
    const app = await startApp();
    const { lineId, jobId, characteristicIds } = await aDeliveredClaim(app, {
      quantity: 400,
      jobWish: PLAIN,
    });
    const crew = await app.as('crew');
    const path = `/receiving/lines/${lineId}`;
    const before = (await crew.get(path)).text;
    expect(before).toContain('Measure a sample: 50 of 400');
    expect(before).toContain('MIL-STD-105E');
    expect(before).toContain('It does not show that none is bad');
    // Of four hundred pieces only some are to choose from; the page stays small enough for a phone.
    expect(before.match(/href="\?unit=/g)?.length).toBe(12);
    expect(before.length).toBeLessThan(60_000);
    expect((await crew.post(`${path}/sample`, {})).status).toBe(303);
    expect((await crew.post(`${path}/sample`, {})).status).toBe(409);
    const [bore = 0, length = 0] = characteristicIds;
    const half = await check(crew, lineId, { units: 1, [`v-${bore}`]: '25.01', disposition: 'accept' });
    expect(half.status).toBe(422);
    expect(half.text).toContain('because of the sample');
    const whole = { [`v-${bore}`]: '25,01', [`v-${length}`]: '40.1', disposition: 'accept' };
    expect((await check(crew, lineId, { units: 1, ...whole })).status).toBe(303);
    const early = await crew.post(`${path}/sample/accept`, {});
    expect(early.status).toBe(409);
    expect(early.text).toContain('The sample is not all measured yet');
    // A piece outside the sample is not let through before it has passed.
    expect((await check(crew, lineId, { units: 60, disposition: 'accept' })).status).toBe(422);
    await measured(app, lineId, characteristicIds, upTo(50).slice(1));
    const passed = (await crew.get(path)).text;
    expect(passed).toContain('None of it was outside');
    expect(passed).toContain('Accept the other 350 with it');
    const done = await crew.post(`${path}/sample/accept`, {});
    expect(done.status).toBe(303);
    expect(quantitiesOf(await jobNow(app, jobId))).toMatchObject({ accepted: 400_000, toInspect: 0 });
    const rows = await app.context.db.read.unitCheck.groupBy({ by: ['bySample'], _count: true });
    expect(rows.map(({ bySample, _count }) => [bySample, _count]).sort()).toEqual([
      [false, 50],
      [true, 350],
    ]);
    const after = (await crew.get(`/jobs/${jobId}`)).text;
    expect(after).toContain('Pieces 51 to 400');
    expect(after).toContain('with a sample');
    expect(after).toContain('with a sample of 50 of 400, none outside');
    expect(after.length).toBeLessThan(200_000);
    const piece = await crew.get(`${path}/piece?no=399`);
    expect((await crew.get(piece.headers.location ?? '')).text).toContain('Piece 399');
    expect((await crew.post(`${path}/sample/accept`, {})).status).toBe(409);
    // Fifty inspections are fifty acts: more than a test has time for where others run beside it.
  }, 120_000);
});

describe('a sample', () => {
  it('with a piece outside has every piece measured whole, and nobody can end it', async () => {
    const app = await startApp();
    const { lineId, characteristicIds } = await aDeliveredClaim(app, { quantity: 30, jobWish: PLAIN });
    await took(app, lineId);
    const lead = await app.as('lead');
    const [bore = 0, length = 0] = characteristicIds;
    await measured(app, lineId, characteristicIds, upTo(7));
    await checked(app, { lineId, units: [8], disposition: 'scrap' });
    const page = (await lead.get(`/receiving/lines/${lineId}`)).text;
    expect(page).toContain('every piece is measured in every dimension');
    expect(page).not.toContain('Measure all of them after all');
    for (const name of ['sample/accept', 'sample/end']) {
      expect((await lead.post(`/receiving/lines/${lineId}/${name}`, {})).status, name).toBe(409);
    }
    const some = await check(lead, lineId, { units: 20, [`v-${bore}`]: '25.01', disposition: 'accept' });
    expect(some.status).toBe(422);
    const whole = { [`v-${bore}`]: '25.01', [`v-${length}`]: '40', disposition: 'accept' };
    expect((await check(lead, lineId, { units: 20, ...whole })).status).toBe(303);
    const all = await check(lead, lineId, { form: 'rest', units: '21,22', disposition: 'accept', gauge: '' });
    expect(all.status).toBe(422);
  });

  it('leaves key dimensions to be measured on every piece', async () => {
    const app = await startApp();
    const { lineId, characteristicIds } = await aDeliveredClaim(app, { quantity: 26, jobWish: KEYED });
    await took(app, lineId);
    await measured(app, lineId, characteristicIds, upTo(8));
    const crew = await app.as('crew');
    const page = (await crew.get(`/receiving/lines/${lineId}`)).text;
    expect(page).toContain('still measured on every piece');
    expect(page).toContain('The other dimensions, which the sample stands for');
    expect(page).not.toContain('Accept the other');
    expect((await crew.post(`/receiving/lines/${lineId}/sample/accept`, {})).text).toContain(
      'Key dimensions are measured on every piece',
    );
    const bore = `v-${characteristicIds[0]}`;
    expect((await check(crew, lineId, { units: 9, disposition: 'accept' })).text).toContain(
      'is a key dimension',
    );
    expect((await check(crew, lineId, { units: 9, [bore]: '25.01', disposition: 'accept' })).status).toBe(
      303,
    );
    const row = await app.context.db.read.unitCheck.findFirstOrThrow({ where: { unitNo: 9 } });
    expect(row.bySample).toBe(true);
    expect((await app.context.db.read.unitCheck.findFirstOrThrow({ where: { unitNo: 8 } })).bySample).toBe(
      false,
    );
  });

  it('can be ended by the lead, who has all measured', async () => {
    const app = await startApp();
    const { lineId } = await aDeliveredClaim(app, { quantity: 26, jobWish: PLAIN });
    await took(app, lineId);
    const crew = await app.as('crew');
    const lead = await app.as('lead');
    const end = (browser: Browser) => browser.post(`/receiving/lines/${lineId}/sample/end`, {});
    expect((await end(crew)).status).toBe(409);
    expect((await lead.get(`/receiving/lines/${lineId}`)).text).toContain('Measure all of them after all');
    expect((await end(lead)).status).toBe(303);
    expect((await end(lead)).status).toBe(409);
    expect((await lead.get(`/receiving/lines/${lineId}`)).text).toContain('it stands for nothing any more');
    const kinds = (await app.context.db.read.act.findMany({ where: { thingType: 'parcel-line' } })).map(
      ({ kind }) => kind,
    );
    expect(kinds).toEqual(['take-sample', 'end-sample']);
  });

  it('is not offered for twelve pieces, for metres, after a bad piece, or to makers', async () => {
    const app = await startApp();
    const twelve = await aDeliveredClaim(app, { quantity: 12, jobWish: PLAIN });
    const crew = await app.as('crew');
    expect((await crew.get(`/receiving/lines/${twelve.lineId}`)).text).not.toContain('Measure a sample');
    expect((await crew.post(`/receiving/lines/${twelve.lineId}/sample`, {})).text).toContain(
      'fewer than 26 are all measured',
    );
    const bad = await aDeliveredClaim(app, { quantity: 40, jobWish: PLAIN });
    await checked(app, { lineId: bad.lineId, units: [3], disposition: 'rework' });
    expect((await crew.get(`/receiving/lines/${bad.lineId}`)).text).not.toContain('Measure a sample');
    const refused = await crew.post(`/receiving/lines/${bad.lineId}/sample`, {});
    expect(refused.status).toBe(409);
    expect(refused.text).toContain('Piece 3 was not accepted as drawn');
    expect((await (await app.as('imre')).post(`/receiving/lines/${bad.lineId}/sample`, {})).status).toBe(403);
    expect((await crew.post('/receiving/lines/9999/sample', {})).status).toBe(404);
    expect(await app.context.db.read.sample.count()).toBe(0);
  });

  it('is taken once, and what it stands for accepted once, by two at the same moment', async () => {
    const app = await startApp();
    const { lineId, characteristicIds } = await aDeliveredClaim(app, { quantity: 26, jobWish: PLAIN });
    const both = <T>(work: (who: 'lead' | 'crew') => Promise<T>) =>
      Promise.allSettled([work('lead'), work('crew')]);
    const takes = await both((who) => asPerson(app, who, (act) => takeSample(act, lineId)));
    expect(takes.map(({ status }) => status).sort()).toEqual(['fulfilled', 'rejected']);
    await measured(app, lineId, characteristicIds, upTo(8));
    const accepts = await both((who) => asPerson(app, who, (act) => acceptWithSample(act, lineId)));
    expect(accepts.map(({ status }) => status).sort()).toEqual(['fulfilled', 'rejected']);
    expect(await app.context.db.read.unitCheck.count()).toBe(26);
  });
});
