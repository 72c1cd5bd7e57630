import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { removePart } from '../../src/parts/index.ts';
import { startApp } from '../support/app.ts';
import { aClaim, aFabrication, anOfferedJob } from '../support/jobs.ts';
import { aPart, asLead } from '../support/parts.ts';
import { aProblem, aRedesign } from '../support/problems.ts';

const picture = () =>
  sharp({ create: { width: 40, height: 30, channels: 3, background: '#777' } })
    .jpeg()
    .toBuffer();

const typed = { title: 'Gear binds', severity: '5', words: '', part: '', job: '' };

/** What a page shows as text in its main block, without markup. */
const shown = (html: string) =>
  html
    .slice(html.indexOf('<main'), html.indexOf('</main>'))
    .replace(/<[^>]+>/g, ' ')
    .replace(/\s+/g, ' ');

describe('the problems’ pages', () => {
  it('tell what to do first when nothing is known to be wrong', async () => {
    const lead = await (await startApp()).as('lead');
    const empty: [string, string, string][] = [
      ['/problems', 'Nothing is known to be wrong', '/problems/new'],
      ['/redesigns', 'No redesign yet', '/problems'],
      ['/trials', 'No trial yet', '/trials/new'],
      ['/decisions', 'No question is open', '/decisions/new'],
      ['/gatherings', 'No gathering is planned', '/gatherings/new'],
    ];
    for (const [path, words, first] of empty) {
      const { status, text } = await lead.get(path);
      expect(status).toBe(200);
      expect(text).toContain(words);
      expect(text).toContain(`class="btn main" href="${first}"`);
      for (const [other] of empty) expect(text).toContain(`<a href="${other}"`);
    }
  });

  it('are for lead and crew, and for makers as far as their own work goes', async () => {
    const app = await startApp();
    const mine = await anOfferedJob(app);
    await aClaim(app, { who: 'imre', jobId: mine.jobId });
    const other = await anOfferedJob(app);
    const own = await aProblem(app, { partId: mine.partId });
    const foreign = await aProblem(app, { partId: other.partId });
    const imre = await app.as('imre');
    for (const path of [
      '/problems',
      '/redesigns',
      '/trials',
      '/decisions',
      '/redesigns/new',
      '/trials/new',
    ]) {
      expect((await imre.get(path)).status).toBe(403);
      expect((await app.visitor().get(path)).status).toBe(303);
    }
    expect((await imre.get(`/problems/${own}`)).status).toBe(200);
    expect((await imre.get(`/problems/${foreign}`)).status).toBe(403);
    expect((await imre.get('/problems/new')).status).toBe(200);
    expect((await imre.get('/problems/99')).status).toBe(404);
    expect((await imre.post(`/problems/${own}/merge`, { sameAsId: foreign })).status).toBe(403);
    expect((await imre.post(`/problems/${own}/accept`, { reason: 'x' })).status).toBe(403);
    expect((await (await app.as('crew')).post(`/problems/${own}/accept`, { reason: 'x' })).status).toBe(403);
    expect((await imre.post(`/problems/${own}/change`, { ...typed, seen: '0' })).status).toBe(409);
    expect((await app.visitor().get('/problems/new')).headers.location).toContain('/sign-in');
  });

  it('take a problem with photos from a maker, show it to the shop, and put it into the bulletin’s log', async () => {
    const app = await startApp();
    const job = await anOfferedJob(app);
    await aClaim(app, { who: 'imre', jobId: job.jobId });
    const imre = await app.as('imre');
    expect((await imre.get('/problems/new')).text).toContain(`<option value="${job.jobId}"`);
    const fields = { ...typed, title: 'Chatter <b>marks</b>.', severity: '9', job: String(job.jobId) };
    const sent = await imre.upload('/problems', fields, [
      { name: 'photos', filename: 'a.jpg', content: await picture() },
      { name: 'photos', filename: 'b.jpg', content: await picture() },
    ]);
    expect(sent.status).toBe(303);
    const path = sent.headers.location!;
    expect((await imre.get(path)).status).toBe(200);
    const crew = await app.as('crew');
    const { text } = await crew.get(path);
    expect(text).toContain('Chatter &lt;b&gt;marks&lt;/b&gt;');
    expect(text).not.toContain('<b>marks');
    expect(text).toContain('Take care.');
    expect(text).toContain('seen <span class="num">2 Mar</span> by Imre Kovacs');
    expect(text.match(/<img src="\/photos\/\d+"/g)).toHaveLength(2);
    expect(text).toContain(`/parts/${job.number}`);
    const list = (await crew.get('/problems')).text;
    expect(shown(list)).toContain('900 9 × 10 × 10* 9, can hurt');
    expect(list).toContain('2 photos');
    expect(shown((await (await app.as('lead')).get('/log')).text)).toContain(
      'saw a problem: Chatter &lt;b&gt;marks&lt;/b&gt;',
    );
  });

  it('say at the field what does not fit, keep what was typed, and store nothing', async () => {
    const app = await startApp();
    const crew = await app.as('crew');
    const cases: [Record<string, string>, string][] = [
      [{ title: '' }, 'Say in one line what is wrong.'],
      [{ title: 'x'.repeat(121) }, 'At most 120 characters; this has 121.'],
      [{ title: 'a\u0007b' }, 'characters that cannot be seen'],
      [{ severity: '11' }, 'Say how bad it is.'],
      [{ severity: '2.5' }, 'Say how bad it is.'],
      [{ occurrence: '0' }, 'Choose a rank of 1 to 10.'],
      [{ detection: 'x' }, 'Choose a rank of 1 to 10.'],
      [{ often: 'x'.repeat(81) }, 'At most 80 characters; this has 81.'],
      [{ seenById: '999' }, 'Choose a person of the list.'],
      [{ seenById: 'me' }, 'Choose a person of the list.'],
      [{ seenOn: '2026-03-03' }, 'This day is still to come'],
      [{ seenOn: '2026-02-30' }, 'Type a day as year-month-day'],
      [{ severity: '' }, 'Say how bad it is.'],
      [{ words: 'x'.repeat(4001) }, 'At most 4000 characters'],
      [{ part: 'TB-9999' }, 'No part has the number TB-9999.'],
      [{ job: '-3' }, 'Type the number of a job.'],
      [{ job: '999' }, 'There is no job 999.'],
      [{ job: '1e3' }, 'Type the number of a job.'],
    ];
    for (const [wrong, sentence] of cases) {
      const fields = { ...typed, words: 'kept <i>words</i>', ...wrong };
      const { status, text } = await crew.upload('/problems', fields, []);
      expect(status).toBe(422);
      expect(text).toContain(sentence);
      if (!wrong.words) expect(text).toContain('kept &lt;i&gt;words&lt;/i&gt;');
    }
    const noPicture = await crew.upload('/problems', { ...typed, title: '' }, [
      { name: 'photos', filename: 'x.jpg', content: Buffer.from('<script>') },
    ]);
    expect(noPicture.status).toBe(422);
    expect(noPicture.text).toContain('x.jpg cannot be read as a picture');
    expect(noPicture.text).toContain('Say in one line what is wrong.');
    const seven = await Promise.all(
      Array.from({ length: 7 }, async (_, at) => ({
        name: 'photos',
        filename: `${at}.jpg`,
        content: await picture(),
      })),
    );
    expect((await crew.upload('/problems', typed, seven)).text).toContain('At most 6 photos');
    const { db } = app.context;
    expect(await db.read.problem.count()).toBe(0);
    expect(await db.read.photo.count()).toBe(0);
  });

  it('act once for a form that is sent twice', async () => {
    const app = await startApp();
    const crew = await app.as('crew');
    const first = await crew.upload('/problems', { ...typed, _once: 'same' }, []);
    const second = await crew.upload('/problems', { ...typed, _once: 'same' }, []);
    expect(second.headers.location).toBe(first.headers.location);
    expect(await app.context.db.read.problem.count()).toBe(1);
  });

  it('list problems by state and severity, and those of one part', async () => {
    const app = await startApp();
    const part = await aFabrication(app);
    await aProblem(app, { title: 'Small one', severity: 2 });
    await aProblem(app, { title: 'Grave one', severity: 8, partId: part.partId });
    const folded = await aProblem(app, { title: 'Folded one' });
    await aRedesign(app, { title: 'The cure', problemIds: [folded] });
    const lead = await app.as('lead');
    const all = shown((await lead.get('/problems')).text);
    expect(all.indexOf('Grave one')).toBeLessThan(all.indexOf('Small one'));
    expect(all.indexOf('In a redesign')).toBeLessThan(all.indexOf('Folded one'));
    const some = await lead.get(`/problems?part=${part.number.toLowerCase()}`);
    expect(some.text).toContain('Grave one');
    expect(some.text).not.toContain('Small one');
    const wrong = await lead.get('/problems?part=nonsense<i>');
    expect(wrong.status).toBe(422);
    expect(wrong.text).toContain('No part has the number nonsense&lt;i&gt;.');
    const other = await aFabrication(app);
    expect((await lead.get(`/problems?part=${other.number}`)).text).toContain(
      'Nothing is known to be wrong with',
    );
  });

  it('change, merge, accept and open a problem again', async () => {
    const app = await startApp();
    const [id, other] = [await aProblem(app), await aProblem(app, { title: 'The other' })];
    const lead = await app.as('lead');
    const page = (await lead.get(`/problems/${id}/change`)).text;
    const seen = /name="seen" value="(\d+)"/.exec(page)![1]!;
    const change = (fields: object, files: { name: string; filename: string; content: Buffer }[] = []) =>
      lead.upload(`/problems/${id}/change`, { ...typed, seen, ...fields }, files);
    const photo = { name: 'photos', filename: 'a.jpg', content: await picture() };
    expect((await change({ title: 'Binds when warm' }, [photo])).status).toBe(303);
    const late = await change({ title: 'Too late', words: 'my own words' });
    expect(late.status).toBe(409);
    expect(late.text).toContain('Somebody changed this while you were at it');
    expect(late.text).toContain('my own words');
    const newest = /name="seen" value="(\d+)"/.exec(late.text)![1]!;
    expect((await change({ title: 'Sent again', seen: newest })).status).toBe(303);
    const merge = (sameAsId: string) => lead.post(`/problems/${id}/merge`, { sameAsId });
    expect((await merge('999')).text).toContain('There is no problem 999.');
    expect((await merge('')).status).toBe(422);
    expect((await merge(String(id))).status).toBe(409);
    expect((await merge(String(other))).headers.location).toBe(`/problems/${other}`);
    expect(shown((await lead.get(`/problems/${other}`)).text)).toContain('Also seen by Tor Eide , 2 Mar : ');
    expect(shown((await lead.get(`/problems/${id}`)).text)).toContain(`The same as problem ${other}`);
    expect((await lead.post(`/problems/${id}/take-up`)).status).toBe(303);
    expect((await lead.post(`/problems/${id}/take-up`)).status).toBe(409);
    const nothing = await lead.post(`/problems/${id}/accept`, { reason: ' ' });
    expect(nothing.status).toBe(422);
    expect(nothing.text).toContain('Say why it is lived with.');
    await lead.post(`/problems/${id}/accept`, { reason: 'It runs <in>.' });
    expect((await lead.get(`/problems/${id}`)).text).toContain('It runs &lt;in&gt;.');
    expect((await lead.get(`/problems/${id}/change`)).text).toContain('accepted as it is');
  });
});

describe('a problem of a part that was taken out of the build', () => {
  it('can be said better, and another of that part not be written down', async () => {
    const app = await startApp();
    const { id: partId, number } = await aPart(app);
    const id = await aProblem(app, { partId });
    await asLead(app, (act) => removePart(act, partId, () => []));
    const lead = await app.as('lead');
    const sent = { ...typed, title: 'It bound', part: number, seen: '0' };
    expect((await lead.post(`/problems/${id}/change`, sent)).status).toBe(303);
    const row = await app.context.db.read.problem.findUniqueOrThrow({ where: { id } });
    expect(row).toMatchObject({ title: 'It bound', partId });
    expect((await lead.post('/problems', sent)).text).toContain(`No part has the number ${number}.`);
  });
});

describe('photos of a problem', () => {
  it('are seen by whom its page opens to, or that of the one that stands for it', async () => {
    const app = await startApp();
    const job = await anOfferedJob(app);
    await aClaim(app, { who: 'imre', jobId: job.jobId });
    const lead = await app.as('lead');
    const photo = { name: 'photos', filename: 'a.jpg', content: await picture() };
    const sent = await lead.upload('/problems', { ...typed, title: 'The rail has a dent' }, [photo]);
    const id = Number(sent.headers.location!.split('/').at(-1));
    const href = /\/photos\/\d+/.exec((await lead.get(`/problems/${id}`)).text)![0];
    const status = async (who: 'crew' | 'imre' | 'farid') => (await (await app.as(who)).get(href)).status;
    expect([await status('crew'), await status('imre'), await status('farid')]).toEqual([200, 403, 403]);
    expect((await app.visitor().get(href)).status).toBe(303);
    const other = await aProblem(app, { partId: job.partId });
    await lead.post(`/problems/${id}/merge`, { sameAsId: String(other) });
    expect((await (await app.as('imre')).get(`/problems/${other}`)).text).toContain(href);
    expect([await status('imre'), await status('farid')]).toEqual([200, 403]);
  });
});

describe('a title', () => {
  it('of full stops alone says nothing', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    for (const title of ['...', '. .', '.']) {
      const { status, text } = await lead.post('/problems', { ...typed, title });
      expect([status, title]).toEqual([422, title]);
      expect(text).toContain('Say in one line what is wrong.');
    }
    expect(await app.context.db.read.problem.count()).toBe(0);
    await lead.post('/problems', { ...typed, title: 'It binds. ' });
    expect(await app.context.db.read.problem.findFirst()).toMatchObject({ title: 'It binds' });
  });
});
