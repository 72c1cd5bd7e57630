import { describe, expect, it } from 'vitest';
import { KINDS, TOLD_OTHERWISE } from '../../src/bulletin/acts-told.ts';
import { doneInWeek } from '../../src/bulletin/draft.ts';
import {
  heldGatherings,
  movedSection,
  type Present,
  presentSections,
  type ToldJob,
} from '../../src/bulletin/present-lines.ts';
import { publicWords, type ThankedPerson } from '../../src/bulletin/public-names.ts';
import { SECTIONS } from '../../src/bulletin/telling.ts';
import type { LogRow } from '../../src/log/index.ts';
import { actKinds } from '../../src/log/sentence.ts';
import { json, row } from './rows.ts';

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

const texts = (sections: ReturnType<typeof doneInWeek>) =>
  Object.fromEntries(
    sections.map(({ key, lines }) => [key, lines.map(({ words }) => publicWords(words, people))]),
  );
const told = (...rows: LogRow[]) => texts(doneInWeek(rows));

describe('KINDS', () => {
  it('says of every kind of act in the log where it is told, or why not', () => {
    const keys = SECTIONS.map(([key]) => key);
    for (const kind of actKinds) {
      const known = KINDS[kind];
      expect(known, `${kind} is told nowhere, and nobody says why not`).toBeDefined();
      if (typeof known!.told === 'string') expect(known!.told.length, kind).toBeGreaterThan(10);
      else expect(keys, kind).toContain(known!.told.section);
      if (known!.thanks !== null) expect(known!.thanks.length, kind).toBeGreaterThan(4);
    }
  });

  it('knows no kind that the log does not', () => {
    expect(Object.keys(KINDS).filter((kind) => !actKinds.includes(kind))).toEqual([]);
    expect(Object.keys(TOLD_OTHERWISE).filter((kind) => !actKinds.includes(kind))).toEqual([]);
  });

  it('tells every kind that it says it tells, in one section', () => {
    for (const kind of actKinds.filter((one) => typeof KINDS[one]?.told === 'object')) {
      const after = json({ title: 'T', passed: true, letter: 'B', fromOn: '2026-03-04', question: 'Q?' });
      const lines = doneInWeek([row(kind, { after })]).flatMap((section) => section.lines);
      const takesBack = ['hand-back', 'end-claim', 'correct-report', 'count-parcel'].includes(kind);
      expect(lines.length, kind).toBe(takesBack ? 0 : 1);
      for (const { key } of lines) expect(key, kind).toMatch(/^[\w-]{3,120}$/);
    }
  });
});

describe('doneInWeek', () => {
  it('tells each act in its section, with people as they wish to be named', () => {
    const week = told(
      row('claim-job', { personId: 4 }),
      row('report-work'),
      row('report-work', { personId: 5 }),
      row('post-parcel'),
      row('receive-parcel', { personId: 1, aboutId: 3 }),
      row('finish-job', { jobKind: 'fit-up', jobTitle: 'Drive' }),
      row('finish-job', { jobKind: 'design', jobTitle: 'Draw the lid' }),
      row('cure-problem', { after: json({ title: 'Gear binds' }) }),
      row('see-problem', { after: json({ title: 'Lid rattles' }) }),
      row('take-decision', { after: json({ question: 'Brass or steel?', answer: 'Brass' }) }),
      row('accept-problem', { after: json({ title: 'A scratch', reason: 'nobody sees it' }) }),
    );
    expect(week.claimed).toEqual(['The Lake makes 2 pieces of Gear, 48 teeth.']);
    expect(week.made).toEqual([
      'Person 3 finished 2 pieces of Gear, 48 teeth.',
      'A maker finished 2 pieces of Gear, 48 teeth.',
    ]);
    expect(week.moved).toEqual(['Person 3 posted 2 pieces of Gear, 48 teeth.']);
    expect(week.arrived).toEqual(['A parcel from Person 3 came: 2 pieces of Gear, 48 teeth.']);
    expect(week.fitted).toEqual(['Drive.']);
    expect(week.done).toEqual(['Draw the lid.']);
    expect(week.cured).toEqual(['Cured: Gear binds.']);
    expect(week.failed).toEqual(['Seen: Lid rattles.']);
    expect(week.decided).toEqual(['Brass or steel? Brass.', 'Accepted as it is: A scratch: nobody sees it.']);
  });

  it('adds up what one maker did on one job, and takes back what was taken back', () => {
    const claim = { thingType: 'claim', thingId: 1 };
    const week = told(
      row('report-work'),
      row('report-work', { milli: 3000 }),
      row('report-work', { milli: 0 }),
      row('correct-report', { ...claim, milli: 1000 }),
      row('claim-job', { personId: 4, milli: 5000 }),
      row('hand-back', { personId: 4, milli: 2000 }),
      row('claim-job', { personId: 5 }),
      row('end-claim', { personId: 1, aboutId: 5 }),
    );
    expect(week.made).toEqual(['Person 3 finished 4 pieces of Gear, 48 teeth.']);
    expect(week.claimed).toEqual(['The Lake makes 3 pieces of Gear, 48 teeth.']);
    expect(told(row('correct-report', claim)).made).toEqual([]);
  });

  it('adds up to what was reported and not taken back, whatever came in between', () => {
    let seed = 11;
    const random = (below: number) => {
      seed = (seed * 1103515245 + 12345) % 2147483648;
      return Math.floor((seed / 2147483648) * below);
    };
    for (let round = 0; round < 100; round += 1) {
      const sums = new Map<string, number>();
      const rows = Array.from({ length: random(40) }, () => {
        const [jobId, personId, milli] = [1 + random(3), 3 + random(2), 1000 * random(4)];
        const kind = random(4) ? 'report-work' : 'correct-report';
        const sum = sums.get(`${jobId} ${personId}`) ?? 0;
        sums.set(`${jobId} ${personId}`, sum + (kind === 'report-work' ? milli : -milli));
        // By the maker, or written down by somebody else for them.
        const who = random(2) ? { personId } : { personId: 2, aboutId: personId };
        return row(kind, { jobId, milli, ...who });
      });
      const amounts = told(...rows).made!.map(
        (words) => Number(/finished (\d+) piece/.exec(words)![1]) * 1000,
      );
      const wanted = [...sums.values()].filter((sum) => sum > 0);
      expect(amounts.sort()).toEqual(wanted.sort());
    }
  });

  it('tells of what was counted, not of what was said to be in the parcel', () => {
    const arrived = row('receive-parcel', { personId: 1, aboutId: 3, milli: 5000 });
    const counted = row('count-parcel', {
      personId: 1,
      aboutId: 3,
      milli: 4000,
      before: json({ countedMilli: null }),
      after: json({ shortMilli: 1000 }),
    });
    const again = row('count-parcel', { ...counted, milli: 5000, before: json({ countedMilli: 4000 }) });
    expect(told(arrived, counted).arrived).toEqual([
      'A parcel from Person 3 came: 4 pieces of Gear, 48 teeth.',
    ]);
    expect(told(arrived, counted, again).arrived).toEqual([
      'A parcel from Person 3 came: 5 pieces of Gear, 48 teeth.',
    ]);
  });

  it('shows a line that was left out again once something is added to it', () => {
    const key = (...rows: LogRow[]) => doneInWeek(rows).find((one) => one.key === 'made')!.lines[0]!.key;
    const first = row('report-work');
    expect(key(first)).toBe(key(first, row('report-work', { milli: 0 })));
    expect(key(first)).not.toBe(key(first, row('report-work')));
  });

  it('tells of a trial that passed as done, of one that did not as failed', () => {
    const trial = (passed: boolean) =>
      row('finish-trial', { after: json({ title: 'Turn by hand', passed }) });
    expect(told(trial(true))).toMatchObject({ done: ['Trial passed: Turn by hand.'], failed: [] });
    expect(told(trial(false))).toMatchObject({ done: [], failed: ['Trial not passed: Turn by hand.'] });
    expect(told(row('finish-job', { jobKind: 'trial' }))).toMatchObject({ done: [], fitted: [] });
  });

  it('tells of a gathering’s days when they change, and of nothing else about it', () => {
    const change = (after: object) => row('change-gathering', { after: json({ title: 'Spring', ...after }) });
    expect(told(change({ places: 9 })).decided).toEqual([]);
    expect(told(change({ fromOn: '2026-04-01', untilOn: '2026-04-03' })).decided).toEqual([
      'The gathering has new days: Spring, 1 Apr to 3 Apr 2026.',
    ]);
    expect(told(change({ untilOn: '2026-04-03' })).decided).toEqual([
      'The gathering has new days: Spring, to 3 Apr 2026.',
    ]);
  });

  const check = (disposition: string, milli = 1000) =>
    row('inspect-units', { personId: 1, milli, after: json({ disposition }) });

  it('adds the inspections of a job up', () => {
    expect(told(check('accept'), check('concession'), check('scrap')).accepted).toEqual([
      'Gear, 48 teeth: 2 pieces accepted, 1 piece to be made good.',
    ]);
  });

  it('counts a unit whose inspection was corrected as it stands now', () => {
    const corrected = (before: string, after: string) =>
      row('correct-inspection', {
        personId: 1,
        milli: 1000,
        before: json({ disposition: before }),
        after: json({ disposition: after }),
      });
    expect(told(check('accept'), check('accept'), corrected('accept', 'scrap')).accepted).toEqual([
      'Gear, 48 teeth: 1 piece accepted, 1 piece to be made good.',
    ]);
    expect(told(corrected('scrap', 'accept')).accepted).toEqual(['Gear, 48 teeth: 1 piece accepted.']);
    expect(told(corrected('accept', 'concession')).accepted).toEqual([]);
  });

  it('says how many more there are where a section grows too long', () => {
    const many = Array.from({ length: 300 }, (_, at) => row('report-work', { jobId: at + 1 }));
    const { made } = told(...many);
    expect(made).toHaveLength(60);
    expect(made!.at(-1)).toBe('And 241 more.');
  });
});

const job = (fields: Partial<ToldJob>): ToldJob => ({
  id: 1,
  title: 'Ring',
  expectedOn: null,
  lateDays: 0,
  critical: false,
  arrived: false,
  ...fields,
});
const WEEK = { from: '2026-03-02', until: '2026-03-08' };
const present = (fields: Partial<Present>, today = '2026-03-06') =>
  texts(
    presentSections(
      { jobs: [], offers: [], moreOffers: 0, gatherings: [], decisions: [], ...fields },
      WEEK,
      today,
    ),
  );

describe('presentSections', () => {
  it('names what is late, the latest first, and what is expected until the next week ends', () => {
    const told = present({
      jobs: [
        job({ id: 1, lateDays: 2, expectedOn: '2026-03-09' }),
        job({ id: 2, title: 'Arm', lateDays: 9 }),
        job({ id: 3, title: 'Case', expectedOn: '2026-03-15', critical: true }),
        job({ id: 4, title: 'Lid', expectedOn: '2026-03-16' }),
        job({ id: 5, title: 'Gone', expectedOn: '2026-03-05', lateDays: 1 }),
        job({ id: 6, title: 'Hub', expectedOn: '2026-03-10', arrived: true }),
      ],
    });
    expect(told.late).toEqual([
      'Arm: 9 days past its promise.',
      'Ring: 2 days past its promise, now expected 9 Mar.',
      'Gone: 1 day past its promise, now expected 5 Mar.',
    ]);
    expect(told.next).toEqual([
      'Case: expected 15 Mar; it drives the finish.',
      'Ring: expected 9 Mar.',
      'Hub: arrived, inspection expected 10 Mar.',
    ]);
  });

  it('calls what comes next week only where the week is over', () => {
    const empty = { jobs: [], offers: [], moreOffers: 0, gatherings: [], decisions: [] };
    const titled = (today: string) => presentSections(empty, WEEK, today)[1]!.title;
    expect(titled('2026-03-08')).toBe('The days to come');
    expect(titled('2026-03-09')).toBe('Next week');
  });

  it('says how many more are late or expected than it names', () => {
    const many = Array.from({ length: 30 }, (_, at) =>
      job({ id: at, lateDays: 1, expectedOn: '2026-03-09' }),
    );
    const told = present({ jobs: many });
    expect(told.late).toHaveLength(9);
    expect(told.late!.at(-1)).toBe('And 22 more.');
    expect(told.next!.at(-1)).toBe('And 18 more.');
  });

  it('names gatherings and decisions that come', () => {
    const gathering = { id: 1, title: 'Spring', people: [] };
    const told = present({
      gatherings: [
        { ...gathering, fromOn: '2026-03-12', untilOn: '2026-03-14' },
        { ...gathering, fromOn: '2026-03-20', untilOn: '2026-03-21' },
      ],
      decisions: [
        { id: 1, question: 'Brass or steel?', byOn: '2026-03-12' },
        { id: 2, question: 'Who drives', byOn: '2026-03-01' },
        { id: 3, question: 'Later?', byOn: '2026-04-12' },
        { id: 4, question: 'Ever?', byOn: null },
      ],
    });
    expect(told.next).toEqual([
      'Gathering: Spring, 12 Mar to 14 Mar.',
      'To be decided by 12 Mar: Brass or steel?',
      'To be decided now: Who drives.',
    ]);
  });

  it('says of each open offer what it takes, and where it stands', () => {
    const offer = {
      id: 12,
      title: 'Planet arm',
      quantity: '4 pieces',
      process: 'milling',
      material: 'EN AW-6082',
      size: '160 × 60 × 4 mm',
      hours: 6.4,
      postByOn: '2026-04-12',
      country: 'SI',
    };
    const bare = { ...offer, id: 13, process: '', material: '', size: '', hours: null, postByOn: null };
    const sections = presentSections(
      { jobs: [], offers: [offer, bare], moreOffers: 3, gatherings: [], decisions: [] },
      WEEK,
      '2026-03-06',
    );
    const { lines } = sections.find(({ key }) => key === 'needed')!;
    expect(lines.map(({ href }) => href)).toEqual(['/offers/12', '/offers/13', '/offers']);
    expect(lines.map(({ words }) => publicWords(words, people))).toEqual([
      'Planet arm, 4 pieces: milling; EN AW-6082; 160 × 60 × 4 mm; about 6.5 hours of work; to be posted to Slovenia by 12 Apr.',
      'Planet arm, 4 pieces: to be posted to Slovenia.',
      'And 3 more.',
    ]);
  });
});

describe('heldGatherings', () => {
  const gathering = {
    id: 1,
    title: 'Spring',
    fromOn: '2026-03-07',
    untilOn: '2026-03-10',
    people: [
      { person: 3, fromOn: '2026-03-07', untilOn: '2026-03-10' },
      { person: 4, fromOn: '2026-03-09', untilOn: '2026-03-10' },
    ],
  };
  const held = (today: string, week = WEEK) => heldGatherings([gathering], week, today);

  it('tells of nothing before it begins', () => {
    expect(held('2026-03-06')).toEqual({ lines: [], people: [] });
  });

  it('counts those who are there on days of the week that have come', () => {
    const next = { from: '2026-03-09', until: '2026-03-15' };
    expect(held('2026-03-08').people).toEqual([{ person: 3, title: 'Spring' }]);
    expect(publicWords(held('2026-03-08').lines[0]!.words, people)).toBe(
      'The gathering Spring is on, 7 Mar to 10 Mar, with 1 person on its list.',
    );
    expect(held('2026-03-12', next).people.map(({ person }) => person)).toEqual([3, 4]);
    expect(publicWords(held('2026-03-12', next).lines[0]!.words, people)).toBe(
      'The gathering Spring was held, 7 Mar to 10 Mar, with 2 people on its list.',
    );
  });
});

describe('movedSection', () => {
  it('tells what moved the finish, names nobody who put it back, and says so where it is not known', () => {
    const why = {
      finishOn: '2026-09-01',
      before: { day: '2026-03-01', finishOn: '2026-08-28' },
      movedDays: 4,
      facts: [
        { key: 'job-7', days: 5, words: ['The gear, promised by ', { person: 3 }, '; 5 days later.'] },
        { key: 'job-8', days: -1, words: ['The ring, posted by ', { person: 3 }, '; 1 day sooner.'] },
      ],
      waits: [{ key: 'wait-9', days: 2, words: ['The arm waits with ', { person: 4 }, '; 2 days later.'] }],
      remarks: ['Together they make 4 days.'],
    };
    expect(texts([movedSection(why, false)]).finish).toEqual([
      'The gear, promised by a maker; 5 days later.',
      'The ring, posted by Person 3; 1 day sooner.',
      'The arm waits with a maker; 2 days later.',
      'Together they make 4 days.',
    ]);
    expect(movedSection(null, true)).toMatchObject({
      lines: [],
      absent: expect.stringContaining('worked out'),
    });
    expect(movedSection({ ...why, facts: [], waits: [] }, false)).toMatchObject({ lines: [] });
  });
});
