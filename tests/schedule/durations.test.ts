import { describe, expect, it } from 'vitest';
import type { ClaimFacts } from '../../src/jobs/index.ts';
import { scheduleOf } from '../../src/schedule/schedule.ts';
import { SPREAD_KNOTS } from '../../src/schedule/spread.ts';
import { claim, facts, type Given, job, part, step } from './derive-facts.ts';

const ago = (days: number) => new Date(Date.UTC(2026, 2, 2 - days, 8)).toISOString();

/** Claims of ten days promised and so many taken, on a job that is over. */
const kept = (personId: number, days: number, count: number, from = 100): ClaimFacts[] =>
  Array.from({ length: count }, (_, at) =>
    claim(from + at, {
      personId,
      doneMilli: 1000,
      arrivedMilli: 1000,
      acceptedMilli: 1000,
      claimedAt: ago(90),
      lastSentAt: ago(90 - days),
    }),
  );
const past = (claims: ClaimFacts[]) => job(90, { milli: claims.length * 1000, claims });

const promised = (over: Partial<ClaimFacts> = {}) =>
  job(9, {
    partId: 2,
    offeredAt: ago(30),
    claims: [claim(1, { soonestDays: 8, likelyDays: 10, latestDays: 14, ...over })],
  });

function made(given: Given, key = 'claim-1-make') {
  const schedule = scheduleOf(facts({ parts: [part(2)], released: [2], ...given }));
  const dated = step(schedule, key);
  const { spread } = schedule.network.nodes[dated.at]!.duration;
  return { ...dated, days: spread!.days(), personId: spread!.personId };
}

describe('a promise', () => {
  it('without history is taken at its word, with its own three points for a spread', () => {
    const make = made({ jobs: [promised()] });
    expect(make).toMatchObject({
      durationDays: 10,
      because: 'Imre promised 12 Mar: 10 days from 2 Mar; no history yet',
      personId: 3,
    });
    expect([make.days[0], make.days[32]]).toEqual([8, 14]);
  });

  it('is corrected by how the maker’s own and all others came out, and says so', () => {
    const claims = [
      ...kept(3, 14, 9),
      ...kept(4, 20, 31, 200),
      claim(300, { personId: 4, claimedAt: ago(3) }),
    ];
    const make = made({ jobs: [past(claims), promised()] });
    expect(make).toMatchObject({
      durationDays: 14,
      late: false,
      because:
        'Imre promised 12 Mar; by 9 promises of theirs and 32 of others (1 still open) half come by 1.4 times the days promised: counted as 16 Mar',
    });
    // of 9 own, 5 of others and the promise’s 2: those late are the others, at twice the days
    expect([make.days[0], make.days[16], make.days[31]]).toEqual([8, 14, 20]);
  });

  it('under way has what is left after the time it has taken', () => {
    const jobs = [past(kept(3, 14, 9)), promised({ claimedAt: ago(12) })];
    const make = made({ jobs });
    expect(make).toMatchObject({
      durationDays: 2,
      late: true,
      because:
        'Imre promised 28 Feb, 2 days ago; by 9 promises of theirs half of those that took as long come by 1.4 times the days promised: counted as 4 Mar',
    });
    // longer than any so far
    expect(made({ jobs: [past(kept(3, 14, 9)), promised({ claimedAt: ago(60) })] })).toMatchObject({
      late: true,
    });
  });

  it('that has passed without history is counted by what it says itself', () => {
    expect(made({ jobs: [promised({ latestDays: 40, claimedAt: ago(16) })] }).because).toMatch(
      /^Imre promised 24 Feb, 6 days ago, 26 Mar at the latest: counted as 6 Mar by the time it has taken$/,
    );
  });

  it('does not end on a day when its maker is away', () => {
    const make = made({ jobs: [promised()], away: [[3, '2026-03-10', '2026-03-20']] });
    expect(make).toMatchObject({
      durationDays: 19,
      because:
        'Imre promised 12 Mar: 10 days from 2 Mar; no history yet; Imre is away then: counted as 21 Mar',
    });
    expect([...make.days].filter((days) => days >= 8 && days < 19)).toEqual([]);
    expect(made({ jobs: [promised()], away: [[3, '2026-03-20', '2026-03-25']] }).durationDays).toBe(10);
  });

  it('says what it was at first, and that its days were out of order', () => {
    const first: Given['firstPromises'] = [[1, { soonestDays: 3, likelyDays: 5, latestDays: 9 }]];
    expect(made({ jobs: [promised()], firstPromises: first }).because).toContain(
      '; promised for 7 Mar at first',
    );
    const odd = made({ jobs: [promised({ soonestDays: 12, likelyDays: 3 })] });
    expect(odd).toMatchObject({ durationDays: 12 });
    expect(odd.because).toContain('; its days were out of order, taken as 3, 12, 14');
  });
});

describe('what nobody has claimed', () => {
  const open = job(9, { partId: 2, offeredAt: ago(3) });

  it('is offered, made and posted as others were', () => {
    const claims = kept(3, 20, 8).map((one) => ({ ...one, revisionId: 2 }));
    const given: Given = {
      revisions: [{ id: 2, partId: 2, letter: 'A', state: 'released', processId: 5, drawn: true }],
      released: [],
      processes: [[5, 'turning']],
      jobs: [{ ...past(claims), offeredAt: ago(99) }, open],
      posts: [12, 12, 12, 12, 12].map((days) => ({
        personId: 3,
        sentAt: ago(60),
        arrivedAt: ago(60 - days),
      })),
    };
    expect(made(given, 'job-9-find').because).toBe(
      'offered on 27 Feb; of 1 offer half were claimed within 9 days: 6 days left',
    );
    expect(made(given, 'job-9-make')).toMatchObject({
      durationDays: 20,
      because: 'no maker and no days given; of 8 claims of work by turning half were posted within 20 days',
    });
    expect(made(given, 'job-9-post')).toMatchObject({
      durationDays: 12,
      because: 'post from a maker not yet found; of all 5 parcels half took 12 days or less',
    });
  });

  it('with days given takes them as such work took', () => {
    const jobs = [
      { ...past(kept(3, 20, 8)), days: 4 },
      { ...open, days: 6 },
    ];
    const make = made({ jobs }, 'job-9-make');
    // claimed on Tuesday 2 December, posted 20 days later: 14 working days of four
    expect(make).toMatchObject({ working: true, durationDays: 21 });
    expect(make.because).toBe(
      'the job says 6 working days; of 8 claims of work with days given and 8 by the days promised half took 3.5 times that: 21 working days',
    );
  });

  it('is as usual without history', () => {
    for (const [key, days, because] of [
      ['job-9-find', 4, 'offered on 27 Feb; of 7 days for finding a maker 4 are left'],
      ['job-9-make', 14, 'no maker and no days given: 14 days'],
      ['job-9-post', 7, 'post from a maker not yet found: 7 days'],
    ] as const) {
      expect(made({ jobs: [open] }, key)).toMatchObject({ durationDays: days, because });
    }
    const { days } = made({ jobs: [open] }, 'job-9-make');
    expect([days[0], days[32]]).toEqual([0.7 * 14, 28]);
  });
});

describe('parcels, orders and work', () => {
  it('a parcel on its way has what is left by those from the same country', () => {
    const posts = [12, 12, 12, 12].map((days) => ({
      personId: 3,
      sentAt: ago(60),
      arrivedAt: ago(60 - days),
    }));
    const sent = promised({ doneMilli: 1000, travellingMilli: 1000, lastSentAt: ago(8), claimedAt: ago(20) });
    const travel = made(
      { jobs: [sent], posts: [...posts, { personId: 3, sentAt: ago(8), arrivedAt: null }] },
      'claim-1-travel',
    );
    expect(travel).toMatchObject({
      durationDays: 4,
      late: false,
      because:
        'post from NZ to NO; of 4 parcels from NZ half took 12 days or less; since 22 Feb: 4 days left',
    });
  });

  it('a delivery comes as others did against the day named, or the lead time', () => {
    const bought = part(2, { kind: 'bought', leadDays: 20 });
    const done = [1, 2, 3, 4, 5].map((id) =>
      job(id, { kind: 'purchase', partId: 2, orderedAt: ago(80), finishedAt: ago(50) }),
    );
    const given = (over: object): Given => ({
      parts: [bought],
      jobs: [...done, job(9, { kind: 'purchase', partId: 2, ...over })],
    });
    expect(made(given({}), 'job-9-delivery')).toMatchObject({
      durationDays: 30,
      because: 'lead time 20 days; of 5 orders half came by 1.5 times theirs: 30 days',
    });
    expect(made(given({ orderedAt: ago(10) }), 'job-9-delivery')).toMatchObject({
      durationDays: 20,
      because: 'lead time 20 days; of 5 orders half came by 1.5 times theirs; since 20 Feb: 20 days left',
    });
    expect(made(given({ orderedAt: ago(10), promisedOn: '2026-03-12' }), 'job-9-delivery')).toMatchObject({
      durationDays: 20,
      because:
        'delivery named for 12 Mar; of 5 orders with a lead time half came by 1.5 times the days named: counted as 22 Mar',
    });
  });

  it('work takes as such work took against its estimate', () => {
    const done = [1, 2, 3, 4].map((id) =>
      // Monday 2 to Friday 6 February: five working days of two
      job(id, { kind: 'other', days: 2, startedAt: ago(28), finishedAt: ago(24) }),
    );
    const jobs = [
      ...done,
      job(9, { kind: 'other', days: 4 }),
      job(10, { kind: 'trial', days: 4, startedAt: ago(3) }),
    ];
    expect(made({ jobs }, 'job-9')).toMatchObject({
      durationDays: 10,
      because:
        'the job says 4 working days; by 4 jobs of this kind with an estimate and 1 of other kinds (1 under way) half take 2.5 times that: 10 working days',
    });
    expect(made({ jobs }, 'job-10').because).toBe(
      'the job says 4 working days; by 4 jobs of other kinds half take 2.5 times that, begun on 27 Feb: 9 working days left',
    );
  });
});

describe('what makes no sense', () => {
  it('gets a sentence and a figure all the same', () => {
    const jobs = [
      job(1, { kind: 'other', days: -3 }),
      job(2, { kind: 'design', partId: 2, hours: 6, personId: 5 }),
      job(3, { kind: 'purchase', orderedAt: ago(5), promisedOn: '2026-01-01' }),
      job(4, { kind: 'fit-up', days: Number.NaN, startedAt: ago(900) }),
      { ...promised({ soonestDays: -4, likelyDays: -2, latestDays: -9 }), id: 9 },
    ];
    const all = facts({ parts: [part(2)], released: [2], jobs });
    const people = new Map(all.people).set(5, {
      name: 'Liv',
      role: 'crew',
      country: '',
      weeklyHours: 0,
      active: true,
    });
    const schedule = scheduleOf({ ...all, people });
    expect(step(schedule, 'job-1')).toMatchObject({
      durationDays: 1,
      because: 'the job says -3 days, which is no length: 1 working day taken',
    });
    expect(step(schedule, 'job-2')).toMatchObject({
      durationDays: 6,
      because: 'drawing: 6 h at an hour a day, as no hours a week are given, 6 working days',
    });
    // named for a day before it was ordered: as if none were
    expect(step(schedule, 'job-3-delivery').because).toBe(
      'no lead time given: 14 days, since 25 Feb: 9 days left',
    );
    expect(step(schedule, 'job-4').late).toBe(true);
    expect(step(schedule, 'claim-1-make').because).toContain('its days were out of order, taken as 0, 0, 0');
    for (const { duration, kind } of schedule.network.nodes) {
      expect(duration.because).not.toMatch(/NaN|undefined|Infinity/);
      expect(Number.isInteger(duration.days)).toBe(true);
      if (kind === 'mark') expect(duration.spread).toBeUndefined();
      else {
        const days = duration.spread!.days();
        expect(days).toHaveLength(SPREAD_KNOTS);
        expect([...days].every((one, k) => one >= 0 && one >= (days[k - 1] ?? 0) - 1e-9)).toBe(true);
      }
    }
  });
});
