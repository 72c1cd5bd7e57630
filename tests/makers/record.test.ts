import { describe, expect, it } from 'vitest';
import type { ClaimFacts } from '../../src/jobs/index.ts';
import { promiseRecord } from '../../src/makers/index.ts';

const claim = (facts: Partial<ClaimFacts>): ClaimFacts => ({
  id: 1,
  jobId: 7,
  personId: 3,
  revisionId: 1,
  milli: 4000,
  backMilli: 0,
  doneMilli: 0,
  travellingMilli: 0,
  arrivedMilli: 0,
  shortMilli: 0,
  acceptedMilli: 0,
  rejectedMilli: 0,
  soonestDays: 10,
  likelyDays: 14,
  latestDays: 21,
  claimedAt: '2026-03-02T08:00:00.000+00:00',
  startedAt: null,
  lastWordAt: '2026-03-02T08:00:00.000+00:00',
  lastSentAt: null,
  lastArrivedAt: null,
  ...facts,
});

const posted = (on: string) =>
  claim({ doneMilli: 4000, arrivedMilli: 4000, lastSentAt: `${on}T12:00:00.000+00:00` });

describe('promiseRecord', () => {
  it('tells a claim within, before and after its promise', () => {
    const record = promiseRecord(
      [posted('2026-03-16'), posted('2026-03-08'), posted('2026-03-27')],
      '2026-04-20',
      'Europe/Oslo',
    );
    expect(record.promises.map(({ verdict }) => verdict)).toEqual([
      'within the promise',
      'sooner than promised',
      'late by 4 days',
    ]);
    expect(record).toMatchObject({ finished: 3, onTime: 2, lateNow: 0 });
    expect(record.medianRatio).toBeCloseTo(1, 10);
  });

  it('counts an open claim as late only after its latest day', () => {
    expect(promiseRecord([claim({})], '2026-03-23', 'Europe/Oslo').promises[0]).toMatchObject({
      verdict: 'still open',
      tookDays: 21,
    });
    expect(promiseRecord([claim({})], '2026-03-24', 'Europe/Oslo')).toMatchObject({
      lateNow: 1,
      finished: 0,
      medianRatio: null,
    });
  });

  it('is not finished while a part of it is not posted, and leaves out what was handed back whole', () => {
    const partly = claim({
      doneMilli: 3000,
      arrivedMilli: 3000,
      lastSentAt: '2026-03-10T12:00:00.000+00:00',
    });
    expect(promiseRecord([partly], '2026-03-12', 'UTC').finished).toBe(0);
    expect(promiseRecord([{ ...partly, backMilli: 1000 }], '2026-03-12', 'UTC').finished).toBe(1);
    expect(promiseRecord([claim({ backMilli: 4000 })], '2026-03-12', 'UTC').promises).toEqual([]);
  });

  it('counts days in the zone of the build', () => {
    const late = claim({ claimedAt: '2026-03-02T23:30:00.000+00:00' });
    expect(promiseRecord([late], '2026-03-04', 'Europe/Oslo').promises[0]?.tookDays).toBe(1);
    expect(promiseRecord([late], '2026-03-04', 'UTC').promises[0]?.tookDays).toBe(2);
  });
});
