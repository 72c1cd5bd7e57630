import { describe, expect, it } from 'vitest';
import { type CardNames, jobCard, unitWordsOf, type Viewer } from '../../src/jobs/card.ts';
import { claimWords, standingOf } from '../../src/jobs/claim-view.ts';
import { type JobFacts, quantitiesOf } from '../../src/jobs/facts.ts';
import { timeWords } from '../../src/jobs/time-words.ts';
import type { JobTime } from '../../src/jobs/times.ts';
import { dayNumber } from '../../src/platform/day.ts';
import { aClaimOf, aJob } from './job-facts.ts';

const TODAY = '2026-03-20';
const moment = {
  today: TODAY,
  silentAfterDays: 14,
  daysSince: (at: string) => dayNumber(TODAY) - dayNumber(at.slice(0, 10)),
};
const names: CardNames = {
  part: { number: 'OR-0188', unit: 'piece', processId: 1 },
  revision: { id: 9, letter: 'B', state: 'released', processId: 1 },
  processName: 'hobbing',
  nameOf: (id) => `Maker ${id}`,
  queries: null,
  noticed: () => false,
  missing: null,
};
const time: JobTime = {
  startOn: null,
  lateStartOn: null,
  likelyOn: '2026-04-01',
  needByOn: '2026-03-30',
  floatDays: 0,
  critical: true,
  ready: true,
};
const lead: Viewer = { personId: 1, role: 'lead' };
const imre: Viewer = { personId: 3, role: 'maker' };
const other: Viewer = { personId: 4, role: 'maker' };

const ask = (job: JobFacts, viewer: Viewer, more: Partial<CardNames> = {}, when = moment) => {
  const { ask: asked } = jobCard(job, { ...names, ...more }, time, viewer, when);
  return asked && `${asked.whom}: ${asked.text}`;
};

describe('jobCard', () => {
  it('shows where the units are, who has them and what the schedule says', () => {
    const claim = aClaimOf({
      milli: 3000,
      doneMilli: 2000,
      travellingMilli: 1000,
      startedAt: '2026-03-05T08:00:00Z',
    });
    const job = aJob({
      milli: 12_000,
      claims: [
        claim,
        aClaimOf({ id: 2, milli: 1000 }),
        aClaimOf({ id: 3, personId: 4, milli: 2000, backMilli: 2000 }),
      ],
    });
    expect(jobCard(job, names, time, lead, moment)).toMatchObject({
      number: 7,
      href: '/jobs/7',
      partNumber: 'OR-0188',
      revision: 'B',
      process: 'hobbing',
      quantityText: '12 pieces',
      stage: 'offered',
      unitCounts: [
        { kind: 'posted', n: 1 },
        { kind: 'made', n: 1 },
        { kind: 'claimed', n: 2 },
        { kind: 'open', n: 8 },
      ],
      unitWords: '12 pieces: 1 in the post, 1 made, 2 claimed, 8 open',
      who: [{ personId: 3, name: 'Maker 3', quantityText: '4 pieces' }],
      needByOn: '2026-03-30',
      floatDays: 0,
      critical: true,
    });
  });

  it('counts what is measured in thousandths, and says it in its unit', () => {
    const job = aJob({ milli: 2500, claims: [aClaimOf({ milli: 1250 })] });
    expect(unitWordsOf(quantitiesOf(job), 'm')).toBe('2.5 m: 1.25 m claimed, 1.25 m open');
  });

  it('of a job that is over has neither days nor an ask', () => {
    const card = jobCard(
      aJob({ droppedAt: '2026-03-05T08:00:00Z' }),
      { ...names, queries: { first: 1, count: 1 } },
      time,
      lead,
      moment,
    );
    expect(card).toMatchObject({ stage: 'dropped', needByOn: null, critical: false, ask: null });
  });

  it('asks lead and crew to release, offer, answer, inspect and look after silence', () => {
    const preparing = aJob({ offeredAt: null });
    expect(ask(preparing, lead)).toBe('you: offer it to makers');
    const draft = { revision: { id: 10, letter: 'C', state: 'draft', processId: null } };
    expect(ask(preparing, lead, draft)).toBe('you: release revision C');
    expect(ask(preparing, lead, { ...draft, missing: 'limits on Ø8 missing' })).toBe(
      'you: limits on Ø8 missing',
    );
    expect(ask(preparing, other, { ...draft, missing: 'no material chosen' })).toBe(
      'the lead: release revision C',
    );
    const withdrawn = { revision: { ...draft.revision, state: 'withdrawn' } };
    expect(ask(preparing, lead, withdrawn)).toBe('you: revision C is withdrawn: draw the next');
    expect(ask(aJob(), lead, { queries: { first: 5, count: 2 } })).toBe('you: 2 questions wait');
    const here = aClaimOf({ doneMilli: 4000, arrivedMilli: 4000, acceptedMilli: 1000 });
    expect(ask(aJob({ claims: [here] }), { personId: 2, role: 'crew' })).toBe('you: inspect 3 pieces');
    expect(ask(aJob({ claims: [aClaimOf()] }), lead)).toBe('you: no word from Maker 3 for 18 days');
    expect(ask(aJob({ claims: [aClaimOf({ lastWordAt: '2026-03-18T08:00:00Z' })] }), lead)).toBeNull();
    expect(ask(aJob({ heldAt: '2026-03-03T08:00:00Z', claims: [aClaimOf()] }), lead)).toBeNull();
  });

  it('asks a maker about their own claim only: a new revision, posting, a broken promise, silence', () => {
    const job = aJob({ claims: [aClaimOf()] });
    expect(ask(job, imre)).toBe('you: no word for 18 days: say how it goes');
    expect(ask(job, imre, { noticed: () => true })).toBe('you: a new revision is out: take it up or ask');
    const spoke = { lastWordAt: '2026-03-19T08:00:00Z' };
    expect(ask(aJob({ claims: [aClaimOf({ ...spoke, doneMilli: 4000 })] }), imre)).toBe('you: post 4 pieces');
    expect(ask(aJob({ claims: [aClaimOf({ ...spoke, doneMilli: 4000 })] }), lead)).toBe(
      'Maker 3: post 4 pieces',
    );
    expect(ask(aJob({ claims: [aClaimOf({ ...spoke, latestDays: 12 })] }), imre)).toBe(
      'you: promised by 14 Mar: report, or promise anew',
    );
    expect(ask(aJob({ claims: [aClaimOf({ ...spoke })] }), imre)).toBeNull();
    expect(ask(job, other)).toBe('the lead: no word from Maker 3 for 18 days');
  });

  it('asks for orders, late deliveries and work that is ready, of the person it names', () => {
    const buy = aJob({ kind: 'purchase', offeredAt: null });
    expect(ask(buy, lead)).toBe('you: order it');
    expect(ask({ ...buy, orderedAt: '2026-03-03T08:00:00Z', promisedOn: '2026-03-19' }, lead)).toBe(
      'you: delivery was named for 19 Mar',
    );
    expect(ask({ ...buy, orderedAt: '2026-03-03T08:00:00Z', promisedOn: '2026-03-20' }, lead)).toBeNull();
    const fit = aJob({ kind: 'fit-up', offeredAt: null, personId: 4 });
    expect(ask(fit, other)).toBe('you: all parts are here: fit it');
    expect(ask(fit, lead)).toBe('Maker 4: all parts are here: fit it');
    expect(jobCard(fit, names, { ...time, ready: false }, other, moment).ask).toBeNull();
  });
});

describe('claimWords', () => {
  it('says what became of the units', () => {
    expect(standingOf(aClaimOf(), 'piece')).toBe('all not begun');
    const claim = aClaimOf({
      milli: 9000,
      backMilli: 2000,
      doneMilli: 5000,
      travellingMilli: 1000,
      arrivedMilli: 3000,
      acceptedMilli: 1000,
      rejectedMilli: 1000,
      startedAt: 'x',
    });
    expect(standingOf(claim, 'piece')).toBe(
      '1 accepted, 1 rejected, 1 here, to inspect, 1 in the post, 1 finished, not posted, 2 being made, 2 handed back',
    );
  });

  it('holds the promise against what happened', () => {
    const claim = aClaimOf({ claimedAt: '2026-03-02T08:00:00Z', lastWordAt: '2026-03-19T08:00:00Z' });
    const words = (more: object, sentOn: string | null = null) =>
      claimWords({ ...claim, ...more }, 'piece', moment, sentOn);
    expect(words({})).toMatchObject({
      promise: 'likely 12 Mar, soonest 7 Mar, latest 22 Mar',
      outcome: '8 days past the likely day',
      late: false,
      silentDays: 0,
    });
    expect(words({ latestDays: 12 })).toMatchObject({ outcome: '6 days past the latest day', late: true });
    expect(words({ likelyDays: 18, lastWordAt: '2026-03-02T08:00:00Z' })).toMatchObject({
      outcome: '',
      silentDays: 18,
    });
    const posted = { doneMilli: 4000, travellingMilli: 4000 };
    expect(words(posted, '2026-03-11')).toMatchObject({
      outcome: 'posted 11 Mar, 1 day before the likely day',
      late: false,
    });
    expect(words(posted, '2026-03-12').outcome).toBe('posted 12 Mar, on the likely day');
    expect(words(posted, '2026-03-25')).toMatchObject({
      outcome: 'posted 25 Mar, 13 days after the likely day',
      late: true,
    });
  });
});

describe('timeWords', () => {
  it('says why the day is the day', () => {
    expect(timeWords('fabricate', time, TODAY)).toMatchObject({ label: 'Post by', critical: true });
    expect(timeWords('fabricate', { ...time, critical: false, floatDays: 1 }, TODAY).why).toContain(
      '1 working day later',
    );
    expect(timeWords('other', null, TODAY).why).toContain('no day');
  });
});
