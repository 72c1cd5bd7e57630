import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  madeOf,
  mayClaim,
  mayCorrect,
  mayHandBack,
  mayPromise,
  mayReport,
  mayStart,
  netOf,
  unfinishedOf,
} from '../../src/jobs/claim-rules.ts';
import { type JobFacts, quantitiesOf, stageOf } from '../../src/jobs/facts.ts';
import {
  mayDrop,
  mayHaveQuantity,
  mayHold,
  mayOffer,
  mayResume,
  mayWithdraw,
} from '../../src/jobs/job-rules.ts';
import { impliedArrows, loopOf } from '../../src/jobs/links.ts';
import { AT, aClaimOf, aJob } from './job-facts.ts';

interface Step {
  act: string;
  /** which claim, by its place */
  place: number;
  pieces: number;
}

/** One act on the model: done as the use cases do it when its rule allows it, else nothing. */
function step(job: JobFacts, { act, place, pieces }: Step): void {
  const milli = pieces * 1000;
  const claim = job.claims[place % Math.max(1, job.claims.length)];
  if (act === 'claim') {
    if (mayClaim(job, milli, 'released', 'piece')) return;
    job.claims.push(aClaimOf({ id: job.claims.length + 1, milli }));
  } else if (act === 'quantity') {
    if (!mayHaveQuantity(job, milli, 'piece')) job.milli = milli;
  } else if (act === 'hold') {
    if (!mayHold(job)) job.heldAt = AT;
    else if (!mayResume(job)) job.heldAt = null;
  } else if (act === 'offer') {
    if (!mayOffer(job, { letter: 'A', state: 'released' })) job.offeredAt = AT;
    else if (!mayWithdraw(job, 'piece')) job.offeredAt = null;
  } else if (act === 'drop') {
    if (mayDrop(job, 'piece')) return;
    job.droppedAt = AT;
    for (const one of job.claims) one.backMilli += unfinishedOf(one);
  }
  if (!claim) return;
  if (act === 'back' && !mayHandBack(claim, milli, 'piece')) claim.backMilli += milli;
  if (act === 'start' && !mayStart(job, claim)) claim.startedAt = AT;
  if (act === 'report' && !mayReport(job, claim, milli, 'piece')) claim.doneMilli += milli;
  if (act === 'correct' && !mayCorrect(job, claim, milli, 'piece')) claim.doneMilli -= milli;
  // What receiving does, by the guards of design: no more posted than made, counted than posted, judged than here.
  if (act === 'post' && milli <= madeOf(claim)) claim.travellingMilli += milli;
  if (act === 'arrive' && milli <= claim.travellingMilli) {
    const missing = place % 2 === 1 && milli > 1000 ? 1000 : 0;
    claim.travellingMilli -= milli;
    claim.arrivedMilli += milli - missing;
    claim.shortMilli += missing;
  }
  const here = claim.arrivedMilli - claim.acceptedMilli - claim.rejectedMilli;
  if (act === 'accept' && milli <= here) claim.acceptedMilli += milli;
  if (act === 'reject' && milli <= here) claim.rejectedMilli += milli;
}

// Weighted so that a walk gets far before it is held or dropped.
const WEIGHTS: Record<string, number> = {
  claim: 6,
  report: 8,
  post: 8,
  arrive: 8,
  accept: 6,
  reject: 2,
  back: 2,
  start: 3,
  correct: 2,
  quantity: 1,
  hold: 1,
  offer: 2,
  drop: 1,
};
const ACTS = Object.entries(WEIGHTS).flatMap(([act, weight]) => Array<string>(weight).fill(act));

describe('the rules together', () => {
  it('keep the parts of a job adding up to its quantity, none below nothing, whatever is done in what order', () => {
    const steps = fc.array(
      fc.record({
        act: fc.constantFrom(...ACTS),
        place: fc.nat(5),
        pieces: fc.oneof(fc.integer({ min: 1, max: 3 }), fc.integer({ min: -1, max: 12 })),
      }),
      { minLength: 20, maxLength: 120, size: 'max' },
    );
    let furthest = 0;
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 9 }), steps, (pieces, list) => {
        const job = aJob({ milli: pieces * 1000 });
        for (const one of list) {
          if (one.pieces <= 0 && ['post', 'arrive', 'accept', 'reject'].includes(one.act)) continue;
          step(job, one);
          const { total, ...parts } = quantitiesOf(job);
          const values = Object.values(parts);
          expect(Math.min(...values)).toBeGreaterThanOrEqual(0);
          expect(values.reduce((sum, value) => sum + value, 0)).toBe(total);
          expect(stageOf(job, true)).toBeTypeOf('string');
          furthest = Math.max(furthest, parts.accepted);
        }
      }),
      { numRuns: 300, seed: 20260302 },
    );
    // The walk is worth something only if it gets to the end of the road.
    expect(furthest).toBeGreaterThan(4000);
  });

  it('let every open unit be claimed, every unfinished one reported or handed back, and no more', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 50 }),
        fc.integer({ min: 0, max: 50 }),
        fc.integer({ min: 0, max: 50 }),
        (total, claimed, done) => {
          fc.pre(claimed <= total && done <= claimed && claimed > 0);
          const claim = aClaimOf({ milli: claimed * 1000, doneMilli: done * 1000 });
          const job = aJob({ milli: total * 1000, claims: [claim] });
          const open = total - claimed;
          if (open > 0) expect(mayClaim(job, open * 1000, 'released', 'piece')).toBeNull();
          expect(mayClaim(job, (open + 1) * 1000, 'released', 'piece')?.code).toBe('quantity-taken');
          const rest = claimed - done;
          expect(mayReport(job, claim, rest * 1000, 'piece')).toBeNull();
          expect(mayReport(job, claim, (rest + 1) * 1000, 'piece')?.code).toBe('more-than-claimed');
          expect(mayHandBack(claim, rest * 1000, 'piece') === null).toBe(rest > 0);
          expect(mayHandBack(claim, (rest + 1) * 1000, 'piece')).not.toBeNull();
          expect(netOf(claim)).toBe(claimed * 1000);
        },
      ),
      { seed: 7 },
    );
  });
});

describe('refusals', () => {
  it('name the numbers in a sentence', () => {
    const job = aJob({ milli: 5000, claims: [aClaimOf({ milli: 3000 })] });
    expect(mayClaim(job, 3000, 'released', 'piece')?.sentence).toBe(
      'Only 2 pieces of 5 pieces are still open; you asked for 3 pieces.',
    );
    expect(mayClaim(aJob({ claims: [aClaimOf()] }), 1000, 'released', 'piece')?.sentence).toBe(
      'All of job 7 is claimed: 4 pieces.',
    );
    expect(mayHandBack(aClaimOf({ doneMilli: 3000 }), 2000, 'piece')?.sentence).toBe(
      'Only 1 piece is unfinished; 2 pieces cannot be handed back.',
    );
    expect(mayReport(job, aClaimOf({ milli: 3000, doneMilli: 2000 }), 2000, 'piece')?.sentence).toBe(
      '3 pieces are claimed and 2 pieces reported finished before: 2 pieces more would be above the claim.',
    );
    expect(
      mayHaveQuantity(aJob({ milli: 2500, claims: [aClaimOf({ milli: 1500 })] }), 1250, 'm')?.sentence,
    ).toBe('1.5 m are claimed: the quantity cannot be 1.25 m.');
    const posted = aClaimOf({
      doneMilli: 3000,
      travellingMilli: 1000,
      arrivedMilli: 2000,
      acceptedMilli: 1000,
    });
    expect(mayDrop(aJob({ claims: [posted] }), 'piece')?.sentence).toBe(
      'Of 4 pieces: 1 piece in the post, 1 piece here to be inspected, 1 piece accepted. The job cannot be dropped; ' +
        'take back what is unfinished and lower the quantity to 3 pieces instead.',
    );
    expect(mayWithdraw(job, 'piece')?.sentence).toContain('3 pieces of 5 pieces are claimed');
  });

  it('of promises: whole days, in order, two years at most', () => {
    const promise = (soonestDays: number, likelyDays: number, latestDays: number) =>
      mayPromise({ soonestDays, likelyDays, latestDays })?.code ?? null;
    expect(promise(0, 0, 0)).toBeNull();
    expect(promise(1, 2, 730)).toBeNull();
    expect(promise(1, 2, 731)).toBe('promise-out-of-range');
    expect(promise(-1, 2, 3)).toBe('promise-out-of-range');
    expect(promise(1, Number.NaN, 3)).toBe('promise-out-of-range');
    expect(promise(3, 2, 4)).toBe('promise-out-of-order');
  });
});

describe('loopOf', () => {
  it('gives the shortest loop a new arrow would close, or null', () => {
    const arrows = [
      { fromId: 1, toId: 2 },
      { fromId: 2, toId: 3 },
      { fromId: 1, toId: 3 },
    ];
    expect(loopOf(arrows, { fromId: 3, toId: 1 })).toEqual([1, 3, 1]);
    expect(loopOf(arrows, { fromId: 1, toId: 4 })).toBeNull();
    expect(loopOf([], { fromId: 5, toId: 5 })).toEqual([5, 5]);
  });

  it('finds a loop exactly when ordering by hand gets stuck', () => {
    const arrow = fc.record({ fromId: fc.nat(6), toId: fc.nat(6) });
    fc.assert(
      fc.property(fc.array(arrow, { maxLength: 12 }), arrow, (list, added) => {
        const forward = list.filter(({ fromId, toId }) => fromId < toId);
        const loop = loopOf(forward, added);
        expect(loop !== null).toBe(isStuck([...forward, added]));
        if (loop) expect(loop[0]).toBe(loop.at(-1));
      }),
      { seed: 11, numRuns: 500 },
    );
  });

  it('sees what the structure makes wait: fit-ups for their children, what is made for the design, trials for their part', () => {
    const jobs = [
      { id: 1, kind: 'design', partId: 10 },
      { id: 2, kind: 'fabricate', partId: 10 },
      { id: 3, kind: 'fit-up', partId: 20 },
      { id: 4, kind: 'trial', partId: 10 },
      { id: 5, kind: 'other', partId: null },
    ];
    const arrows = impliedArrows(jobs, [{ parentId: 20, childId: 10 }]);
    const pairs = arrows.map(({ fromId, toId }) => `${fromId}-${toId}`).sort();
    expect(pairs).toEqual(['1-2', '1-3', '1-4', '2-3', '2-4']);
    // what is under way was drawn before: the design is of the next revision
    expect(impliedArrows([jobs[0]!, { ...jobs[1]!, begun: true }], [])).toEqual([]);
    // other work on a part may well come before its drawing: measuring the place it goes to
    expect(impliedArrows([jobs[0]!, { id: 6, kind: 'other', partId: 10 }], [])).toEqual([]);
  });
});

/** Takes away what waits for nothing, again and again: what is left goes round in a loop. */
function isStuck(arrows: { fromId: number; toId: number }[]): boolean {
  let left = arrows;
  for (;;) {
    const waiting = new Set(left.map(({ toId }) => toId));
    const next = left.filter(({ fromId }) => waiting.has(fromId));
    if (next.length === left.length) return left.length > 0;
    left = next;
  }
}
