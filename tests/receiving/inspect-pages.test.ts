import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { quantitiesOf } from '../../src/jobs/index.ts';
import { type Browser, startApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { anOfferedJob, jobNow } from '../support/jobs.ts';
import { aDeliveredClaim, checked } from '../support/receiving.ts';

const KEYED = { part: { characteristics: [{ text: '25 H7', label: 'bore', isKey: true }, '40', 'deburr'] } };

describe('the bench inspects', () => {
  const check = (browser: Browser, lineId: number, fields: Record<string, unknown>) =>
    browser.post(`/receiving/lines/${lineId}/checks`, {
      form: 'one',
      reason: '',
      gauge: 'calliper',
      ...fields,
    });

  it('piece after piece, with limits beside each dimension, to the parcel when all is done', async () => {
    const app = await startApp();
    const { parcelId, lineId, jobId, characteristicIds } = await aDeliveredClaim(app, {
      quantity: 3,
      jobWish: KEYED,
    });
    const [bore = 0, length = 0] = characteristicIds;
    const crew = await app.as('crew');
    const page = (await crew.get(`/receiving/lines/${lineId}`)).text;
    expect(page).toContain('Piece 1');
    expect(page).toContain('25 to 25.021 mm');
    expect(page).toContain('39.7 to 40.3 mm');
    expect(page).toContain('deburr');
    const first = await check(crew, lineId, {
      units: 1,
      [`v-${bore}`]: '25,01',
      [`v-${length}`]: '40.1',
      disposition: 'accept',
      gauge: 'plug 7',
    });
    expect(first.status).toBe(303);
    expect(first.headers.location).toBe(`/receiving/lines/${lineId}`);
    const second = (await crew.get(first.headers.location ?? '')).text;
    expect(second).toContain('Piece 1: accept. 2 pieces to go.');
    expect(second).toContain('value="plug 7"');
    const scrapped = await check(crew, lineId, {
      units: 2,
      disposition: 'scrap',
      reason: 'cracked at the <web>',
    });
    expect((await crew.get(scrapped.headers.location ?? '')).text).toMatch(/Job \d+ makes it good/);
    const last = await check(crew, lineId, {
      units: 3,
      [`v-${bore}`]: '25.03',
      disposition: 'concession',
      reason: 'runs free',
    });
    expect(last.headers.location).toBe(`/receiving/parcels/${parcelId}`);
    expect((await crew.get(`/receiving/lines/${lineId}`)).text).toContain('All of it is inspected');
    expect(quantitiesOf(await jobNow(app, jobId))).toMatchObject({ accepted: 2000, rejected: 1000 });
    const imre = await app.as('imre');
    for (const path of [`/parcels/${parcelId}`, `/jobs/${jobId}`]) {
      const text = (await imre.get(path)).text;
      expect(text).toContain('cracked at the &lt;web&gt;');
      expect(text).toContain('0.009 mm above the upper limit');
      expect(text).toContain('Tor Eide');
    }
    // Another maker sees the job, but not what became of these units.
    expect((await (await app.as('sunniva')).get(`/jobs/${jobId}`)).text).not.toContain('cracked');
  });

  it('refuses to accept what is outside, says by how much, and keeps what was typed', async () => {
    const app = await startApp();
    const { lineId, characteristicIds } = await aDeliveredClaim(app, { quantity: 2, jobWish: KEYED });
    const [bore = 0, length = 0] = characteristicIds;
    const crew = await app.as('crew');
    const outside = await check(crew, lineId, {
      units: 2,
      [`v-${bore}`]: '25.05',
      [`v-${length}`]: '39',
      disposition: 'accept',
    });
    expect(outside.status).toBe(422);
    expect(outside.text).toContain('0.029 mm above the upper limit');
    expect(outside.text).toContain('0.7 mm below the lower limit');
    expect(outside.text).toContain('value="25.05"');
    expect(outside.text).toContain('Piece 2');
    const missing = await check(crew, lineId, { units: 1, disposition: 'accept' });
    expect(missing.text).toContain('is a key dimension: measure it');
    expect(await app.context.db.read.unitCheck.count()).toBe(0);
  });

  it('asks about a value in the wrong unit or with a slipped point, and takes it when told so', async () => {
    const app = await startApp();
    const { lineId, characteristicIds } = await aDeliveredClaim(app, { quantity: 1, jobWish: KEYED });
    const v = `v-${characteristicIds[0]}`;
    const crew = await app.as('crew');
    const scrap = { units: 1, disposition: 'scrap', reason: 'far off' };
    const asked = await check(crew, lineId, { ...scrap, [v]: '0.985' });
    expect(asked.status).toBe(422);
    expect(asked.text).toContain('is it in inches?');
    expect(asked.text).toContain('Yes, it is really so');
    expect(asked.text).toMatch(new RegExp(`name="sure-${characteristicIds[0]}"`));
    expect(await app.context.db.read.unitCheck.count()).toBe(0);
    expect((await check(crew, lineId, { ...scrap, [v]: '250.1' })).text).toContain(
      'is the point in its place?',
    );
    expect(
      (await check(crew, lineId, { ...scrap, [v]: '0.985', [`sure-${characteristicIds[0]}`]: 'yes' })).status,
    ).toBe(303);
    expect((await app.context.db.read.measuredValue.findFirstOrThrow()).value).toBe(0.985);
  });

  it('asks in inches who thinks in inches, and keeps the drawing’s unit', async () => {
    const app = await startApp();
    const { lineId, characteristicIds } = await aDeliveredClaim(app, { quantity: 1, jobWish: KEYED });
    await app.context.db.write.person.update({ where: { id: castId.crew }, data: { lengthUnit: 'in' } });
    const crew = await app.as('crew');
    expect((await crew.get(`/receiving/lines/${lineId}`)).text).toMatch(/0\.98426 to 0\.98507 in/);
    const v = `v-${characteristicIds[0]}`;
    expect((await check(crew, lineId, { units: 1, disposition: 'accept', [v]: '0.9845' })).status).toBe(303);
    expect((await app.context.db.read.measuredValue.findFirstOrThrow()).value).toBeCloseTo(25.0063, 9);
    expect((await crew.get(`/receiving/lines/${lineId}`)).text).toContain('0.9845 in');
  });

  it('all at once: accepts together only where no key dimension is named', async () => {
    const app = await startApp();
    const plain = await aDeliveredClaim(app, { quantity: 3 });
    const keyed = await aDeliveredClaim(app, { quantity: 3, jobWish: KEYED });
    const crew = await app.as('crew');
    const all = (lineId: number, fields: Record<string, unknown>) =>
      check(crew, lineId, { form: 'rest', units: '1,2,3', ...fields });
    expect((await all(plain.lineId, { disposition: 'accept' })).status).toBe(303);
    const refused = await all(keyed.lineId, { disposition: 'accept' });
    expect(refused.status).toBe(422);
    expect(refused.text).toContain('is a key dimension: measure it');
    expect((await all(keyed.lineId, { disposition: 'return', reason: 'rusty' })).status).toBe(303);
    const follow = await app.context.db.read.job.findFirstOrThrow({ where: { fromJobId: keyed.jobId } });
    expect(follow).toMatchObject({ fromReason: 'rework', milli: 3000 });
    expect((await crew.get(`/jobs/${keyed.jobId}`)).text).toContain('Pieces 1, 2 and 3');
  });

  it('by quantity where the part is no piece', async () => {
    const app = await startApp();
    const job = await anOfferedJob(app, { quantity: 1 });
    await app.context.db.write.part.update({ where: { id: job.partId }, data: { unit: 'm' } });
    await app.context.db.write.job.update({ where: { id: job.jobId }, data: { milli: 5000 } });
    const { lineId } = await aDeliveredClaim(app, { job, quantity: 5 });
    const crew = await app.as('crew');
    expect((await crew.get(`/receiving/lines/${lineId}`)).text).toContain('5 m to be inspected');
    const some = { waiting: 5000, quantity: '3.5 m', disposition: 'accept' };
    expect((await check(crew, lineId, some)).status).toBe(303);
    const stale = await check(crew, lineId, some);
    expect(stale.status).toBe(409);
    expect(stale.text).toContain('Somebody was quicker: 1.5 m are still to be inspected');
    for (const [quantity, status] of [
      ['0', 422],
      ['-1', 422],
      ['x', 422],
      ['2', 409],
    ] as const) {
      expect((await check(crew, lineId, { ...some, waiting: 1500, quantity })).status, quantity).toBe(status);
    }
    expect(
      (await check(crew, lineId, { waiting: 1500, quantity: '1,5', disposition: 'scrap', reason: 'kinked' }))
        .status,
    ).toBe(303);
    expect(quantitiesOf(await jobNow(app, job.jobId))).toMatchObject({
      accepted: 3500,
      rejected: 1500,
      toInspect: 0,
    });
  });

  it('tells what does not fit and stores nothing', async () => {
    const app = await startApp();
    const { lineId, characteristicIds, jobId } = await aDeliveredClaim(app, { quantity: 2, jobWish: KEYED });
    const other = await aDeliveredClaim(app, { quantity: 1, who: 'sunniva', jobWish: KEYED });
    const v = `v-${characteristicIds[0]}`;
    const crew = await app.as('crew');
    const fields = { units: 1, [v]: '25.01', disposition: 'accept', gauge: 'kept gauge' };
    const cases: [Record<string, string>, number, string][] = [
      [{ [v]: 'abc' }, 422, 'is not a measured value'],
      [{ [v]: '<b>9</b>' }, 422, '&lt;b&gt;9&lt;/b&gt;'],
      [{ [v]: '24.9' }, 422, 'below the lower limit'],
      [{ [v]: '-25.01' }, 422, 'a size is above zero'],
      [{ [v]: '-25.01', disposition: 'scrap', reason: 'x' }, 422, 'a size is above zero'],
      [{ [v]: '1e99' }, 422, 'is not a measured value'],
      [{ [v]: '99999999' }, 422, 'At most 1000000'],
      [{ [v]: '25°' }, 422, 'This is a length'],
      [{ disposition: '' }, 422, 'Choose what becomes of it'],
      [{ disposition: 'sell' }, 422, 'Choose what becomes of it'],
      [{ disposition: 'rework' }, 422, 'Say why it is not accepted'],
      [{ disposition: 'scrap', reason: 'r'.repeat(1001) }, 422, 'At most 1000 characters'],
      [{ disposition: 'scrap', reason: 'a\u0001' }, 422, 'characters that cannot be seen'],
      [{ gauge: 'g'.repeat(81) }, 422, 'At most 80 characters'],
      [{ gauge: '' }, 422, 'Say what it was measured with'],
      [{ units: '' }, 422, 'Say which pieces'],
      [{ units: 'one' }, 422, 'Say which pieces'],
      [{ units: '3' }, 409, 'Piece 3 is not here'],
      [{ units: '1,1', disposition: 'scrap', reason: 'x', [v]: '' }, 409, 'named twice'],
      [{ units: '1,2', disposition: 'scrap', reason: 'x' }, 409, 'of one unit'],
      [{ [`v-${other.characteristicIds[0]}`]: '25' }, 422, 'of another drawing'],
    ];
    for (const [wrong, status, sentence] of cases) {
      const answer = await check(crew, lineId, { ...fields, ...wrong });
      expect(answer.status, JSON.stringify(wrong)).toBe(status);
      expect(answer.text, JSON.stringify(wrong)).toContain(sentence);
      if (!('gauge' in wrong)) expect(answer.text).toContain('value="kept gauge"');
    }
    expect(await app.context.db.read.unitCheck.count()).toBe(0);
    expect(await app.context.db.read.job.count({ where: { fromJobId: jobId } })).toBe(0);
    expect((await check(await app.as('imre'), lineId, fields)).status).toBe(403);
    expect((await check(crew, 999, fields)).status).toBe(404);
  });

  it('once, however often the form is sent, and once for two inspectors', async () => {
    const app = await startApp();
    const { lineId } = await aDeliveredClaim(app, { quantity: 2 });
    const crew = await app.as('crew');
    const lead = await app.as('lead');
    const form = { _once: 'the-same', units: 1, disposition: 'accept' };
    expect((await check(crew, lineId, form)).status).toBe(303);
    expect((await check(crew, lineId, form)).status).toBe(303);
    expect(await app.context.db.read.unitCheck.count()).toBe(1);
    const statuses = await Promise.all([
      check(crew, lineId, { units: 2, disposition: 'accept' }),
      check(lead, lineId, { units: 2, disposition: 'scrap', reason: 'bent' }),
    ]);
    expect(statuses.map(({ status }) => status).sort()).toEqual([303, 409]);
    expect(await app.context.db.read.unitCheck.count()).toBe(2);
  });

  it('with photos, which the maker sees, and nothing kept of a file that is none', async () => {
    const app = await startApp();
    const { lineId, parcelId } = await aDeliveredClaim(app, { quantity: 2 });
    const crew = await app.as('crew');
    const picture = await sharp({ create: { width: 40, height: 30, channels: 3, background: '#888' } })
      .jpeg()
      .toBuffer();
    const fields = {
      form: 'one',
      units: 1,
      disposition: 'concession',
      reason: 'scratch',
      gauge: 'kept gauge',
    };
    const path = `/receiving/lines/${lineId}/checks`;
    const wrong = await crew.upload(path, fields, [
      { name: 'photos', filename: 'note.jpg', content: Buffer.from('not a picture') },
    ]);
    expect(wrong.status).toBe(422);
    expect(wrong.text).toContain('cannot be read as a picture');
    expect(wrong.text).toContain('value="kept gauge"');
    expect(await app.context.db.read.unitCheck.count()).toBe(0);
    const done = await crew.upload(path, fields, [{ name: 'photos', filename: 'a.jpg', content: picture }]);
    expect(done.status).toBe(303);
    const photo = await app.context.db.read.photo.findFirstOrThrow();
    expect(photo.checkId).toBe((await app.context.db.read.unitCheck.findFirstOrThrow()).id);
    const imre = await app.as('imre');
    expect((await imre.get(`/parcels/${parcelId}`)).text).toContain(`src="/photos/${photo.id}"`);
    expect((await imre.get(`/photos/${photo.id}`)).headers['content-type']).toBe('image/jpeg');
  });

  it('shows what was decided of late', async () => {
    const app = await startApp();
    const { lineId, jobId } = await aDeliveredClaim(app, { quantity: 1 });
    await checked(app, { lineId, units: [1], disposition: 'rework', reason: 'burrs left' });
    const text = (await (await app.as('lead')).get('/receiving')).text;
    expect(text).toContain('burrs left');
    expect(text).toContain(`href="/jobs/${jobId}"`);
    expect((await (await app.as('lead')).get('/receiving/parcels')).text).toContain('done');
  });
});
