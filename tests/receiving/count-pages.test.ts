import { describe, expect, it } from 'vitest';
import { quantitiesOf } from '../../src/jobs/index.ts';
import { parcelsInThePost, parcelsToInspect } from '../../src/receiving/index.ts';
import { startApp } from '../support/app.ts';
import { jobNow } from '../support/jobs.ts';
import { aPostedParcel, todayIn } from '../support/receiving.ts';

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
