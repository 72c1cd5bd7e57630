import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { ClaimFacts } from '../../src/jobs/index.ts';
import {
  mayCount,
  mayGiveUpShort,
  mayPost,
  mayPostFor,
  mayReceive,
  maySendOn,
  mayWriteOff,
  shortOf,
} from '../../src/receiving/parcel-rules.ts';

const claim: ClaimFacts = {
  id: 1,
  jobId: 7,
  personId: 3,
  revisionId: 1,
  milli: 6000,
  backMilli: 0,
  doneMilli: 4000,
  travellingMilli: 1000,
  arrivedMilli: 1000,
  shortMilli: 0,
  acceptedMilli: 0,
  rejectedMilli: 0,
  soonestDays: 1,
  likelyDays: 2,
  latestDays: 3,
  claimedAt: '2026-03-02T08:00:00.000Z',
  startedAt: null,
  lastWordAt: '2026-03-02T08:00:00.000Z',
  lastSentAt: null,
  lastArrivedAt: null,
};
const job = { id: 7, droppedAt: null };

describe('mayPost', () => {
  it('lets what is finished and with the maker be posted, and no more', () => {
    expect(mayPost(job, claim, 2000, 'piece')).toBeNull();
    expect(mayPost(job, claim, 3000, 'piece')).toEqual({
      code: 'more-than-finished',
      sentence:
        'Of job 7 2 pieces are finished and not posted: 3 pieces cannot be in the parcel. Report what is finished first.',
    });
    expect(mayPost(job, claim, 0, 'piece')?.code).toBe('no-quantity');
    expect(mayPost(job, claim, -1000, 'piece')?.code).toBe('no-quantity');
  });

  it('lets nothing of a dropped job be posted', () => {
    expect(mayPost({ ...job, droppedAt: '2026-03-03T08:00:00.000Z' }, claim, 1000, 'piece')?.code).toBe(
      'job-dropped',
    );
  });

  it('never lets the parcels of a claim hold more than was finished, whatever came short', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 50 }),
        fc.array(fc.record({ posted: fc.integer({ min: -2, max: 60 }), shortBy: fc.nat(60) }), {
          maxLength: 20,
        }),
        (done, parcels) => {
          const state = { doneMilli: done * 1000, travellingMilli: 0, arrivedMilli: 0 };
          for (const { posted, shortBy } of parcels) {
            if (mayPost(job, state, posted * 1000, 'piece')) continue;
            expect(posted).toBeGreaterThan(0);
            state.arrivedMilli += Math.max(0, posted - shortBy) * 1000;
            expect(state.arrivedMilli).toBeLessThanOrEqual(state.doneMilli);
          }
        },
      ),
      { seed: 20260302 },
    );
  });
});

describe('mayPostFor', () => {
  it('is for the maker, and for lead and crew on their behalf', () => {
    expect(mayPostFor({ personId: 3, role: 'maker' }, 3)).toBeNull();
    expect(mayPostFor({ personId: 1, role: 'lead' }, 3)).toBeNull();
    expect(mayPostFor({ personId: 2, role: 'crew' }, 3)).toBeNull();
    expect(mayPostFor({ personId: 4, role: 'maker' }, 3)?.code).toBe('not-your-parcel');
    expect(mayPostFor({ personId: null, role: 'visitor' }, 3)?.code).toBe('not-your-parcel');
  });
});

describe('maySendOn', () => {
  it('takes a day from the claim to today', () => {
    expect(maySendOn('2026-03-05', '2026-03-05', '2026-03-05')).toBeNull();
    expect(maySendOn('2026-03-06', '2026-03-05', '2026-03-05')?.code).toBe('day-to-come');
    expect(maySendOn('2026-03-04', '2026-03-05', '2026-03-06')?.sentence).toBe(
      'The work was claimed on 5 Mar 2026: it cannot have been posted on 4 Mar 2026.',
    );
  });
});

describe('mayReceive', () => {
  const parcel = { id: 9, sentOn: '2026-03-05', arrivedOn: null };
  it('takes a day from the sending to today, once', () => {
    expect(mayReceive(parcel, '2026-03-05', '2026-03-12')).toBeNull();
    expect(mayReceive(parcel, '2026-03-12', '2026-03-12')).toBeNull();
    expect(mayReceive(parcel, '2026-03-13', '2026-03-12')?.code).toBe('day-to-come');
    expect(mayReceive(parcel, '2026-03-04', '2026-03-12')?.code).toBe('before-sending');
    expect(mayReceive({ ...parcel, arrivedOn: '2026-03-11' }, '2026-03-12', '2026-03-12')?.code).toBe(
      'already-here',
    );
  });
});

describe('mayCount', () => {
  const line = { milli: 4000, countedMilli: null, checkedMilli: 0 };
  it('counts none to all of what was posted', () => {
    for (const count of [0, 1000, 4000]) expect(mayCount(line, count, 0, 'piece')).toBeNull();
    expect(mayCount(line, 5000, 9000, 'piece')?.code).toBe('more-than-posted');
    expect(mayCount(line, -1000, 0, 'piece')?.code).toBe('no-count');
    expect(mayCount(line, 1500, 0, 'piece')?.code).toBe('no-count');
    expect(mayCount(line, 1500, 0, 'm')).toBeNull();
  });

  it('counts again no fewer than are inspected', () => {
    const counted = { milli: 4000, countedMilli: 3000, checkedMilli: 2000 };
    expect(mayCount(counted, 2000, 1000, 'piece')).toBeNull();
    expect(mayCount(counted, 1000, 1000, 'piece')?.code).toBe('fewer-than-checked');
  });

  it('finds later only what the maker has not posted anew or handed back', () => {
    const counted = { milli: 4000, countedMilli: 2000, checkedMilli: 0 };
    expect(mayCount(counted, 4000, 2000, 'piece')).toBeNull();
    expect(mayCount(counted, 4000, 1000, 'piece')?.code).toBe('posted-again');
  });

  it('never lets counting bring a claim above what was finished', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 20 }),
        fc.array(fc.record({ line: fc.nat(3), count: fc.nat(20), post: fc.nat(20) }), { maxLength: 30 }),
        (done, steps) => {
          const lines: { milli: number; countedMilli: number | null; checkedMilli: number }[] = [];
          const made = () =>
            done * 1000 - lines.reduce((sum, { milli, countedMilli }) => sum + (countedMilli ?? milli), 0);
          for (const step of steps) {
            const now = { doneMilli: made(), travellingMilli: 0, arrivedMilli: 0 };
            if (!mayPost(job, now, step.post * 1000, 'piece')) {
              lines.push({ milli: step.post * 1000, countedMilli: null, checkedMilli: 0 });
            }
            const one = lines[step.line];
            if (one && !mayCount(one, step.count * 1000, made(), 'piece'))
              one.countedMilli = step.count * 1000;
            expect(made()).toBeGreaterThanOrEqual(0);
          }
        },
      ),
      { seed: 20260303 },
    );
  });
});

describe('mayWriteOff', () => {
  it('is for a parcel that has not come and is not written off already', () => {
    const lines = [{ milli: 1000, countedMilli: null, checkedMilli: 0 }];
    expect(mayWriteOff({ id: 1, arrivedOn: null, lines })).toBeNull();
    expect(mayWriteOff({ id: 1, arrivedOn: '2026-03-05', lines })?.code).toBe('already-here');
    const written = [{ milli: 1000, countedMilli: 0, checkedMilli: 0 }];
    expect(mayWriteOff({ id: 1, arrivedOn: null, lines: written })?.code).toBe('written-off');
  });
});

describe('mayGiveUpShort', () => {
  const short = { ...claim, doneMilli: 4000, travellingMilli: 0, arrivedMilli: 1000, shortMilli: 3000 };
  it('gives back what came short and is not posted again', () => {
    expect(shortOf(short)).toBe(3000);
    expect(mayGiveUpShort(short, 3000, 'piece')).toBeNull();
    expect(mayGiveUpShort(short, 4000, 'piece')?.code).toBe('more-than-short');
    expect(mayGiveUpShort(short, 0, 'piece')?.code).toBe('no-quantity');
  });
  it('counts what has been posted again as short no more', () => {
    expect(shortOf({ ...short, travellingMilli: 3000 })).toBe(0);
    expect(mayGiveUpShort({ ...short, travellingMilli: 3000 }, 1000, 'piece')?.code).toBe('nothing-short');
  });
});
