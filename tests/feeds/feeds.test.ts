import { describe, expect, it } from 'vitest';
import { dropJob, handBack, holdJob } from '../../src/jobs/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { aClaim, anOfferedJob, asPerson } from '../support/jobs.ts';
import { atomFaults, readAtom } from './atom-rules.ts';

const FEEDS = ['/feed.atom', '/bulletin/feed.atom', '/offers/feed.atom'];

async function feed(test: TestApp, path: string) {
  const answer = await test.visitor().get(path).buffer(true).parse(bodyText);
  return { answer, text: String(answer.body), told: readAtom(String(answer.body)) };
}

/** The body as text, whatever its media type. */
function bodyText(answer: unknown, done: (fault: Error | null, text: string) => void): void {
  const stream = answer as NodeJS.ReadableStream;
  const pieces: Buffer[] = [];
  stream.on('data', (piece: Buffer) => pieces.push(piece));
  stream.on('end', () => done(null, Buffer.concat(pieces).toString('utf8')));
}

async function publishAWeek(test: TestApp, opening: string): Promise<void> {
  test.setNow('2026-03-09T08:00:00Z');
  const lead = await test.as('lead');
  const fields = { title: 'Gears & “arms”', opening, closing: '', version: '0' };
  expect((await lead.post('/bulletin/2026-03-08', fields)).status).toBe(303);
  expect((await lead.post('/bulletin/2026-03-08/publish', { version: '1' })).status).toBe(303);
}

describe('the Atom feeds', () => {
  it('are valid before anything was told, and open to everyone', async () => {
    const test = await startApp();
    for (const path of FEEDS) {
      const { answer, text, told } = await feed(test, path);
      expect(answer.status).toBe(200);
      expect(answer.headers['content-type']).toBe('application/atom+xml; charset=utf-8');
      expect(atomFaults(text), path).toEqual([]);
      expect(told.entries).toEqual([]);
    }
  });

  it('tell open offers with what they take, until all is taken', async () => {
    const test = await startApp();
    const { jobId } = await anOfferedJob(test);
    const hidden = await anOfferedJob(test, { strangers: false, title: 'Not for strangers' });
    const { text, told } = await feed(test, '/offers/feed.atom');
    expect(atomFaults(text)).toEqual([]);
    expect(told.entries).toHaveLength(1);
    const [entry] = told.entries;
    expect(entry?.href).toBe(`http://127.0.0.1/offers/${jobId}`);
    expect(entry?.title).toContain('4 pieces open');
    expect(entry?.content).toContain('<dt>Process</dt>');
    expect(text).not.toContain('Not for strangers');

    test.passDays(1);
    const { claimId } = await aClaim(test, { jobId, quantity: 3 });
    const later = (await feed(test, '/offers/feed.atom')).told;
    expect(later.entries[0]?.id).toBe(entry?.id);
    expect(later.entries[0]?.title).toContain('1 piece open');
    expect(later.entries[0]!.updated > entry!.updated).toBe(true);
    expect(later.entries[0]?.published).toBe(entry?.published);

    await aClaim(test, { who: 'farid', jobId, quantity: 1 });
    expect((await feed(test, '/offers/feed.atom')).told.entries).toEqual([]);
    await asPerson(test, 'imre', (act) => handBack(act, { claimId, milli: 3000 }));
    expect((await feed(test, '/offers/feed.atom')).told.entries[0]?.id).toBe(entry?.id);
    await asPerson(test, 'lead', (act) => holdJob(act, { jobId, reason: 'The drawing is looked at' }));
    expect((await feed(test, '/feed.atom')).told.entries).toEqual([]);
    await asPerson(test, 'lead', (act) => dropJob(act, { jobId: hidden.jobId, reason: '' }));
  });

  it('tell the fifty offers that changed last, one that was claimed from among them', async () => {
    const test = await startApp();
    const { jobId } = await anOfferedJob(test);
    const { write } = test.context.db;
    const { id: _, ...job } = await write.job.findUniqueOrThrow({ where: { id: jobId } });
    const offeredFrom = job.offeredAt!.getTime();
    for (let minute = 1; minute <= 54; minute += 1) {
      await write.job.create({ data: { ...job, offeredAt: new Date(offeredFrom + minute * 60_000) } });
    }
    const numbers = async () =>
      (await feed(test, '/offers/feed.atom')).told.entries.map(({ href }) => Number(href.split('/').at(-1)));
    const newest = Array.from({ length: 50 }, (_one, at) => jobId + 54 - at);
    expect(await numbers()).toEqual(newest);
    test.passDays(1);
    await aClaim(test, { jobId, quantity: 3 });
    expect(await numbers()).toEqual([jobId, ...newest.slice(0, 49)]);
  });

  it('tell published bulletins whole, with absolute addresses and HTML of the lead as text', async () => {
    const test = await startApp();
    await publishAWeek(test, 'See [the offers](/offers). <script>alert(1)</script>');
    const { text, told } = await feed(test, '/bulletin/feed.atom');
    expect(atomFaults(text)).toEqual([]);
    const [entry] = told.entries;
    expect(entry?.href).toBe('http://127.0.0.1/bulletin/2026-03-08');
    expect(entry?.title).toContain('Gears &amp; “arms”');
    for (const [, address] of entry!.content.matchAll(/(?:href|src)="([^"]*)"/g)) {
      expect(address).toMatch(/^https?:\/\//);
    }
    expect(entry?.content).toContain('href="http://127.0.0.1/offers"');
    expect(entry?.content).not.toContain('<script');
    const both = (await feed(test, '/feed.atom')).told;
    expect(both.entries.map(({ id }) => id)).toEqual([entry?.id]);
    expect(new Set([both.id, told.id]).size).toBe(2);
  });

  it('answer 304 to who has them already, and send them again when they change', async () => {
    const test = await startApp();
    await anOfferedJob(test);
    const first = (await feed(test, '/feed.atom')).answer.headers;
    const visitor = test.visitor();
    const again = await visitor.get('/feed.atom').set('If-None-Match', first.etag!);
    expect(again.status).toBe(304);
    expect(again.text ?? '').toBe('');
    expect(again.headers.etag).toBe(first.etag);
    const since = { 'If-Modified-Since': first['last-modified']! };
    expect((await visitor.get('/feed.atom').set(since)).status).toBe(304);
    test.passDays(1);
    await anOfferedJob(test, { title: 'Another gear' });
    const tag = { 'If-None-Match': first.etag! };
    expect((await visitor.get('/feed.atom').set(tag)).status).toBe(200);
    expect((await visitor.get('/feed.atom').set(since)).status).toBe(200);
  });

  it('are named in the head of the pages they go with', async () => {
    const test = await startApp();
    const visitor = test.visitor();
    const linksOf = async (path: string) =>
      [
        ...(await visitor.get(path)).text.matchAll(
          /<link rel="alternate" type="application\/atom\+xml"[^>]* href="([^"]+)"/g,
        ),
      ].map(([, href]) => href);
    expect(await linksOf('/offers')).toEqual(['/feed.atom', '/offers/feed.atom']);
    expect(await linksOf('/bulletin')).toEqual(['/feed.atom', '/bulletin/feed.atom']);
    expect(await linksOf('/thanks')).toEqual(['/feed.atom']);
  });

  it('may be kept by caches on the way for visitors, and for nobody who brings cookies', async () => {
    const test = await startApp();
    const open = (await feed(test, '/feed.atom')).answer.headers;
    expect(open['cache-control']).toBe('public, max-age=300');
    expect(open['set-cookie']).toBeUndefined();
    const own = (await (await test.as('imre')).get('/feed.atom')).headers;
    expect(own['cache-control']).toBe('private, max-age=300');
  });

  it('name nobody who would rather not be named, also once they were told', async () => {
    const test = await startApp();
    await aClaim(test);
    await publishAWeek(test, 'Hello');
    expect((await feed(test, '/feed.atom')).text).toContain('Imre Kovacs');
    const { headers } = (await feed(test, '/feed.atom')).answer;
    const unnamed = {
      name: 'Imre Kovacs',
      email: 'imre@example.org',
      country: 'NZ',
      thanksBy: 'none',
      alias: '',
    };
    const imre = await test.as('imre');
    expect((await imre.post('/me', { ...unnamed, weeklyHours: '4', lengthUnit: 'mm' })).status).toBe(303);
    const { text, answer } = await feed(test, '/feed.atom');
    expect(text).not.toContain('Imre');
    expect(answer.headers.etag).not.toBe(headers.etag);
  });
});
