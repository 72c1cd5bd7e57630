import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { ClaimFacts, JobFacts } from '../../src/jobs/index.ts';
import { workingCalendar } from '../../src/schedule/calendar.ts';
import { type History, historyOf } from '../../src/schedule/history.ts';
import { normalScore, strengthOf } from '../../src/schedule/history-strength.ts';
import { claim, facts, type Given, job, part } from './derive-facts.ts';

const ago = (days: number) => new Date(Date.UTC(2026, 2, 2 - days, 8)).toISOString();

/** A promise of ten days, kept in so many, begun long enough ago. */
function kept(id: number, personId: number, days: number, over: Partial<ClaimFacts> = {}): ClaimFacts {
  return claim(id, {
    personId,
    doneMilli: 1000,
    arrivedMilli: 1000,
    acceptedMilli: 1000,
    claimedAt: ago(100),
    lastSentAt: ago(100 - days),
    ...over,
  });
}

function open(id: number, personId: number, days: number): ClaimFacts {
  return claim(id, { personId, claimedAt: ago(days) });
}

const made = (claims: ClaimFacts[], over: Partial<JobFacts> = {}): JobFacts =>
  job(1, { milli: claims.length * 1000, claims, ...over });

function history(given: Given): History {
  const all = facts(given);
  return historyOf(all, workingCalendar(all.today, all.weekdays));
}

const ofClaims = (claims: ClaimFacts[], given: Given = {}) => history({ ...given, jobs: [made(claims)] });
const fresh = claim(99, { soonestDays: 8, likelyDays: 10, latestDays: 14 });

describe('promise', () => {
  it('is as it was given without history', () => {
    const { law, isKnown } = ofClaims([]).promise(fresh);
    expect(isKnown).toBe(false);
    expect([law.at(0), law.at(1)]).toEqual([8, 14]);
  });

  it('weighs own promises one each, those of others as five together, the promise itself as two', () => {
    const { law, known } = ofClaims([
      ...[1, 2, 3].map((id) => kept(id, 3, 20)),
      ...[4, 5, 6, 7, 8, 9, 10, 11, 12, 13].map((id) => kept(id, 4, 30)),
    ]).promise(fresh);
    expect([known.own, known.others, known.otherWeight]).toEqual([
      { finished: 3, open: 0 },
      { finished: 10, open: 0 },
      0.5,
    ]);
    // of 3 + 5 + 2 the promise’s two have come by day 14, then the own three on day 20, the others on day 30
    expect(law.open(14)).toBeCloseTo(0.8, 12);
    expect(law.open(20)).toBeCloseTo(0.5, 12);
    expect(law.open(30)).toBe(0);
    expect([law.at(0.5), law.at(0.51)]).toEqual([20, 30]);
  });

  it('counts open claims as cut off: the later they are, the later it is', () => {
    const done = [1, 2, 3, 4].map((id) => kept(id, 3, 10));
    const by = (share: number, days: number) =>
      ofClaims([...done, open(5, 3, days), open(6, 3, days), open(7, 3, days)])
        .promise(fresh)
        .law.at(share);
    expect([by(0.5, 2), by(0.5, 40)]).toEqual([10, 10]);
    // of nine three are open after 40 days: that so many have come by the latest day promised, nothing says any more
    expect(by(0.8, 2)).toBeLessThan(14);
    expect(by(0.8, 40)).toBeGreaterThan(14);
  });

  it('takes several that are long open as history, and one alone as its own affair', () => {
    expect(ofClaims([open(1, 3, 30)]).promise(fresh).isKnown).toBe(false);
    const { isKnown, law } = ofClaims([1, 2, 3, 4].map((id) => open(id, 3, 30))).promise(fresh);
    expect(isKnown).toBe(true);
    expect(law.at(0.5)).toBeGreaterThan(14);
  });

  it('compares with what was promised first, where a promise was renewed', () => {
    // promised for 10 days, renewed to 30, posted after 20: twice what was promised
    const claims = [1, 2, 3].map((id) => kept(id, 3, 20, { likelyDays: 30, latestDays: 40 }));
    const firstPromises: Given['firstPromises'] = [1, 2, 3].map((id) => [
      id,
      { soonestDays: 5, likelyDays: 10, latestDays: 20 },
    ]);
    expect([...ofClaims(claims, { firstPromises }).seen.promises.of(3).sample.times]).toEqual([2, 2, 2]);
    expect(ofClaims(claims).seen.promises.of(3).sample.times[0]).toBeCloseTo(2 / 3, 12);
  });

  it('puts on a renewed promise what was usually added to a first one', () => {
    const claims = Array.from({ length: 40 }, (_, id) => kept(id, 3, 14));
    const renewed = { ...fresh, likelyDays: 30, soonestDays: 29, latestDays: 32 };
    const given: Given = { firstPromises: [[99, { soonestDays: 8, likelyDays: 10, latestDays: 14 }]] };
    expect(ofClaims(claims, given).promise(renewed).law.at(0.5)).toBeCloseTo(34, 10);
    expect(ofClaims(claims).promise(renewed).law.at(0.5)).toBeCloseTo(42, 10);
  });

  it('leaves out what tells nothing: handed back whole, posted before it was claimed, no days at all', () => {
    const { seen } = ofClaims([
      claim(1, { backMilli: 1000, claimedAt: ago(50) }),
      kept(2, 3, -4),
      kept(3, 3, 5, { claimedAt: 'never' }),
    ]);
    expect(seen.promises.keys).toEqual([]);
    expect(seen.kept).toEqual([]);
  });

  it('stops the clock of what is on hold or dropped', () => {
    const claims = [open(1, 3, 60)];
    for (const over of [{ heldAt: ago(50) }, { droppedAt: ago(50) }]) {
      expect(history({ jobs: [made(claims, over)] }).seen.promises.of(3).sample.times[0]).toBe(1);
    }
  });

  it.each([
    [{ soonestDays: 20, likelyDays: 5, latestDays: 10 }, [5, 10, 20]],
    [{ soonestDays: -3, likelyDays: 4, latestDays: 6 }, [0, 4, 6]],
    [{ soonestDays: 0, likelyDays: 0, latestDays: 0 }, [0, 0, 0]],
    [{ soonestDays: Number.NaN, likelyDays: 4, latestDays: 6 }, [4, 6, 14]],
  ])('puts %j in order', (days, ordered) => {
    const all = ofClaims([kept(1, 3, 12), { ...open(2, 3, 5), ...days }]);
    const { promised, law } = all.promise({ ...fresh, ...days });
    expect(promised).toEqual(ordered);
    expect(law.at(0.5)).toBeGreaterThanOrEqual(0);
    expect(Number.isFinite(law.at(1))).toBe(true);
  });

  it('comes nearer a maker’s own the more of their own there are', () => {
    const others = Array.from({ length: 30 }, (_, at) => kept(1000 + at, 4, 25));
    fc.assert(
      fc.property(fc.integer({ min: 8, max: 20 }), fc.integer({ min: 1, max: 60 }), (few, more) => {
        const shareByDay12 = (count: number) =>
          1 -
          ofClaims([...others, ...Array.from({ length: count }, (_, id) => kept(id, 3, 11))])
            .promise(fresh)
            .law.open(12);
        expect(shareByDay12(few + more)).toBeGreaterThan(shareByDay12(few));
        const law = ofClaims([...others, ...Array.from({ length: few }, (_, id) => kept(id, 3, 11))]).promise(
          fresh,
        ).law;
        expect(law.at(0.5)).toBeLessThan(14);
      }),
      { numRuns: 40, seed: 31 },
    );
    // with none of their own, it is the others’ that counts: 25 days against 10 promised
    expect(ofClaims(others).promise(fresh).law.at(0.5)).toBe(25);
  });

  it('is told nearly the same by thousands of others in groups as by a few alone', () => {
    const days = (at: number) => 5 + ((at * 7919) % 41);
    const claims = (count: number) => Array.from({ length: count }, (_, at) => kept(at, 4, days(at)));
    const [few, many] = [41, 4100].map((count) => ofClaims(claims(count)).promise(fresh).law);
    for (const share of [0.2, 0.5, 0.8]) {
      expect(Math.abs(many!.at(share) - few!.at(share))).toBeLessThanOrEqual(1.5);
    }
  });
});

describe('other histories', () => {
  it('making: by process, drawn towards the others', () => {
    const revisions: Given['revisions'] = [7, 8].map((id) => ({
      id,
      partId: id,
      letter: 'A',
      state: 'released' as const,
      processId: id * 10,
      drawn: true,
    }));
    const all = history({
      revisions,
      jobs: [
        made(Array.from({ length: 12 }, (_, id) => kept(id, 3, 9, { revisionId: 7 }))),
        made(Array.from({ length: 12 }, (_, id) => kept(20 + id, 4, 40, { revisionId: 8 }))),
      ],
    });
    expect(all.making(70).law.at(0.5)).toBe(9);
    expect(all.making(80).law.at(0.5)).toBe(40);
    expect(all.making(70).known).toMatchObject({ own: { finished: 12 }, others: { finished: 12 } });
    // of a process nobody has used, all that is known are the others, five, and what is usual, two
    expect(all.making(90).known).toMatchObject({ own: { finished: 0 }, others: { finished: 24 } });
  });

  it('making with days given: working days from claim to posting over them, promises beside', () => {
    const all = history({
      parts: [part(2, { makeDays: 4 })],
      // claimed on Monday 2 February, posted on Monday 16: ten working days of four
      jobs: [made([kept(1, 3, 14, { claimedAt: ago(28), lastSentAt: ago(14) })], { partId: 2 })],
    });
    expect([...all.seen.given.of('given').sample.times]).toEqual([2.5]);
    expect(all.given().known).toMatchObject({
      own: { finished: 1 },
      others: { finished: 1 },
      otherWeight: 1,
    });
  });

  it('finding: from the offer to the first claim; offers that are out are cut off', () => {
    const all = history({
      jobs: [
        made([kept(1, 3, 10), kept(2, 4, 10)], { offeredAt: ago(104) }),
        job(2, { offeredAt: ago(12) }),
        job(3, { offeredAt: ago(40), droppedAt: ago(30) }),
        job(4),
      ],
    });
    const { sample } = all.seen.offers.of('offer');
    expect([...sample.times]).toEqual([4, 10, 12]);
    expect([...sample.finished]).toEqual([1, 0, 0]);
  });

  it('post: by country, pooled with others from abroad and not with those at home', () => {
    const posts: Given['posts'] = [
      { personId: 3, sentAt: ago(30), arrivedAt: ago(18) },
      { personId: 3, sentAt: ago(5), arrivedAt: null },
      { personId: 4, sentAt: ago(20), arrivedAt: ago(18) },
      { personId: 77, sentAt: ago(20), arrivedAt: ago(11) },
    ];
    const all = history({ posts });
    expect(all.post('NZ').known).toMatchObject({ own: { finished: 1, open: 1 }, others: { finished: 1 } });
    expect(all.post('NO').known).toMatchObject({ own: { finished: 1, open: 0 }, others: { finished: 0 } });
    expect(all.post(null).known.own).toEqual({ finished: 3, open: 1 });
    expect(all.post('SE').known.own).toEqual({ finished: 0, open: 0 });
  });

  it('purchases: over the day named, else the lead time; days where neither was said', () => {
    const bought = part(2, { kind: 'bought', leadDays: 10 });
    const all = history({
      parts: [bought],
      jobs: [
        job(1, { kind: 'purchase', partId: 2, orderedAt: ago(30), finishedAt: ago(15) }),
        job(2, { kind: 'purchase', orderedAt: ago(30), promisedOn: '2026-02-10', finishedAt: ago(15) }),
        job(3, { kind: 'purchase', orderedAt: ago(9) }),
        job(4, { kind: 'purchase' }),
      ],
    });
    expect(all.seen.orders.of('lead').sample.times).toContain(1.5);
    // named for 10 days after the order of 31 January, came after 15
    expect([...all.seen.orders.of('named').sample.times]).toEqual([1.5, 1.5]);
    expect([...all.seen.plainOrders.of('none').sample.times]).toEqual([9]);
  });

  it('work: working days over the estimate, the day it was finished on among them', () => {
    const all = history({
      jobs: [
        // Monday 16 to Wednesday 18 February: three working days of two
        job(1, { kind: 'fit-up', days: 2, startedAt: ago(14), finishedAt: ago(12) }),
        // begun on Thursday 26 February: two working days gone by Monday 2 March
        job(2, { kind: 'fit-up', days: 4, startedAt: ago(4) }),
        job(3, { kind: 'trial', startedAt: ago(4), finishedAt: ago(4) }),
        job(4, { kind: 'trial', startedAt: ago(4), finishedAt: ago(9) }),
      ],
    });
    const { sample } = all.seen.works.of('fit-up', (key) => key === 'fit-up');
    expect([...sample.times]).toEqual([0.5, 1.5]);
    expect([...sample.finished]).toEqual([0, 1]);
    expect(all.seen.works.keys).toContain('trial, not estimated');
  });
});

describe('strengthOf', () => {
  const claims = (ratios: number[], personId: number, on: (at: number) => number) =>
    ratios.map((ratio, at) => ({ personId, claimedOn: on(at), postedOn: on(at) + 10, ratio }));

  it('is the stated 0.3 without pairs', () => {
    expect(strengthOf([])).toMatchObject({ value: 0.3, pairs: 0, seen: null });
    const alone = claims([1, 2, 3], 3, (at) => at * 30);
    expect(strengthOf(alone)).toMatchObject({ value: 0.3, pairs: 0, seen: null });
    expect(strengthOf(alone).because).toContain('common practice, no source');
  });

  it('by hand: two makers of two, one early, one late', () => {
    // ranks 1, 2 and 3, 4 of 5: scores ∓0.8416, ∓0.2533; products 0.2132 twice; mean square 0.3862
    const all = [...claims([1, 1.1], 3, (at) => at), ...claims([2, 2.2], 4, (at) => at)];
    const { pairs, seen, value } = strengthOf(all);
    expect(pairs).toBe(2);
    expect(seen).toBeCloseTo(0.2132 / 0.3862, 2);
    expect(value).toBeCloseTo((2 * (0.2132 / 0.3862) + 20 * 0.3) / 22, 3);
  });

  it('rises where slow months are shared, falls where they are not, and keeps within 0 and 0.9', () => {
    const months = Array.from({ length: 40 }, (_, month) =>
      [0, 1, 2].map((at) => ({
        personId: 3,
        claimedOn: month * 20 + at,
        postedOn: month * 20 + 15,
        ratio: 1 + (month % 7) + at / 100,
      })),
    ).flat();
    expect(strengthOf(months).value).toBeGreaterThan(0.8);
    expect(strengthOf(months).value).toBeLessThanOrEqual(0.9);
    const opposed = Array.from({ length: 60 }, (_, month) =>
      [0, 1].map((at) => ({
        personId: 3,
        claimedOn: month * 20 + at,
        postedOn: month * 20 + 15,
        ratio: at === 0 ? 0.5 + month / 100 : 3 - month / 100,
      })),
    ).flat();
    expect(strengthOf(opposed).value).toBe(0);
  });

  it('tells nothing where all ratios are the same', () => {
    const { seen, value } = strengthOf(claims([1, 1, 1], 3, (at) => at));
    expect([seen, value]).toEqual([null, 0.3]);
  });
});

describe('normalScore', () => {
  // Standard normal quantiles, as every table has them.
  it.each([
    [0.5, 0],
    [0.8, 0.8416],
    [0.95, 1.6449],
    [0.025, -1.96],
    [0.001, -3.0902],
  ])('of %f is %f', (share, score) => {
    expect(Math.abs(normalScore(share) - score)).toBeLessThan(0.00045);
  });
});
