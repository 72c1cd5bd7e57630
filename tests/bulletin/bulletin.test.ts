import { describe, expect, it } from 'vitest';
import { draftBulletin, type ToldJob } from '../../src/bulletin/draft.ts';
import { publicWords, type ThankedPerson } from '../../src/bulletin/public-names.ts';
import { closesWeek, recentWeeks, weekOf } from '../../src/bulletin/week.ts';
import type { LogRow } from '../../src/log/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';

let rowId = 0;
function row(kind: string, fields: Partial<LogRow> = {}): LogRow {
  rowId += 1;
  return {
    id: rowId,
    at: '2026-03-03T08:00:00.000+00:00',
    kind,
    personId: 3,
    who: 'Imre Kovacs',
    partId: 1,
    partNumber: 'TB-0001',
    partName: 'Gear',
    partUnit: 'piece',
    jobId: 7,
    jobTitle: 'Gear, 48 teeth',
    jobKind: 'fabricate',
    aboutId: null,
    about: null,
    thingType: null,
    thingId: null,
    milli: 2000,
    before: null,
    after: null,
    ...fields,
  };
}

const person = (id: number, thanksBy: string, alias = ''): ThankedPerson => ({
  id,
  name: `Person ${id}`,
  thanksBy,
  alias,
  forgottenAt: null,
});
const people = new Map(
  [person(3, 'name'), person(4, 'alias', 'The Lake'), person(5, 'none')].map((one) => [one.id, one]),
);
const job = (fields: Partial<ToldJob>): ToldJob => ({
  id: 1,
  title: 'Ring',
  expectedOn: null,
  lateDays: 0,
  critical: false,
  ...fields,
});

function textsOf(rows: LogRow[], jobs: ToldJob[] = []) {
  const draft = draftBulletin(rows, jobs, '2026-03-06', new Set([1]));
  return Object.fromEntries(
    draft.sections.map(({ key, lines }) => [key, lines.map(({ words }) => publicWords(words, people))]),
  );
}

describe('weekOf', () => {
  it('closes on the weekday asked for', () => {
    expect(weekOf('2026-03-02', 7)).toEqual({ from: '2026-03-02', until: '2026-03-08' });
    expect(weekOf('2026-03-08', 7)).toEqual({ from: '2026-03-02', until: '2026-03-08' });
    expect(weekOf('2026-03-02', 1)).toEqual({ from: '2026-02-24', until: '2026-03-02' });
    expect(closesWeek('2026-03-06', 5)).toBe(true);
  });

  it('lists weeks back to the first day and no further', () => {
    expect(recentWeeks('2026-03-10', '2026-03-02', 7, 60).map(({ until }) => until)).toEqual([
      '2026-03-15',
      '2026-03-08',
    ]);
    expect(recentWeeks('2026-03-10', '2020-01-01', 7, 3)).toHaveLength(3);
  });
});

describe('draftBulletin', () => {
  it('tells each act in its section, with people as they wish to be named', () => {
    const told = textsOf([
      row('claim-job', { personId: 4 }),
      row('report-work'),
      row('report-work', { personId: 5 }),
      row('post-parcel'),
      row('receive-parcel', { personId: 1, aboutId: 3 }),
    ]);
    expect(told.claimed).toEqual(['The Lake makes 2 pieces of Gear, 48 teeth.']);
    expect(told.finished).toEqual([
      'Person 3 finished 2 pieces of Gear, 48 teeth.',
      'A maker finished 2 pieces of Gear, 48 teeth.',
    ]);
    expect(told.moved).toEqual(['Person 3 posted 2 pieces of Gear, 48 teeth.']);
    expect(told.arrived).toEqual(['A parcel from Person 3 came: 2 pieces of Gear, 48 teeth.']);
  });

  it('adds the inspections of a job up', () => {
    const check = (disposition: string, milli: number) =>
      row('inspect-units', { personId: 1, milli, after: JSON.stringify({ disposition }) });
    expect(
      textsOf([check('accept', 1000), check('concession', 1000), check('scrap', 1000)]).accepted,
    ).toEqual(['Gear, 48 teeth: 2 pieces accepted, 1 piece to be made good.']);
  });

  it('counts a unit whose inspection was corrected as it stands now', () => {
    const milli = 1000;
    const check = (disposition: string) =>
      row('inspect-units', { personId: 1, milli, after: JSON.stringify({ disposition }) });
    const corrected = (before: string, after: string) =>
      row('correct-inspection', {
        personId: 1,
        milli,
        before: JSON.stringify({ disposition: before }),
        after: JSON.stringify({ disposition: after }),
      });
    expect(textsOf([check('accept'), check('accept'), corrected('accept', 'scrap')]).accepted).toEqual([
      'Gear, 48 teeth: 1 piece accepted, 1 piece to be made good.',
    ]);
    expect(textsOf([corrected('scrap', 'accept')]).accepted).toEqual(['Gear, 48 teeth: 1 piece accepted.']);
    expect(textsOf([corrected('accept', 'concession')]).accepted ?? []).toEqual([]);
  });

  it('names what is late, the latest first, and what is expected', () => {
    const told = textsOf(
      [],
      [
        job({ id: 1, lateDays: 2, expectedOn: '2026-03-09' }),
        job({ id: 2, title: 'Arm', lateDays: 9 }),
        job({ id: 3, title: 'Case', expectedOn: '2026-03-12', critical: true }),
      ],
    );
    expect(told.late).toEqual([
      'Arm: 9 days past its promise.',
      'Ring: 2 days past its promise, now expected 9 Mar.',
    ]);
    expect(told.next).toEqual(['Case: expected 12 Mar; it drives the finish.', 'Ring: expected 9 Mar.']);
  });

  it('thanks everyone who helped once, the lead not, and nobody for changing a password', () => {
    const { thanks } = draftBulletin(
      [
        row('report-work', { personId: 1, aboutId: 3 }),
        row('claim-job', { personId: 4 }),
        row('report-work', { personId: 4 }),
        row('set-password', { personId: 5 }),
      ],
      [],
      '2026-03-06',
      new Set([1]),
    );
    expect(thanks).toEqual([
      { person: 3, for: 'making' },
      { person: 4, for: 'taking work on, making' },
    ]);
  });
});

describe('the bulletin', () => {
  const week = '/bulletin/2026-03-08';
  const words = {
    title: 'First',
    opening: '# Hello\n<b>no markup</b> [x](javascript:alert(1))',
    closing: '',
    version: '0',
  };

  async function kept(): Promise<TestApp> {
    const test = await startApp();
    const lead = await test.as('lead');
    expect((await lead.post(week, words)).status).toBe(303);
    return test;
  }

  it('is seen by the lead alone until it is published, then by everyone, and stays as it was', async () => {
    const test = await kept();
    for (const one of [test.visitor(), await test.as('imre')]) expect((await one.get(week)).status).toBe(404);
    const lead = await test.as('lead');
    expect((await lead.post(`${week}/publish`, { version: '1' })).status).toBe(303);
    const { status, text } = await test.visitor().get(week);
    expect(status).toBe(200);
    expect(text).toContain('<h1>Hello</h1>');
    expect(text).toContain('&lt;b&gt;no markup&lt;/b&gt;');
    expect(text).not.toContain('href="javascript:');
    expect((await test.visitor().get('/bulletin')).text).toContain('First');
    expect((await lead.post(week, { ...words, version: '1' })).status).toBe(409);
    expect((await lead.post(`${week}/publish`, { version: '1' })).status).toBe(409);
  });

  it('tells a second editor and keeps what they typed', async () => {
    const test = await kept();
    const lead = await test.as('lead');
    const second = await lead.post(week, { ...words, opening: 'My own words', version: '0' });
    expect(second.status).toBe(409);
    expect(second.text).toContain('Somebody kept another text meanwhile.');
    expect(second.text).toContain('My own words');
    expect(await test.context.db.read.bulletin.findFirst()).toMatchObject({ version: 1, title: 'First' });
  });

  it('says so when the week is empty, and leaves out what the lead unticks', async () => {
    const test = await startApp();
    const lead = await test.as('lead');
    expect((await lead.get(week)).text).toContain('An empty week');
    await test.context.db.write.problem.create({
      data: { title: 'Gear binds', seenAt: test.context.clock.now() },
    });
    await test.context.db.write.act.create({
      data: {
        at: test.context.clock.now(),
        kind: 'see-problem',
        personId: castId.crew,
        after: '{"title":"Gear binds"}',
      },
    });
    const draft = (await lead.get(week)).text;
    expect(draft).toContain('Seen: Gear binds.');
    expect(draft).toContain('Tor Eide (finding what is wrong)');
    const key = /name="all" value="([^"]+)"/.exec(draft)![1]!;
    await lead.post(week, { ...words, opening: '', all: key });
    await lead.post(`${week}/publish`, { version: '1' });
    const { text } = await test.visitor().get(week);
    expect(text).not.toContain('Gear binds');
    expect(text).toContain('Tor Eide');
    await lead.post(`/people/${castId.crew}/forget`, { sure: 'yes' });
    expect((await test.visitor().get(week)).text).not.toContain('Tor Eide');
  });

  it.each([
    [{ title: 'x'.repeat(121) }, 'At most 120 characters'],
    [{ version: 'x' }, 'Type a whole number.'],
    [{ opening: 'a\u0000b' }, 'characters that cannot be seen'],
  ])('refuses %j', async (fields, sentence) => {
    const test = await startApp();
    const lead = await test.as('lead');
    const answer = await lead.post(week, { ...words, ...fields, closing: 'kept as typed' });
    expect(answer.status).toBe(422);
    expect(answer.text).toContain(sentence);
    expect(answer.text).toContain('kept as typed');
    expect(await test.context.db.read.bulletin.count()).toBe(0);
  });

  it('has no page for a day that closes no week, a week to come, or for another role to edit', async () => {
    const test = await startApp();
    const lead = await test.as('lead');
    for (const day of ['2026-03-07', '2026-03-15', 'x'])
      expect((await lead.get(`/bulletin/${day}`)).status).toBe(404);
    expect((await (await test.as('crew')).post(week, words)).status).toBe(403);
  });
});
