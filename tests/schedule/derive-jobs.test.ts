import { describe, expect, it } from 'vitest';
import { DEFAULTS } from '../../src/schedule/defaults.ts';
import { daysOfHours } from '../../src/schedule/durations-estimate.ts';
import { scheduleOf } from '../../src/schedule/schedule.ts';
import { chainKeys, claim, facts, frame, type Given, job, keys, need, part, step } from './derive-facts.ts';

describe('deriveNetwork: jobs', () => {
  const released: Given = { parts: [frame, part(2, { name: 'Post' })], uses: [[1, 2, 6]], released: [2] };
  const offered = { partId: 2, milli: 6000, offeredAt: '2026-02-20T08:00:00Z' };

  it('gives each claim its branch, each quantity its place, and the open rest a maker to find', () => {
    const jobs = [
      job(9, {
        ...offered,
        claims: [
          claim(1, { milli: 2000, likelyDays: 10, claimedAt: '2026-02-25T08:00:00Z' }),
          claim(2, {
            milli: 2000,
            personId: 4,
            doneMilli: 2000,
            travellingMilli: 1000,
            arrivedMilli: 1000,
            lastSentAt: '2026-03-01T08:00:00Z',
          }),
        ],
      }),
    ];
    const schedule = scheduleOf(facts({ ...released, jobs }));
    expect(schedule.network.nodes.map(({ key }) => key)).toEqual([
      'claim-1-make',
      'claim-1-post',
      'claim-1-inspect',
      'claim-2-travel',
      'claim-2-inspect',
      'job-9-find',
      'job-9-make',
      'job-9-post',
      'job-9-inspect',
      'part-2-ready',
      'part-1-fit-up',
      'part-1-ready',
    ]);
    expect(step(schedule, 'claim-1-make')).toMatchObject({
      durationDays: 5,
      because: 'Imre promised 7 Mar: 10 days from 25 Feb; no history yet',
      late: false,
      label: 'Make Post, 2 pieces',
    });
    expect(step(schedule, 'claim-1-post').because).toBe('post from NZ to NO: 7 days');
    // sent yesterday within the country: two of three days are left
    expect(step(schedule, 'claim-2-travel')).toMatchObject({ durationDays: 2 });
    expect(step(schedule, 'job-9-find')).toMatchObject({ durationDays: 1, late: true });
    expect(step(schedule, 'job-9-find').because).toContain('offered on 20 Feb and still open');
  });

  it('posts the rest of a job no sooner than its first piece has come, until it is approved', () => {
    const travelling = claim(1, {
      milli: 3000,
      doneMilli: 3000,
      travellingMilli: 1000,
      lastSentAt: '2026-03-01T08:00:00Z',
    });
    const other = claim(2, { milli: 3000, personId: 4, doneMilli: 3000 });
    const of = (over: object) => {
      const jobs = [job(9, { ...offered, firstPiece: true, claims: [travelling, other], ...over })];
      return scheduleOf(facts({ ...released, jobs }));
    };
    const begin = (schedule: ReturnType<typeof of>, key: string) => step(schedule, key).earlyStart;
    const held = of({});
    const come = step(held, 'claim-1-travel').earlyEnd;
    expect(begin(held, 'claim-1-post') >= come).toBe(true);
    expect(begin(held, 'claim-2-post') >= come).toBe(true);
    for (const free of [of({ firstPiece: false }), of({ firstApprovedAt: '2026-03-01T09:00:00Z' })]) {
      expect(begin(free, 'claim-2-post') < come).toBe(true);
    }
  });

  it('counts a promise that has passed as tomorrow, and tells it', () => {
    const jobs = [
      job(9, {
        ...offered,
        claims: [
          claim(1, {
            milli: 6000,
            soonestDays: 2,
            likelyDays: 3,
            latestDays: 9,
            claimedAt: '2026-02-20T08:00:00Z',
          }),
        ],
      }),
    ];
    const schedule = scheduleOf(facts({ ...released, jobs }));
    expect(step(schedule, 'claim-1-make')).toMatchObject({
      durationDays: DEFAULTS.leastDays,
      late: true,
      because: 'Imre promised 23 Feb, 7 days ago: counted as tomorrow',
    });
  });

  it('tells the day a part must be posted by: the late end of making it', () => {
    const slow = part(3, { kind: 'bought', leadDays: 60 });
    const jobs = [job(9, { ...offered, claims: [claim(1, { milli: 6000 })] })];
    const schedule = scheduleOf(
      facts({
        ...released,
        parts: [...released.parts!, slow],
        uses: [
          [1, 2, 6],
          [1, 3, 1],
        ],
        jobs,
      }),
    );
    const time = schedule.jobTimes.get(9)!;
    expect(time).toMatchObject({
      startOn: '2026-03-02',
      likelyOn: '2026-03-19',
      critical: false,
      ready: true,
    });
    expect(time.needByOn).toBe(step(schedule, 'claim-1-make').lateEnd);
    // the bearing is inspected on Monday 4 May: the parcel must be here that morning, sent a week before
    expect(step(schedule, 'part-3-inspect').earlyEnd).toBe('2026-05-04');
    expect(time.needByOn).toBe('2026-04-27');
  });

  it('lets a first job stand until its rework is accepted as well', () => {
    const jobs = [
      job(9, {
        ...offered,
        claims: [
          claim(1, {
            milli: 6000,
            doneMilli: 6000,
            arrivedMilli: 6000,
            acceptedMilli: 4000,
            rejectedMilli: 2000,
          }),
        ],
      }),
      job(10, {
        partId: 2,
        milli: 2000,
        fromJobId: 9,
        fromReason: 'rework',
        offeredAt: '2026-03-02T08:00:00Z',
      }),
    ];
    const schedule = scheduleOf(facts({ ...released, jobs }));
    expect(schedule.network.openJobs.map(({ id }) => id)).toEqual([10]);
    expect(chainKeys(schedule, 'part-1-fit-up')).toEqual([
      'job-10-find',
      'job-10-make',
      'job-10-post',
      'job-10-inspect',
      'part-2-ready',
      'part-1-fit-up',
    ]);
    expect(need({ ...released, jobs }, 2)).toMatchObject({ toGo: 2000, uncovered: 0 });
  });

  it('counts work on hold from today and says so; dropped work is not there', () => {
    const jobs = [job(9, { ...offered, heldAt: '2026-03-01T08:00:00Z' })];
    const schedule = scheduleOf(facts({ ...released, jobs }));
    expect(step(schedule, 'job-9-find').because).toMatch(/^on hold, counted as if taken up today; /);
    expect(keys({ ...released, jobs: [{ ...jobs[0]!, droppedAt: '2026-03-02T08:00:00Z' }] })).not.toContain(
      'job-9-find',
    );
  });

  it('feeds the release of a part by its design job, in the hours of who draws it', () => {
    const jobs = [job(4, { kind: 'design', partId: 2, title: 'Draw the post', hours: 6, personId: 2 })];
    const schedule = scheduleOf(facts({ ...released, released: [], jobs }));
    expect(step(schedule, 'job-4')).toMatchObject({
      durationDays: 6,
      because: 'drawing: 6 h at 5 h a week, 6 working days',
    });
    expect(chainKeys(schedule, 'part-2-find')).toEqual(['job-4', 'part-2-release', 'part-2-find']);
    expect(schedule.jobTimes.get(4)).toMatchObject({ ready: true, critical: true, needByOn: '2026-03-09' });
  });

  it('a job not offered yet waits for its draft revision, while one already offered does not', () => {
    const draft = { id: 20, partId: 2, letter: 'B', state: 'draft', processId: null, drawn: true } as const;
    const given: Given = {
      ...released,
      revisions: [draft],
      jobs: [job(9, { partId: 2, milli: 6000, revisionId: 20 })],
    };
    expect(chainKeys(scheduleOf(facts(given)), 'job-9-find')).toHaveLength(2);
    expect(keys({ ...given, jobs: [job(9, { ...offered, revisionId: 2 })] })).not.toContain('part-2-release');
  });

  it('takes the elapsed time off work under way, and the day named off a delivery', () => {
    const given: Given = {
      parts: [frame, part(2, { kind: 'bought', leadDays: 30 })],
      uses: [[1, 2, 1]],
      jobs: [
        job(5, { kind: 'fit-up', partId: 1, days: 10, startedAt: '2026-02-26T08:00:00Z' }),
        job(6, { kind: 'purchase', partId: 2, orderedAt: '2026-02-10T08:00:00Z', promisedOn: '2026-03-05' }),
      ],
    };
    const schedule = scheduleOf(facts(given));
    expect(step(schedule, 'job-5-fit-up')).toMatchObject({
      durationDays: 8,
      because: 'the job says 10 working days, begun on 26 Feb: 8 working days left',
    });
    expect(step(schedule, 'job-6-delivery')).toMatchObject({
      durationDays: 3,
      because: 'delivery named for 5 Mar',
    });
    // begun work goes on while the part is on its way, but is not over without it
    expect(schedule.jobTimes.get(5)?.ready).toBe(false);
    expect(step(schedule, 'job-5-fit-up').earlyStart).toBe('2026-03-02');
    const passed = [given.jobs![0]!, { ...given.jobs![1]!, promisedOn: '2026-02-27' }];
    expect(step(scheduleOf(facts({ ...given, jobs: passed })), 'job-6-delivery')).toMatchObject({
      durationDays: 1,
      late: true,
      because: 'delivery named for 27 Feb, 3 days ago: counted as tomorrow',
    });
  });

  it('does nothing at a gathering before it begins', () => {
    const jobs = [job(5, { kind: 'fit-up', partId: 1, gatheringId: 2 })];
    const schedule = scheduleOf(
      facts({ parts: [frame], jobs, gatherings: [[2, '2026-05-12', '2026-05-14']] }),
    );
    expect(step(schedule, 'job-5-fit-up')).toMatchObject({ earlyStart: '2026-05-12' });
    expect(schedule.jobTimes.get(5)?.ready).toBe(false);
  });

  it('puts trials after their part, or after the whole, and lets other work end the build by itself', () => {
    const jobs = [
      job(5, { kind: 'trial', title: 'First turn' }),
      job(6, { kind: 'trial', partId: 1, title: 'Frame alone' }),
      job(7, { kind: 'other', title: 'Build a crate', days: 40 }),
    ];
    const schedule = scheduleOf(facts({ parts: [frame], jobs }));
    const fitUp = step(schedule, 'part-1-fit-up').earlyEnd;
    expect(step(schedule, 'job-5').earlyStart > fitUp).toBe(true);
    expect(step(schedule, 'job-6').earlyStart > fitUp).toBe(true);
    expect(schedule.finishOn).toBe(step(schedule, 'job-7').earlyEnd);
    expect(schedule.jobTimes.get(5)).toMatchObject({ ready: false, critical: false });
    expect(schedule.jobTimes.get(7)).toMatchObject({ ready: true, critical: true });
    expect(schedule.criticalJobs).toBe(1);
  });
});

describe('daysOfHours', () => {
  it('fills whole working days', () => {
    expect(daysOfHours(10, 10, 5)).toBe(5);
    expect(daysOfHours(10.1, 10, 5)).toBe(6);
    expect(daysOfHours(0.5, 40, 5)).toBe(1);
    expect(daysOfHours(3, 0, 5)).toBe(3);
  });
});
