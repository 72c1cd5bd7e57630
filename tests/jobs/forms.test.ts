import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { askQuery } from '../../src/jobs/index.ts';
import { type Browser, startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import {
  aClaim,
  aFabrication,
  anOfferedJob,
  anotherJob,
  asPerson,
  finished,
  jobNow,
} from '../support/jobs.ts';
import { anAssembly, aPart } from '../support/parts.ts';

const PROMISE = { soonestDays: 5, likelyDays: 10, latestDays: 20 };
const HTML = '<script>alert(1)</script>';

/** Everything about jobs that an act could change. */
async function stored({ context }: TestApp) {
  const { read } = context.db;
  return JSON.stringify([
    await read.job.findMany(),
    await read.claim.findMany(),
    await read.report.findMany(),
    await read.photo.findMany(),
    await read.query.findMany(),
    await read.jobLink.findMany(),
    await read.part.findMany(),
    await read.act.count(),
  ]);
}

/** Sends forms that do not fit: each is answered with the status and the sentence, and nothing is stored. */
async function refuses(
  app: TestApp,
  who: Browser,
  path: string,
  good: Record<string, unknown>,
  cases: [fields: Record<string, unknown>, status: number, sentence: string][],
) {
  const before = await stored(app);
  for (const [fields, status, sentence] of cases) {
    const answer = await who.post(path, { ...good, ...fields });
    const told = `${path} ${JSON.stringify(fields).slice(0, 80)}`;
    expect(`${told}: ${answer.status}`).toBe(`${told}: ${status}`);
    expect(answer.text).toContain(sentence);
    expect(answer.text).not.toContain(HTML);
  }
  expect(await stored(app)).toBe(before);
}

describe('claiming, by forms', () => {
  it('takes a claim once, however often the form is sent', async () => {
    const app = await startApp();
    const { jobId } = await anOfferedJob(app, { quantity: 4 });
    const imre = await app.as('imre');
    const form = { quantity: '2', ...PROMISE, note: 'After Easter.', _once: 'the-same' };
    const first = await imre.post(`/jobs/${jobId}/claims`, form);
    expect(first.status).toBe(303);
    const again = await imre.post(`/jobs/${jobId}/claims`, form);
    expect(again.headers.location).toBe(first.headers.location);
    const { claims } = await jobNow(app, jobId);
    expect(claims).toHaveLength(1);
    expect(claims[0]).toMatchObject({ milli: 2000, personId: castId.imre, ...PROMISE });
    expect((await imre.get(first.headers.location ?? '')).text).toContain('After Easter.');
  });

  it('refuses what does not fit, keeps what was typed, stores nothing', async () => {
    const app = await startApp();
    const { jobId } = await anOfferedJob(app, { quantity: 4 });
    const imre = await app.as('imre');
    await refuses(app, imre, `/jobs/${jobId}/claims`, { quantity: '1', ...PROMISE, note: 'kept words' }, [
      [{ quantity: '' }, 422, 'Type how much.'],
      [{ quantity: '-1' }, 422, 'below zero'],
      [{ quantity: '0' }, 422, 'is zero'],
      [{ quantity: '1.5' }, 422, 'not whole'],
      [{ quantity: 'two' }, 422, 'is not a quantity'],
      [{ quantity: '2 kg' }, 422, 'the part is in pieces'],
      [{ quantity: '9'.repeat(50) }, 422, 'At most 40 characters'],
      [{ quantity: ['1', '2'] }, 422, 'Send this as text.'],
      [{ quantity: '5' }, 409, 'Only 4 pieces of 4 pieces are still open; you asked for 5 pieces.'],
      [{ soonestDays: '-1' }, 422, 'At least 0 days'],
      [{ latestDays: '731' }, 422, 'At most 730 days'],
      [{ likelyDays: '2.5' }, 422, 'Type a whole number.'],
      [{ likelyDays: '1e2' }, 422, 'Type a whole number.'],
      [{ likelyDays: '4' }, 422, 'Not before the soonest'],
      [{ latestDays: '9' }, 422, 'Not before the likely'],
      [{ note: 'x'.repeat(501) }, 422, 'At most 500 characters'],
      [{ note: 'a\u0007b' }, 422, 'characters that cannot be seen'],
      [{ note: 'a\u202eb' }, 422, 'characters that cannot be seen'],
      [{ quantity: '', note: HTML }, 422, '&lt;script&gt;'],
      [{ quantity: '' }, 422, 'kept words'],
    ]);
    expect((await imre.post('/jobs/999/claims', { quantity: '1', ...PROMISE })).status).toBe(404);
    expect((await imre.post('/jobs/0x1/claims', { quantity: '1', ...PROMISE })).status).toBe(404);
  });

  it('is for makers, and for the lead who names one', async () => {
    const app = await startApp();
    const { jobId } = await anOfferedJob(app);
    const path = `/jobs/${jobId}/claims`;
    const claim = { quantity: '1', ...PROMISE };
    expect((await (await app.as('crew')).post(path, claim)).status).toBe(403);
    expect((await app.visitor().post(path, claim)).headers.location).toContain('/sign-in');
    const lead = await app.as('lead');
    await refuses(app, lead, path, claim, [
      [{}, 422, 'Choose a maker.'],
      [{ personId: '99' }, 422, 'There is no such person here.'],
      [{ personId: 'x' }, 422, 'Choose a maker of the list.'],
    ]);
    expect((await lead.post(path, { ...claim, personId: castId.farid })).status).toBe(303);
    // A maker claims for nobody else, whatever the form says.
    const imre = await app.as('imre');
    expect((await imre.post(path, { ...claim, personId: castId.farid })).status).toBe(303);
    const { claims } = await jobNow(app, jobId);
    expect(claims.map(({ personId }) => personId)).toEqual([castId.farid, castId.imre]);
  });
});

describe('a maker’s own claim, by forms', () => {
  it('is begun, promised anew, reported with photos, corrected and handed back', async () => {
    const app = await startApp();
    const { jobId, claimId } = await aClaim(app);
    const imre = await app.as('imre');
    const on = `/claims/${claimId}`;
    expect((await imre.post(`${on}/start`)).status).toBe(303);
    app.passDays(3);
    expect((await imre.post(`${on}/promise`, PROMISE)).status).toBe(303);
    const picture = await sharp({ create: { width: 2400, height: 900, channels: 3, background: '#a85' } })
      .jpeg()
      .withExif({ IFD3: { GPSLatitude: '47/1 30/1 0/1' } })
      .toBuffer();
    const report = await imre.upload(`${on}/report`, { quantity: '3', words: `Done ${HTML}`, hours: '2,5' }, [
      { name: 'photos', filename: 'a.jpg', content: picture },
      { name: 'photos', filename: 'b.jpg', content: picture },
    ]);
    expect(report.status).toBe(303);
    expect((await imre.post(`${on}/correct`, { quantity: '1', words: 'It cracked.' })).status).toBe(303);
    expect((await imre.post(`${on}/hand-back`, { quantity: '2', words: 'No brass left.' })).status).toBe(303);
    const { claims } = await jobNow(app, jobId);
    expect(claims[0]).toMatchObject({ doneMilli: 2000, backMilli: 2000, soonestDays: 8, likelyDays: 13 });
    const { text } = await imre.get(`/jobs/${jobId}`);
    for (const words of [
      '3 pieces finished',
      '2.5&nbsp;h',
      'It cracked.',
      'No brass left.',
      'Done &lt;script&gt;',
    ]) {
      expect(text).toContain(words);
    }
    const photos = await app.context.db.read.photo.findMany();
    expect(photos).toHaveLength(2);
    const photo = await imre.get(`/photos/${photos[0]!.id}`);
    expect(photo.status).toBe(200);
    expect(photo.headers['content-type']).toBe('image/jpeg');
    expect(photo.headers['cache-control']).toBe('private, max-age=31536000, immutable');
    const meta = await sharp(photo.body as Buffer).metadata();
    expect([meta.width, meta.height, meta.exif]).toEqual([1600, 600, undefined]);
    expect((await app.visitor().get(`/photos/${photos[0]!.id}`)).status).toBe(303);
    expect((await imre.get('/photos/999')).status).toBe(404);
    expect((await imre.get('/photos/..%2f1')).status).toBe(404);
  });

  it('is no other maker’s: 403 on every act', async () => {
    const app = await startApp();
    const { claimId } = await aClaim(app);
    await finished(app, { claimId, quantity: 2 });
    const before = await stored(app);
    const farid = await app.as('farid');
    const crew = await app.as('crew');
    const forms: [string, Record<string, unknown>][] = [
      ['start', {}],
      ['promise', PROMISE],
      ['report', { quantity: '1', words: 'x' }],
      ['correct', { quantity: '1', words: 'x' }],
      ['hand-back', { quantity: '1' }],
    ];
    for (const [name, fields] of forms) {
      expect((await farid.post(`/claims/${claimId}/${name}`, fields)).status).toBe(403);
      expect((await crew.post(`/claims/${claimId}/${name}`, fields)).status).toBe(403);
      expect((await farid.post(`/claims/999/${name}`, fields)).status).toBe(404);
      expect((await app.visitor().post(`/claims/${claimId}/${name}`, fields)).status).toBe(303);
    }
    expect(await stored(app)).toBe(before);
    const lead = await app.as('lead');
    expect((await lead.post(`/claims/${claimId}/report`, { quantity: '1', words: 'By phone.' })).status).toBe(
      303,
    );
  });

  it('refuses reports that do not fit, keeping nothing and no file', async () => {
    const app = await startApp();
    const { claimId } = await aClaim(app);
    const imre = await app.as('imre');
    await refuses(app, imre, `/claims/${claimId}/report`, { words: 'kept words' }, [
      [{ quantity: '5' }, 409, 'would be above the claim'],
      [{ quantity: '-2' }, 422, 'below zero'],
      [{ quantity: '0.5' }, 422, 'not whole'],
      [{ hours: '-1' }, 422, 'At least 0 hours'],
      [{ hours: '1001' }, 422, 'At most 1000 hours'],
      [{ hours: 'long' }, 422, 'Type a number.'],
      [{ words: '', quantity: '0' }, 422, 'Say in a word how it goes'],
      [{ words: 'x'.repeat(4001) }, 422, 'At most 4000 characters'],
      [{ words: 'a\u0000b' }, 422, 'characters that cannot be seen'],
      [{ hours: 'long', words: HTML }, 422, '&lt;script&gt;'],
    ]);
    const before = await stored(app);
    const send = (files: { name: string; filename: string; content: Buffer }[], words = 'kept words') =>
      imre.upload(`/claims/${claimId}/report`, { words, quantity: '1' }, files);
    const bad = await send([{ name: 'photos', filename: '<b>.jpg', content: Buffer.from('no picture') }]);
    expect(bad.status).toBe(422);
    expect(bad.text).toContain('&lt;b&gt;.jpg cannot be read as a picture');
    expect(bad.text).toContain('kept words');
    const pixel = await sharp({ create: { width: 1, height: 1, channels: 3, background: '#fff' } })
      .png()
      .toBuffer();
    const many = Array.from({ length: 7 }, (_, n) => ({
      name: 'photos',
      filename: `${n}.png`,
      content: pixel,
    }));
    expect((await send(many)).text).toContain('At most 6 photos at once; these are 7.');
    const empty = await send([{ name: 'photos', filename: 'e.jpg', content: Buffer.alloc(0) }]);
    expect(empty.text).toContain('e.jpg is empty');
    expect(await stored(app)).toBe(before);
    await refuses(app, imre, `/claims/${claimId}/promise`, PROMISE, [
      [{ likelyDays: '1' }, 422, 'Not before the soonest'],
      [{ latestDays: '' }, 422, 'Type a number.'],
    ]);
    await refuses(app, imre, `/claims/${claimId}/hand-back`, { quantity: '1' }, [
      [{ quantity: '5' }, 409, 'Only 4 pieces are unfinished'],
      [{ words: 'x'.repeat(1001) }, 422, 'At most 1000 characters'],
    ]);
    await refuses(app, imre, `/claims/${claimId}/correct`, { quantity: '1', words: 'x' }, [
      [{}, 409, 'no pieces are finished and not posted'],
      [{ words: '' }, 422, 'Say in a word what happened.'],
    ]);
  });
});

describe('questions, by forms', () => {
  it('are asked by who is on the job or may claim it, and answered by the shop', async () => {
    const app = await startApp();
    const { jobId } = await aFabrication(app);
    const [farid, crew] = [await app.as('farid'), await app.as('crew')];
    const ask = (who: Browser, question = 'Which alloy?') => who.post(`/jobs/${jobId}/queries`, { question });
    expect((await ask(farid)).status).toBe(409);
    expect((await crew.post(`/jobs/${jobId}/offer`, { asked: 'yes' })).status).toBe(303);
    expect((await ask(farid)).status).toBe(303);
    await refuses(app, farid, `/jobs/${jobId}/queries`, {}, [
      [{ question: ' ' }, 422, 'Type the question.'],
      [{ question: 'x'.repeat(2001) }, 422, 'At most 2000 characters'],
      [{ question: `a\u001b${HTML}` }, 422, 'characters that cannot be seen'],
    ]);
    const { id } = await app.context.db.read.query.findFirstOrThrow();
    expect((await farid.post(`/queries/${id}/answer`, { answer: 'Any.' })).status).toBe(403);
    expect((await crew.post('/queries/999/answer', { answer: 'Any.' })).status).toBe(404);
    await refuses(app, crew, `/queries/${id}/answer`, {}, [[{ answer: '' }, 422, 'Type the answer.']]);
    expect((await crew.post(`/queries/${id}/answer`, { answer: 'CuZn39Pb3.' })).status).toBe(303);
    expect((await (await app.as('imre')).get(`/jobs/${jobId}`)).text).toContain('CuZn39Pb3.');
    expect((await crew.post(`/queries/${id}/answer`, { answer: 'Any.' })).status).toBe(303);
    const row = await app.context.db.read.act.findFirstOrThrow({ orderBy: { id: 'desc' } });
    expect(JSON.parse(row.before ?? '')).toEqual({ answer: 'CuZn39Pb3.' });
  });
});

describe('the job as a whole, by forms', () => {
  it('is made for a part with a title, quantity, dates and people', async () => {
    const app = await startApp();
    const { partId, number } = await aFabrication(app);
    const crew = await app.as('crew');
    const chosen = (await crew.get(`/jobs/new?part=${number}`)).text;
    expect(chosen).toContain(`/jobs/new?kind=fabricate&amp;part=${number}`);
    expect(chosen).not.toContain('kind=purchase');
    expect((await crew.get(`/jobs/new?kind=fabricate&part=${number}`)).text).toContain(`value="${number}"`);
    const form = {
      kind: 'fabricate',
      part: number.toLowerCase(),
      quantity: '6',
      title: '',
      wantedOn: '2026-06-01',
    };
    const made = await crew.post('/jobs', { ...form, firstPiece: 'yes', hours: '3.5', note: HTML });
    expect(made.status).toBe(303);
    const jobId = Number(/\d+$/.exec(made.headers.location ?? '')?.[0]);
    const row = await app.context.db.read.job.findUniqueOrThrow({ where: { id: jobId } });
    expect(row).toMatchObject({ partId, milli: 6000, firstPiece: true, strangers: false, hours: 3.5 });
    expect((await crew.get(`/jobs/${jobId}`)).text).toContain('&lt;script&gt;');
    await refuses(app, crew, '/jobs', form, [
      [{ kind: 'rocket' }, 422, 'What kind of work'],
      [{ part: '' }, 422, 'name its number'],
      [{ part: 'NO-1' }, 422, 'No part has the number NO-1.'],
      [{ part: 'x'.repeat(41) }, 422, 'At most 40 characters'],
      [{ quantity: '' }, 422, 'No quantity is given.'],
      [{ quantity: '1000001' }, 422, 'the most taken here'],
      [{ title: 'x'.repeat(121) }, 422, 'At most 120 characters'],
      [{ title: 'two\nlines' }, 422, 'characters that cannot be seen'],
      [{ note: 'x'.repeat(4001) }, 422, 'At most 4000 characters'],
      [{ wantedOn: '2026-02-30' }, 422, 'Type a day as year-month-day'],
      [{ wantedOn: '9999-01-01' }, 422, 'between 2000 and 2099'],
      [{ hours: '-1' }, 422, 'At least 0 hours'],
      [{ days: '1001' }, 422, 'At most 1000 days'],
      [{ days: '1.5' }, 422, 'Type a whole number.'],
      [{ gatheringId: '9' }, 422, 'There is no such gathering.'],
      [{ quantity: '', title: HTML }, 422, '&lt;script&gt;'],
      [{ kind: 'other', title: '', part: '' }, 422, 'Say in a few words'],
      [{ kind: 'other', title: 'x', part: '', personId: '99' }, 422, 'There is no such person here.'],
    ]);
    const imre = await app.as('imre');
    expect((await imre.post('/jobs', form)).status).toBe(403);
    expect((await imre.get('/jobs/new')).status).toBe(403);
  });

  it('is changed while it goes on, never below what is claimed', async () => {
    const app = await startApp();
    const { jobId } = await aClaim(app);
    const crew = await app.as('crew');
    const page = (await crew.get(`/jobs/${jobId}/edit`)).text;
    expect(page).toContain('value="4"');
    const form = { title: 'Idler', quantity: '5', note: 'one spare', strangers: 'yes' };
    expect((await crew.post(`/jobs/${jobId}/edit`, form)).status).toBe(303);
    expect(await jobNow(app, jobId)).toMatchObject({ title: 'Idler', milli: 5000, strangers: true });
    await refuses(app, crew, `/jobs/${jobId}/edit`, form, [
      [{ quantity: '3' }, 409, '4 pieces are claimed: the quantity cannot be 3 pieces.'],
      [{ quantity: 'many' }, 422, 'is not a quantity'],
      [{ title: '' }, 422, 'Say in a few words'],
      [{ quantity: '', title: HTML }, 422, '&lt;script&gt;'],
    ]);
    expect((await (await app.as('imre')).post(`/jobs/${jobId}/edit`, form)).status).toBe(403);
    expect((await crew.get('/jobs/999/edit')).status).toBe(404);
    await crew.post(`/jobs/${jobId}/drop`, { reason: 'Not needed.' });
    expect((await crew.get(`/jobs/${jobId}/edit`)).status).toBe(409);
  });

  it('is offered, withdrawn, held, resumed and dropped by the shop alone', async () => {
    const app = await startApp();
    const { jobId } = await aFabrication(app);
    const [crew, imre] = [await app.as('crew'), await app.as('imre')];
    const forms: [string, Record<string, unknown>][] = [
      ['offer', { asked: 'yes' }],
      ['withdraw', {}],
      ['offer', {}],
      ['hold', { reason: `Bore ${HTML}` }],
      ['resume', {}],
      ['drop', { reason: 'Not needed.' }],
    ];
    for (const [name, fields] of forms) {
      expect((await imre.post(`/jobs/${jobId}/${name}`, fields)).status).toBe(403);
      expect(`${name} ${(await crew.post(`/jobs/${jobId}/${name}`, fields)).status}`).toBe(`${name} 303`);
      const again = await crew.post(`/jobs/${jobId}/${name}`, fields);
      expect(`${name} again ${again.status}`).toBe(`${name} again 409`);
      expect(again.text).toContain('class="notice refused"');
    }
    // The box for strangers was shown and left empty; the one press from a card says nothing of it.
    expect((await jobNow(app, jobId)).strangers).toBe(false);
    await refuses(app, crew, `/jobs/${jobId}/hold`, {}, [
      [{ reason: '' }, 422, 'Say why: makers see it.'],
      [{ reason: 'x'.repeat(501) }, 422, 'At most 500 characters'],
    ]);
    expect((await crew.post('/jobs/999/offer')).status).toBe(404);
  });

  it('of another kind is begun and finished by the shop or the person named', async () => {
    const app = await startApp();
    const jobId = await anotherJob(app, { personId: castId.imre });
    const [imre, farid] = [await app.as('imre'), await app.as('farid')];
    expect((await farid.post(`/jobs/${jobId}/start`)).status).toBe(403);
    expect((await farid.post(`/jobs/${jobId}/finish`, { result: 'x' })).status).toBe(403);
    expect((await imre.post('/jobs/999/start')).status).toBe(404);
    expect((await imre.post(`/jobs/${jobId}/start`)).status).toBe(303);
    await refuses(app, imre, `/jobs/${jobId}/finish`, {}, [
      [{ result: '' }, 422, 'Say what came of it.'],
      [{ result: 'x'.repeat(4001) }, 422, 'At most 4000 characters'],
    ]);
    expect((await imre.post(`/jobs/${jobId}/finish`, { result: `Swept. ${HTML}` })).status).toBe(303);
    expect((await imre.get(`/jobs/${jobId}`)).text).toContain('Swept. &lt;script&gt;');
  });

  it('a fit-up waits for its parts by the schedule, unless they lie at the bench', async () => {
    const app = await startApp();
    const { id, childIds } = await anAssembly(app, { children: [{ kind: 'bought' }] });
    const jobId = await anotherJob(app, { kind: 'fit-up', partId: id, title: 'Join' });
    await anotherJob(app, { kind: 'purchase', partId: childIds[0]!, milli: 1000 });
    const crew = await app.as('crew');
    expect((await crew.get(`/jobs/${jobId}`)).text).toContain('I have all parts at the bench');
    const result = 'Sits well.';
    const refused = await crew.post(`/jobs/${jobId}/finish`, { result });
    expect(refused.status).toBe(409);
    expect(refused.text).toContain('Not all parts');
    expect(refused.text).toContain('Sits well.');
    expect((await crew.post(`/jobs/${jobId}/finish`, { result, atBench: 'yes' })).status).toBe(303);
  });

  it('a purchase is ordered and received; the supplier comes back on the page', async () => {
    const app = await startApp();
    const { id } = await aPart(app, { kind: 'bought' });
    const jobId = await anotherJob(app, { kind: 'purchase', partId: id, milli: 8000 });
    const crew = await app.as('crew');
    await refuses(app, crew, `/jobs/${jobId}/order`, { supplier: 'Nut & Co' }, [
      [{ supplier: '' }, 422, 'Name the supplier.'],
      [{ supplier: 'x'.repeat(121) }, 422, 'At most 120 characters'],
      [{ promisedOn: '2026-03-01' }, 409, 'is past'],
      [{ promisedOn: 'soon' }, 422, 'Type a day'],
    ]);
    const order = { supplier: `Nut ${HTML}`, promisedOn: '2026-04-01' };
    expect((await crew.post(`/jobs/${jobId}/order`, order)).status).toBe(303);
    const page = (await crew.get(`/jobs/${jobId}`)).text;
    expect(page).toContain('of Nut &lt;script&gt;');
    expect(page).toContain('delivery named for 1 Apr');
    await refuses(app, crew, `/jobs/${jobId}/receive`, {}, [
      [{ quantity: '-8' }, 422, 'below zero'],
      [{ quantity: '' }, 422, 'Say how much arrived'],
      [{ quantity: '', noMore: 'yes' }, 422, 'drop the job instead'],
      [{ quantity: '2.5' }, 422, 'not whole'],
    ]);
    const arrival = { quantity: '8', _once: 'one-parcel' };
    for (let n = 0; n < 2; n += 1)
      expect((await crew.post(`/jobs/${jobId}/receive`, arrival)).status).toBe(303);
    const part = await app.context.db.read.part.findUniqueOrThrow({ where: { id } });
    expect(part.shelfMilli).toBe(8000);
    const imre = await app.as('imre');
    expect((await imre.post(`/jobs/${jobId}/order`, order)).status).toBe(403);
    expect((await imre.post(`/jobs/${jobId}/receive`, arrival)).status).toBe(403);
  });

  it('is linked with another, a loop named, and unlinked', async () => {
    const app = await startApp();
    const [a, b] = [await anotherJob(app, { title: 'A' }), await anotherJob(app, { title: 'B' })];
    const crew = await app.as('crew');
    const form = { other: b, direction: 'waits', type: 'FS', lag: '2' };
    expect((await crew.post(`/jobs/${a}/link`, form)).status).toBe(303);
    await refuses(app, crew, `/jobs/${a}/link`, form, [
      [{ direction: 'waited' }, 409, `job ${b} before ${a} before ${b}`],
      [{ other: 'x' }, 422, 'Type the number of a job.'],
      [{ other: '99' }, 422, 'There is no job 99'],
      [{ other: a }, 422, 'cannot wait for itself'],
      [{ type: 'XX' }, 422, 'Choose one of the list.'],
      [{ lag: '366' }, 422, 'At most 365 days'],
      [{ lag: '0.5' }, 422, 'Type a whole number.'],
    ]);
    const { id } = await app.context.db.read.jobLink.findFirstOrThrow();
    expect((await (await app.as('imre')).post(`/jobs/${a}/links/${id}/remove`)).status).toBe(403);
    expect((await crew.post(`/jobs/${a}/links/${id}/remove`)).status).toBe(303);
    expect((await crew.post(`/jobs/${a}/links/${id}/remove`)).status).toBe(404);
    expect(await app.context.db.read.jobLink.count()).toBe(0);
  });
});

it('what makers ask about shows as text everywhere', async () => {
  const app = await startApp();
  const { jobId } = await aClaim(app);
  await asPerson(app, 'imre', (act) => askQuery(act, { jobId, question: HTML }));
  const { text } = await (await app.as('lead')).get(`/jobs/${jobId}`);
  expect(text).toContain('&lt;script&gt;');
  expect(text).not.toContain(HTML);
});
