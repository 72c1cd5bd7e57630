import { describe, expect, it } from 'vitest';
import { startApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { aClaim, finished } from '../support/jobs.ts';
import { aPostedParcel, todayIn } from '../support/receiving.ts';

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
