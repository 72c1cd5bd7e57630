import { describe, expect, it } from 'vitest';
import { answerQuery, askQuery, factsReader } from '../../src/jobs/index.ts';
import { comeToGathering } from '../../src/problems/index.ts';
import {
  type Contribution,
  countLines,
  MOST_PARTS,
  NO_COUNTS,
  shareLines,
  together,
} from '../../src/thanks/contribution.ts';
import { type Thanked, thanksPage } from '../../src/thanks/thanks-page.ts';
import { thanksReader } from '../../src/thanks/thanks-reader.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { aClaim, asPerson } from '../support/jobs.ts';
import { aGathering, aProblem } from '../support/problems.ts';
import { aDeliveredClaim, checked } from '../support/receiving.ts';

const share = (name: string, milli: number, partId: number | null = 1) => ({
  partId,
  name,
  unit: 'piece' as const,
  milli,
});
const gave = (personId: number, fields: Partial<Contribution> = {}): Contribution => ({
  personId,
  made: [],
  inHand: [],
  counts: { ...NO_COUNTS },
  reasons: [],
  firstAt: '2026-03-02T08:00:00.000+00:00',
  ...fields,
});
const person = (id: number, fields: Partial<Thanked> = {}): Thanked => ({
  id,
  name: `Person ${id}`,
  role: 'maker',
  country: 'NZ',
  thanksBy: 'name',
  alias: '',
  thanksWords: '',
  forgottenAt: null,
  ...fields,
});

describe('shareLines', () => {
  it('says how much of what, the most first, and what is beyond the first few in one line', () => {
    expect(shareLines([share('Arm', 1000), share('Gear', 12_000), share('Nothing', 0)])).toEqual([
      '12 pieces of Gear',
      '1 piece of Arm',
    ]);
    const lines = shareLines(Array.from({ length: 43 }, (_, n) => share(`Part ${n}`, 1000 * (n + 1))));
    expect(lines).toHaveLength(MOST_PARTS);
    expect(lines.at(-1)).toBe(`and ${43 - MOST_PARTS + 1} other parts`);
    expect(shareLines([])).toEqual([]);
  });
});

describe('countLines', () => {
  it('counts in words, and is silent about what there is none of', () => {
    expect(countLines({ ...NO_COUNTS, parcels: 1, answers: 3 })).toEqual([
      '1 parcel posted',
      '3 questions answered',
    ]);
    expect(countLines(NO_COUNTS)).toEqual([]);
  });
});

describe('together', () => {
  it('adds up what several gave, part by part', () => {
    const sum = together([
      gave(1, { made: [share('Gear', 4000), share('Arm', 1000, 2)], counts: { ...NO_COUNTS, parcels: 1 } }),
      gave(2, { made: [share('Gear', 2000)], counts: { ...NO_COUNTS, parcels: 2, problems: 1 } }),
    ]);
    expect(shareLines(sum.made)).toEqual(['6 pieces of Gear', '1 piece of Arm']);
    expect(countLines(sum.counts)).toEqual(['3 parcels posted', '1 problem found']);
  });
});

describe('thanksPage', () => {
  const people = [
    person(1, { name: 'Zoë', thanksBy: 'alias', alias: 'Anvil', thanksWords: 'I turned them all.' }),
    person(2, { name: 'bruno', country: '' }),
    person(3, {
      name: 'Hidden Person',
      thanksBy: 'none',
      alias: 'Hidden Alias',
      thanksWords: 'hidden words',
    }),
    person(4, { name: 'someone who has left', thanksBy: 'none', forgottenAt: new Date() }),
    person(5, { name: 'Idle' }),
    person(6, { name: 'Ottilie', role: 'lead', thanksBy: 'name' }),
  ];
  const all = [1, 2, 3, 4, 6].map((id) => gave(id, { made: [share('Gear', id * 1000)] }));
  const page = thanksPage(people, all, 'Europe/Oslo');

  it('names each in the form they chose, in the order of the name that is shown', () => {
    expect(page.named.map(({ name, country, isLead }) => [name, country, isLead])).toEqual([
      ['Anvil', '', false],
      ['bruno', '', false],
      ['Ottilie', 'New Zealand', true],
    ]);
    expect(page.named[0]).toMatchObject({
      words: 'I turned them all.',
      since: 'Mar 2026',
      made: ['1 piece of Gear'],
    });
  });

  it('counts who would rather not be named, and who has left, with what they gave', () => {
    expect(page.unnamed).toEqual({ count: 1, made: ['3 pieces of Gear'], also: [] });
    expect(page.left).toEqual({ count: 1, made: ['4 pieces of Gear'], also: [] });
    expect(JSON.stringify(page)).not.toMatch(/Zoë|Hidden|hidden|has left/);
  });

  it('loses no piece of anybody’s', () => {
    const count = (lines: string[]) => lines.reduce((sum, line) => sum + Number.parseInt(line, 10), 0);
    const shown = [...page.named, page.unnamed, page.left].reduce((sum, { made }) => sum + count(made), 0);
    expect(shown).toBe(1 + 2 + 3 + 4 + 6);
  });
});

async function pageOf(test: TestApp): Promise<string> {
  const { status, text } = await test.visitor().get('/thanks');
  expect(status).toBe(200);
  return text.slice(text.indexOf('<main'), text.indexOf('</main'));
}

describe('/thanks', () => {
  it('says so while nobody gave anything', async () => {
    const test = await startApp();
    expect(await pageOf(test)).toContain('Nobody to thank yet');
  });

  it('tells from the tables and the log what each gave, and of nobody what they did not', async () => {
    const test = await startApp();
    const { lineId, jobId } = await aDeliveredClaim(test, { jobWish: { part: { name: 'Planet gear' } } });
    await checked(test, { lineId, units: [1, 2, 3] });
    await checked(test, { lineId, units: [4], disposition: 'scrap' });
    await aClaim(test, { who: 'sunniva', quantity: 2 });
    const query = await asPerson(test, 'imre', (act) => askQuery(act, { jobId, question: 'Which side?' }));
    await asPerson(test, 'crew', (act) => answerQuery(act, { queryId: query, answer: 'The hub side.' }));
    await aProblem(test);
    const id = await aGathering(test);
    await asPerson(test, 'sunniva', (act) =>
      comeToGathering(act, { gatheringId: id, personId: castId.sunniva }),
    );
    const before = await pageOf(test);
    const of = (text: string, name: string) => {
      const from = text.indexOf(`<h3>${name}`);
      return text.slice(from, text.indexOf('</li>', from));
    };
    expect(of(before, 'Imre Kovacs')).toMatch(/3 pieces of Planet gear.*1 parcel posted, 1 question asked/s);
    expect(of(before, 'Imre Kovacs')).toMatch(/since Mar 2026.*New Zealand/s);
    expect(of(before, 'Tor Eide')).toMatch(
      /1 problem found, 1 question answered, 1 parcel taken in, 4 inspections/,
    );
    expect(of(before, 'Sunniva Dahl')).toContain('2 pieces of');
    expect(of(before, 'Sunniva Dahl')).not.toContain('gathering');
    expect(of(before, 'Ottilie Brandt')).toContain('lead');
    expect(before).not.toContain('Farid');
    test.setNow('2026-03-20T08:00:00Z');
    expect(of(await pageOf(test), 'Sunniva Dahl')).toContain('1 gathering come to');
  });

  it('counts each accepted piece once for whoever made it, as the jobs count them', async () => {
    const test = await startApp();
    const wish = { part: { name: 'Planet gear' } };
    const first = await aDeliveredClaim(test, { quantity: 5, jobWish: wish });
    await checked(test, { lineId: first.lineId, units: [1, 2, 3] });
    await checked(test, { lineId: first.lineId, units: [4], disposition: 'concession', reason: 'a scratch' });
    await checked(test, { lineId: first.lineId, units: [5], disposition: 'rework' });
    for (const [who, quantity] of [
      ['farid', 2],
      ['imre', 3],
    ] as const) {
      const { lineId } = await aDeliveredClaim(test, { who, quantity });
      await checked(test, { lineId, units: [1, 2] });
    }
    const { hot } = test.context.db;
    const { contributions } = thanksReader(test.context.db)('2026-03-02');
    const sum = (shares: { milli: number }[]) => shares.reduce((total, { milli }) => total + milli, 0);
    // The slow way: claim by claim, as the route cards reckon.
    const claims = factsReader({ hot })
      .all()
      .flatMap((job) => job.claims);
    for (const name of ['imre', 'farid'] as const) {
      const own = claims.filter(({ personId }) => personId === castId[name]);
      const given = contributions.find(({ personId }) => personId === castId[name])!;
      expect(sum(given.made)).toBe(own.reduce((total, { acceptedMilli }) => total + acceptedMilli, 0));
      const open = own.map((one) => one.milli - one.backMilli - one.acceptedMilli - one.rejectedMilli);
      expect(sum(given.inHand)).toBe(open.reduce((total, milli) => total + milli, 0));
    }
    expect(sum(contributions.flatMap(({ made }) => made))).toBe(8000);
    // Names of parts hold commas: what is listed is parted by another sign.
    expect(await pageOf(test)).toMatch(/4 pieces of Planet gear; 2 pieces of /);
  });

  it('stays under 200 kB for two hundred people', async () => {
    const test = await startApp();
    const { write } = test.context.db;
    const at = test.context.clock.now();
    const many = <T>(count: number, one: (n: number) => T) => Array.from({ length: count }, (_, n) => one(n));
    const person = { role: 'maker', country: 'NZ', thanksWords: 'x'.repeat(120), createdAt: at };
    await write.person.createMany({
      data: many(200, (n) => ({ ...person, id: 101 + n, name: `Maker number ${n}` })),
    });
    await write.act.createMany({ data: many(200, (n) => ({ at, kind: 'report-work', personId: 101 + n })) });
    const job = { kind: 'fabricate', milli: 4000, createdAt: at };
    await write.job.createMany({
      data: many(1000, (n) => ({ ...job, id: 1001 + n, title: `Planet gear, ${n} teeth` })),
    });
    const claim = { milli: 4000, soonestDays: 1, likelyDays: 2, latestDays: 3, claimedAt: at };
    await write.claim.createMany({
      data: many(1000, (n) => ({ ...claim, jobId: 1001 + n, personId: 101 + (n % 200) })),
    });
    const { text } = await test.visitor().get('/thanks');
    expect(text).toContain('Maker number 199');
    expect(Buffer.byteLength(text)).toBeLessThan(200_000);
  });

  it('follows how people want to be named at once', async () => {
    const test = await startApp();
    const { lineId } = await aDeliveredClaim(test);
    await checked(test, { lineId, units: [1, 2, 3, 4] });
    expect(await pageOf(test)).toContain('Imre Kovacs');
    const imre = await test.as('imre');
    const details = {
      name: 'Imre Kovacs',
      email: 'imre@example.org',
      country: 'NZ',
      weeklyHours: '4',
      lengthUnit: 'mm',
    };
    await imre.post('/me', { ...details, thanksBy: 'alias', alias: 'The Southern Lathe' });
    const alias = await pageOf(test);
    expect(alias).toContain('The Southern Lathe');
    expect(alias).not.toMatch(/Imre|New Zealand/);
    await imre.post('/me', { ...details, thanksBy: 'none', alias: '' });
    const none = await pageOf(test);
    expect(none).toContain('1 who would rather not be named');
    expect(none).toContain('4 pieces of');
    expect(none).not.toMatch(/Imre|Southern/);
  });
});

describe('words of one’s own', () => {
  it('are typed by oneself, shown as text, and taken off by the lead, who can’t write them', async () => {
    const test = await startApp();
    await aClaim(test);
    const imre = await test.as('imre');
    const words = 'Four gears,\n<b>hobbed</b> at night.';
    expect((await imre.post('/me/thanks-words', { thanksWords: words })).headers.location).toBe('/me#thanks');
    const shown = await pageOf(test);
    expect(shown).toContain('Four gears,\n&lt;b&gt;hobbed&lt;/b&gt; at night.');

    const lead = await test.as('lead');
    expect((await lead.get(`/people/${castId.imre}`)).text).toContain('hobbed');
    expect((await lead.post(`/people/${castId.imre}/thanks-words`, { thanksWords: 'x' })).status).toBe(404);
    expect((await imre.post(`/people/${castId.imre}/thanks-words/remove`)).status).toBe(403);
    expect((await lead.post(`/people/${castId.imre}/thanks-words/remove`)).status).toBe(303);
    expect(await pageOf(test)).not.toContain('hobbed');
    expect((await lead.post(`/people/${castId.imre}/thanks-words/remove`)).status).toBe(409);
    const log = JSON.stringify(await test.context.db.read.act.findMany());
    expect(log).toMatch(/say-thanks-words.*remove-thanks-words/);
    expect(log).not.toContain('hobbed');
  });

  it('that are too long, or hide something, stand at the field with what was typed', async () => {
    const test = await startApp();
    const imre = await test.as('imre');
    for (const [typed, sentence] of [
      ['x'.repeat(301), 'At most 300 characters; this has 301.'],
      ['see \u202egnp.exe', 'characters that cannot be seen'],
    ] as const) {
      const { status, text } = await imre.post('/me/thanks-words', { thanksWords: typed });
      expect(status).toBe(422);
      expect(text).toContain(sentence);
      expect(text).toContain(typed);
    }
    const { thanksWords } = await test.context.db.read.person.findUniqueOrThrow({
      where: { id: castId.imre },
    });
    expect(thanksWords).toBe('');
    expect((await test.visitor().post('/me/thanks-words', { thanksWords: 'hi' })).headers.location).toContain(
      '/sign-in',
    );
  });
});
