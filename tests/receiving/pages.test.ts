import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { quantitiesOf } from '../../src/jobs/index.ts';
import { parcelsInThePost, parcelsToInspect } from '../../src/receiving/index.ts';
import { type Browser, startApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { aClaim, anOfferedJob, finished, jobNow } from '../support/jobs.ts';
import { aDeliveredClaim, aPostedParcel, checked, todayIn } from '../support/receiving.ts';

const KEYED = { part: { characteristics: [{ text: '25 H7', label: 'bore', isKey: true }, '40', 'deburr'] } };

/** The hidden once-token of the form with this action, to send the very same form again. */
function onceOf(html: string, action: string): string {
  const form = html.slice(html.indexOf(`action="${action}`));
  return /name="_once" value="([^"]+)"/.exec(form)?.[1] ?? '';
}

describe('the maker posts', () => {
  it('from the job’s page, where the parcel and what becomes of its units then stand', async () => {
    const app = await startApp();
    const { jobId, claimId } = await aClaim(app, { quantity: 3 });
    const imre = await app.as('imre');
    expect((await imre.get(`/jobs/${jobId}`)).text).not.toContain('Post what is finished');
    await finished(app, { claimId, quantity: 2 });
    const card = (await imre.get(`/jobs/${jobId}`)).text;
    expect(card).toContain('Post what is finished');
    expect(card).toMatch(new RegExp(`name="q-${claimId}"[^>]*value="2"`));
    const sent = await imre.post('/parcels', {
      [`q-${claimId}`]: '2',
      sentOn: await todayIn(app),
      carrier: 'Post',
      tracking: 'RR 1 <b>',
      note: 'mind the <i>edges</i>',
    });
    expect(sent.status).toBe(303);
    expect(sent.headers.location).toBe('/parcels/1');
    const parcel = (await imre.get('/parcels/1')).text;
    expect(parcel).toContain('RR 1 &lt;b&gt;');
    expect(parcel).toContain('mind the &lt;i&gt;edges');
    expect(parcel).not.toContain('<i>edges');
    expect(parcel).toContain('in the post');
    expect(parcel).not.toContain('It has come');
    expect((await imre.get('/parcels')).text).toContain('2 pieces of');
    expect((await imre.get(`/jobs/${jobId}`)).text).toContain('href="/parcels/1"');
  });

  it('once, however often the same form is sent', async () => {
    const app = await startApp();
    const { claimId } = await aClaim(app, { quantity: 4 });
    await finished(app, { claimId, quantity: 4 });
    const imre = await app.as('imre');
    const _once = onceOf((await imre.get('/parcels/new')).text, '/parcels');
    const form = { _once, [`q-${claimId}`]: '2', sentOn: await todayIn(app) };
    expect((await imre.post('/parcels', form)).status).toBe(303);
    const again = await imre.post('/parcels', form);
    expect(again.status).toBe(303);
    expect(again.headers.location).toBe('/parcels/1');
    expect(await app.context.db.read.parcel.count()).toBe(1);
  });

  it('is told what does not fit, and finds what was typed', async () => {
    const app = await startApp();
    const { claimId } = await aClaim(app, { quantity: 4 });
    const other = await aClaim(app, { who: 'sunniva', quantity: 1 });
    await finished(app, { claimId, quantity: 2 });
    await finished(app, { who: 'sunniva', claimId: other.claimId, quantity: 1 });
    const imre = await app.as('imre');
    const today = await todayIn(app);
    const q = `q-${claimId}`;
    const fields = { [q]: '2', sentOn: today, carrier: 'Keep me', tracking: '', note: '' };
    const cases: [Record<string, string>, number, string][] = [
      [{ [q]: '-1' }, 422, 'below zero'],
      [{ [q]: '1.5' }, 422, 'not whole'],
      [{ [q]: 'two' }, 422, 'not a quantity'],
      [{ [q]: '2 m' }, 422, 'in m, but the part is in pieces'],
      [{ [q]: '9'.repeat(60) }, 422, 'At most 40 characters'],
      [{ [q]: '99999999' }, 422, 'the most taken here'],
      [{ [q]: '3' }, 409, '2 pieces are finished and not posted'],
      [{ [q]: '' }, 422, 'Say how much of what is in the parcel'],
      [{ [q]: '0' }, 422, 'Say how much of what is in the parcel'],
      [{ sentOn: '2099-01-01' }, 409, 'still to come'],
      [{ sentOn: '2001-01-01' }, 409, 'cannot have been posted'],
      [{ sentOn: '2026-02-30' }, 422, 'Type a day'],
      [{ sentOn: '1920-01-01' }, 422, 'between 2000 and 2099'],
      [{ carrier: 'x'.repeat(61) }, 422, 'At most 60 characters'],
      [{ tracking: 'a\u0007b' }, 422, 'characters that cannot be seen'],
      [{ note: `a\u202eb` }, 422, 'characters that cannot be seen'],
      [{ note: 'n'.repeat(501) }, 422, 'At most 500 characters'],
      [{ [`q-${other.claimId}`]: '1' }, 422, `There is no line ${other.claimId} here`],
      [{ 'q-999': '1' }, 422, 'There is no line 999 here'],
      [{ [q]: '<b>2</b>' }, 422, '&lt;b&gt;2&lt;/b&gt;'],
    ];
    for (const [wrong, status, sentence] of cases) {
      const answer = await imre.post('/parcels', { ...fields, ...wrong });
      expect(answer.status, JSON.stringify(wrong)).toBe(status);
      expect(answer.text, JSON.stringify(wrong)).toContain(sentence);
      if (!('carrier' in wrong)) expect(answer.text).toContain('value="Keep me"');
    }
    expect(await app.context.db.read.parcel.count()).toBe(0);
    expect(await app.context.db.read.act.count({ where: { kind: 'post-parcel' } })).toBe(0);
  });

  it('alone: no other maker posts, sees or writes off what is theirs, and a visitor signs in first', async () => {
    const app = await startApp();
    const { parcelId, claimId, jobId, lineId } = await aPostedParcel(app, { tracking: 'SECRET 1' });
    await app.context.db.write.build.update({
      where: { id: 1 },
      data: { postAddress: '7 Observatory Lane', postContact: 'ring at the gate' },
    });
    const sunniva = await app.as('sunniva');
    expect((await sunniva.get(`/parcels/${parcelId}`)).status).toBe(404);
    expect((await sunniva.get('/parcels')).text).not.toContain(`/parcels/${parcelId}`);
    const off = await sunniva.post(`/parcels/${parcelId}/write-off`, { note: 'x' });
    expect(off.status).toBe(404);
    expect(
      (await sunniva.post(`/parcels/${parcelId}/short/${claimId}`, { quantity: '1', words: 'x' })).status,
    ).toBe(404);
    for (const path of [
      '/receiving',
      '/receiving/parcels',
      `/receiving/parcels/${parcelId}`,
      `/receiving/lines/${lineId}`,
    ]) {
      expect((await sunniva.get(path)).status, path).toBe(403);
    }
    expect((await sunniva.get(`/jobs/${jobId}`)).text).not.toContain('SECRET');
    expect((await sunniva.get('/parcels/new')).text).not.toContain('Observatory Lane');
    // Naming another maker changes nothing: whose work it is follows from who is signed in.
    const named = await sunniva.post('/parcels', {
      maker: castId.imre,
      [`q-${claimId}`]: '1',
      sentOn: await todayIn(app),
    });
    expect(named.status).toBe(422);
    const visitor = app.visitor();
    for (const path of ['/parcels', '/parcels/new', `/parcels/${parcelId}`, '/receiving']) {
      expect((await visitor.get(path)).headers.location, path).toMatch(/^\/sign-in/);
    }
    const row = await app.context.db.read.parcelItem.findUniqueOrThrow({ where: { id: lineId } });
    expect(row.countedMilli).toBeNull();
  });

  it('sees where to post only with something to post', async () => {
    const app = await startApp();
    await app.context.db.write.build.update({
      where: { id: 1 },
      data: { postAddress: '7 Observatory Lane' },
    });
    const { claimId } = await aClaim(app, { quantity: 1 });
    const imre = await app.as('imre');
    const before = await imre.get('/parcels/new');
    expect(before.text).toContain('You have nothing finished to post');
    expect(before.text).not.toContain('Observatory Lane');
    await finished(app, { claimId, quantity: 1 });
    expect((await imre.get('/parcels/new')).text).toContain('7 Observatory Lane');
  });

  it('with lead and crew writing it down for them', async () => {
    const app = await startApp();
    const { claimId, jobId } = await aClaim(app, { quantity: 1 });
    const crew = await app.as('crew');
    expect((await crew.get('/parcels/new')).text).toContain('Nothing is finished and not posted');
    await finished(app, { claimId, quantity: 1 });
    expect((await crew.get('/parcels/new')).text).toContain(`/parcels/new?maker=${castId.imre}`);
    expect((await crew.get(`/jobs/${jobId}`)).text).toContain('Write their parcel down');
    const page = (await crew.get(`/parcels/new?maker=${castId.imre}`)).text;
    expect(page).toContain('A parcel from Imre Kovacs');
    // A maker’s own address is for the lead and the maker alone.
    expect(page).not.toContain('Hill Road');
    const sent = await crew.post('/parcels', {
      maker: castId.imre,
      [`q-${claimId}`]: '1',
      sentOn: await todayIn(app),
    });
    expect(sent.headers.location).toBe('/receiving/parcels/1');
    const parcel = await app.context.db.read.parcel.findUniqueOrThrow({ where: { id: 1 } });
    expect(parcel.fromId).toBe(castId.imre);
  });
});

describe('the bench takes in and counts', () => {
  it('shows what to do first while there is no parcel', async () => {
    const app = await startApp();
    const crew = await app.as('crew');
    expect((await crew.get('/receiving')).text).toContain('No parcel yet');
    expect((await crew.get('/receiving/parcels')).text).toContain('No parcel yet');
    expect((await crew.get('/receiving/parcels/1')).status).toBe(404);
    expect((await crew.get('/receiving/lines/1')).status).toBe(404);
  });

  it('short, with what is missing named and back with its maker', async () => {
    const app = await startApp();
    const { parcelId, lineId, jobId, claimId } = await aPostedParcel(app, { quantity: 4 });
    app.passDays(8);
    const crew = await app.as('crew');
    const today = await todayIn(app);
    expect((await crew.get('/receiving')).text).toContain('Take it in');
    const answer = await crew.post(`/receiving/parcels/${parcelId}/arrival`, {
      arrivedOn: today,
      counting: 'now',
      [`c-${lineId}`]: '3',
      note: 'torn <open>',
    });
    expect(answer.status).toBe(303);
    const page = (await crew.get(`/receiving/parcels/${parcelId}`)).text;
    expect(page).toContain('1 piece short');
    expect(page).toContain('torn &lt;open&gt;');
    expect(page).toContain('after 8 days');
    expect(page).not.toContain('It will not come'); // for the lead and the maker
    expect(quantitiesOf(await jobNow(app, jobId))).toMatchObject({ made: 1000, toInspect: 3000 });
    expect((await crew.get('/receiving')).text).toContain('Imre Kovacs is to post it');
    const imre = await app.as('imre');
    expect((await imre.get(`/parcels/${parcelId}`)).text).toContain('1 piece short');
    const lead = await app.as('lead');
    const up = `/parcels/${parcelId}/short/${claimId}`;
    expect((await lead.post(up, { quantity: '2', words: 'gone' })).status).toBe(409);
    expect((await lead.post(up, { quantity: '1', words: '' })).status).toBe(422);
    expect((await lead.post(up, { quantity: 'abc', words: 'gone' })).text).toContain('not a quantity');
    expect((await lead.post(up, { quantity: '1', words: 'gone' })).status).toBe(303);
    expect(quantitiesOf(await jobNow(app, jobId))).toMatchObject({ open: 1000, made: 0 });
    expect((await crew.get('/receiving')).text).not.toContain('is to post it');
  });

  it('all as posted, or later, and counts again', async () => {
    const app = await startApp();
    const one = await aPostedParcel(app, { quantity: 2 });
    const two = await aPostedParcel(app, { quantity: 2, who: 'sunniva' });
    const crew = await app.as('crew');
    const arrivedOn = await todayIn(app);
    const post = (parcelId: number, name: string, fields: Record<string, unknown>) =>
      crew.post(`/receiving/parcels/${parcelId}/${name}`, fields);
    await post(one.parcelId, 'arrival', { arrivedOn, counting: 'as posted' });
    await post(two.parcelId, 'arrival', { arrivedOn, counting: 'later' });
    expect(
      parcelsToInspect(app.context.db, arrivedOn).map(({ id, state, text }) => [id, state, text]),
    ).toEqual([
      [one.parcelId, 'to inspect', expect.stringMatching(/^Inspect 2 pieces of .*, from Imre Kovacs$/)],
      [two.parcelId, 'to count', expect.stringMatching(/^Count 2 pieces of .*, from Sunniva Dahl$/)],
    ]);
    expect(parcelsInThePost(app.context.db, arrivedOn)).toEqual([]);
    expect((await post(two.parcelId, 'arrival', { arrivedOn, counting: 'as posted' })).status).toBe(409);
    const empty = await post(two.parcelId, 'count', { [`c-${two.lineId}`]: '' });
    expect(empty.status).toBe(422);
    expect(empty.text).toContain('Count it; 0 where there is none.');
    expect((await post(two.parcelId, 'count', { [`c-${two.lineId}`]: '1' })).status).toBe(303);
    expect((await post(two.parcelId, 'count', { [`c-${two.lineId}`]: '2' })).status).toBe(303);
    expect(quantitiesOf(await jobNow(app, two.jobId))).toMatchObject({ toInspect: 2000, made: 0 });
  });

  it('tells what does not fit and stores nothing', async () => {
    const app = await startApp();
    const { parcelId, lineId } = await aPostedParcel(app, { quantity: 4 });
    const other = await aPostedParcel(app, { who: 'sunniva' });
    const crew = await app.as('crew');
    const arrivedOn = await todayIn(app);
    const c = `c-${lineId}`;
    const fields = { arrivedOn, counting: 'now', [c]: '4', note: 'kept note' };
    const cases: [Record<string, string>, number, string][] = [
      [{ [c]: '5' }, 409, '4 pieces were posted; 5 pieces cannot have come'],
      [{ [c]: '-1' }, 422, 'below zero'],
      [{ [c]: '2.5' }, 422, 'not whole'],
      [{ [c]: 'all' }, 422, 'not a quantity'],
      [{ [c]: '' }, 422, 'Count it; 0 where there is none.'],
      [{ [`c-${other.lineId}`]: '1' }, 422, `There is no line ${other.lineId} here`],
      [{ arrivedOn: '2099-01-01' }, 409, 'still to come'],
      [{ arrivedOn: '2026-01-01' }, 409, 'cannot have come'],
      [{ arrivedOn: 'yesterday' }, 422, 'Type a day'],
      [{ counting: 'maybe' }, 422, 'Say whether it is counted'],
      [{ note: 'n'.repeat(1001) }, 422, 'At most 1000 characters'],
      [{ note: 'a\u0000b' }, 422, 'characters that cannot be seen'],
    ];
    for (const [wrong, status, sentence] of cases) {
      const answer = await crew.post(`/receiving/parcels/${parcelId}/arrival`, { ...fields, ...wrong });
      expect(answer.status, JSON.stringify(wrong)).toBe(status);
      expect(answer.text, JSON.stringify(wrong)).toContain(sentence);
      if (!('note' in wrong)) expect(answer.text).toContain('kept note');
    }
    const parcel = await app.context.db.read.parcel.findUniqueOrThrow({
      where: { id: parcelId },
      include: { items: true },
    });
    expect([parcel.arrivedAt, parcel.items[0]?.countedMilli, parcel.arrivalNote]).toEqual([null, null, '']);
    const imre = await app.as('imre');
    expect((await imre.post(`/receiving/parcels/${parcelId}/arrival`, fields)).status).toBe(403);
  });

  it('writes off a lost parcel, which can still turn up', async () => {
    const app = await startApp();
    const { parcelId, lineId } = await aPostedParcel(app, { quantity: 2 });
    const crew = await app.as('crew');
    const lead = await app.as('lead');
    const off = `/parcels/${parcelId}/write-off`;
    expect((await crew.get(`/receiving/parcels/${parcelId}`)).text).not.toContain('Write it off');
    expect((await crew.post(off, { note: 'gone' })).status).toBe(409);
    expect((await lead.post(off, { note: '' })).status).toBe(422);
    expect((await lead.post(off, { note: 'gone' })).status).toBe(303);
    const today = await todayIn(app);
    expect(parcelsInThePost(app.context.db, today)).toEqual([]);
    expect((await crew.get(`/receiving/parcels/${parcelId}`)).text).toContain('written off');
    const found = await crew.post(`/receiving/parcels/${parcelId}/arrival`, {
      arrivedOn: today,
      counting: 'now',
      [`c-${lineId}`]: '2',
    });
    expect(found.status).toBe(303);
    expect(parcelsToInspect(app.context.db, today)).toHaveLength(1);
  });

  it('foretells the day from earlier parcels of the same country', async () => {
    const app = await startApp();
    for (const days of [6, 9, 14]) {
      const { parcelId } = await aPostedParcel(app, { quantity: 1 });
      app.passDays(days);
      const crew = await app.as('crew');
      await crew.post(`/receiving/parcels/${parcelId}/arrival`, {
        arrivedOn: await todayIn(app),
        counting: 'as posted',
      });
    }
    const sent = await todayIn(app);
    await aPostedParcel(app, { quantity: 1 });
    app.passDays(11);
    const [parcel] = parcelsInThePost(app.context.db, await todayIn(app));
    expect(parcel).toMatchObject({ sentOn: sent, underWayDays: 11, lateDays: 2 });
    expect(parcel?.source).toBe('half of 3 earlier parcels from NZ took 9 days or less');
    expect((await (await app.as('crew')).get('/receiving')).text).toContain('2 days past the likely day');
  });
});

describe('the bench inspects', () => {
  const check = (browser: Browser, lineId: number, fields: Record<string, unknown>) =>
    browser.post(`/receiving/lines/${lineId}/checks`, { form: 'one', reason: '', gauge: '', ...fields });

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
    expect(asked.text).toContain('The figures are as measured');
    expect((await check(crew, lineId, { ...scrap, [v]: '250.1' })).text).toContain(
      'is the point in its place?',
    );
    expect((await check(crew, lineId, { ...scrap, [v]: '0.985', sure: 'yes' })).status).toBe(303);
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

  it('says at once how a typed value stands', async () => {
    const app = await startApp();
    const { lineId, characteristicIds } = await aDeliveredClaim(app, { quantity: 1, jobWish: KEYED });
    const crew = await app.as('crew');
    const verdict = async (text: string) =>
      (
        await crew.get(
          `/receiving/lines/${lineId}/verdict?v-${characteristicIds[0]}=${encodeURIComponent(text)}`,
        )
      ).text.trim();
    expect(await verdict('25.01')).toBe('inside the limits');
    expect(await verdict('25.03')).toContain('0.009 mm above the upper limit');
    expect(await verdict('2.501')).toContain('is the point in its place?');
    expect(await verdict('<b>')).toContain('&lt;b&gt;');
    expect(await verdict('')).toBe('');
    expect((await crew.get(`/receiving/lines/${lineId}/verdict?v-9999=1`)).status).toBe(404);
    expect((await (await app.as('imre')).get(`/receiving/lines/${lineId}/verdict?v-1=1`)).status).toBe(403);
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
      [{ [v]: '-25.01' }, 422, 'below the lower limit'],
      [{ [v]: '1e99' }, 422, 'is not a measured value'],
      [{ [v]: '99999999' }, 422, 'At most 1000000'],
      [{ [v]: '25°' }, 422, 'This is a length'],
      [{ disposition: '' }, 422, 'Choose what becomes of it'],
      [{ disposition: 'sell' }, 422, 'Choose what becomes of it'],
      [{ disposition: 'rework' }, 422, 'Say why it is not accepted'],
      [{ disposition: 'scrap', reason: 'r'.repeat(1001) }, 422, 'At most 1000 characters'],
      [{ disposition: 'scrap', reason: 'a\u0001' }, 422, 'characters that cannot be seen'],
      [{ gauge: 'g'.repeat(81) }, 422, 'At most 80 characters'],
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
