import { describe, expect, it } from 'vitest';
import { claimJob, createJob, dropJob, renewPromise } from '../../src/jobs/index.ts';
import { setShelf } from '../../src/parts/index.ts';
import { addDays } from '../../src/platform/day.ts';
import { receiveParcel } from '../../src/receiving/index.ts';
import { startApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { aClaim, anOfferedJob, anotherJob, asPerson, finished } from '../support/jobs.ts';
import { anAssembly, aPart, asLead } from '../support/parts.ts';
import { aPostedParcel, todayIn } from '../support/receiving.ts';
import { said, services } from './finish-moved-services.ts';

describe('FinishMovedService', () => {
  it('tells a claim with its days and whom to name', async () => {
    const app = await startApp();
    const { schedules, moved, close } = services(app);
    const { jobId } = await anOfferedJob(app, { quantity: 2, part: { name: 'Moon arm' } });
    // find 7, make 14, post 7, inspect, fit up: the finish is on 31 March
    expect(schedules.finishOn()).toBe('2026-03-31');
    await schedules.settled();
    app.passDays(1);
    const week = { from: '2026-03-03', until: '2026-03-09' };
    await aClaim(app, { jobId, soonestDays: 1, likelyDays: 2, latestDays: 4 });
    expect(moved.of(week)).toEqual({ state: 'computing' });
    const why = (await moved.now(week))!;
    expect(moved.of(week)).toEqual({ state: 'ready', why });
    expect(why).toMatchObject({
      finishOn: schedules.finishOn(),
      before: { day: '2026-03-02', finishOn: '2026-03-31' },
      waits: [],
    });
    // Posted on Thursday the 5th, here on the 12th, inspected that day, fitted on Friday the 13th; without it a maker, sought
    // since the 2nd, is still found on the 9th and all is as it was
    expect(why).toMatchObject({ finishOn: '2026-03-13', movedDays: -18 });
    expect(why.facts.map(({ days }) => days)).toEqual([-18]);
    expect(said(why.facts)).toEqual([
      'Moon arm: 2 pieces taken on, likely in 2 days, by <3>; 18 days sooner.',
    ]);
    await close();
  });

  it('adds up: what was done together, the days that went by, and no rest', async () => {
    const app = await startApp();
    const { schedules, moved, close } = services(app);
    await anotherJob(app, { title: 'Sweep', days: 5 });
    const first = schedules.finishOn()!;
    await schedules.settled();
    app.passDays(7);
    await asLead(app, (act) =>
      createJob(act, { kind: 'other', title: 'Paint', partId: null, milli: 1000, days: 12 }),
    );
    const week = { from: '2026-03-03', until: '2026-03-09' };
    const why = (await moved.now(week))!;
    expect(first).toBe('2026-03-06');
    expect(why.finishOn).toBe('2026-03-24');
    expect(why.movedDays).toBe(18);
    expect(said(why.facts)).toEqual(['Paint: job opened; 11 days later.']);
    expect(why.remarks).toEqual([
      'Taken together, what was done: 11 days later. The 7 days that went by, had nothing been done: 7 days later.',
    ]);
    await close();
  });

  it('tells by name what should have gone on and did not', async () => {
    const app = await startApp();
    const { schedules, moved, close } = services(app);
    const { jobId } = await anOfferedJob(app, { quantity: 1, part: { name: 'Sun disc' } });
    const { claimId } = await aClaim(app, { jobId, soonestDays: 2, likelyDays: 3, latestDays: 4 });
    await schedules.snapshot();
    await schedules.settled();
    app.passDays(14);
    schedules.snapshot();
    await schedules.settled();
    app.passDays(7);
    const week = moved.lastSevenDays()!;
    expect(week).toEqual({ from: '2026-03-17', until: '2026-03-23' });
    const why = (await moved.now(week))!;
    expect(why.facts).toEqual([]);
    expect(why.waits).toHaveLength(1);
    expect(why.waits[0]).toMatchObject({ key: `waited-claim-${claimId}` });
    expect(said(why.waits)[0]).toMatch(/^Sun disc: no further than a week ago, with <3>; \d+ days later\.$/);
    expect(why.waits[0]!.days).toBeGreaterThanOrEqual(7);
    await close();
  });

  it('takes a parcel of two claims as one fact, and a promise as how far it moved', async () => {
    const app = await startApp();
    const { schedules, moved, close } = services(app);
    const slow = await anOfferedJob(app, { quantity: 1, part: { name: 'Slow ring' } });
    const { claimId } = await aClaim(app, {
      jobId: slow.jobId,
      soonestDays: 5,
      likelyDays: 10,
      latestDays: 20,
    });
    const { parcelId } = await aPostedParcel(app, { quantity: 1, jobWish: { part: { name: 'Bush' } } });
    schedules.snapshot();
    await schedules.settled();
    app.passDays(2);
    await asPerson(app, 'imre', (act) =>
      renewPromise(act, { claimId, soonestDays: 30, likelyDays: 40, latestDays: 50 }),
    );
    await asPerson(app, 'crew', async (act) =>
      receiveParcel(act, { parcelId, arrivedOn: act.today, note: '', counts: null }),
    );
    const why = (await moved.now({ from: '2026-03-03', until: '2026-03-09' }))!;
    expect(said(why.facts)).toEqual([
      expect.stringMatching(/^Slow ring: promised 32 days later, by <3>; \d+ days later\.$/),
    ]);
    expect(why.facts[0]!.days).toBeGreaterThan(25);
    await close();
  });

  it('tells a dropped part, a shelf counted, and a job dropped by what they move', async () => {
    const app = await startApp();
    const { schedules, moved, close } = services(app);
    const bolts = await aPart(app, { name: 'Bolts', kind: 'bought', leadDays: 60 });
    await anAssembly(app, { name: 'Frame', children: [{ id: bolts.id, milli: 4000 }] });
    const crate = await anotherJob(app, { title: 'Crate', days: 20 });
    schedules.snapshot();
    await schedules.settled();
    app.passDays(1);
    await asLead(app, (act) => setShelf(act, { partId: bolts.id, quantity: '4' }));
    const week = { from: '2026-03-03', until: '2026-03-09' };
    const why = (await moved.now(week))!;
    expect(said(why.facts)).toEqual([
      expect.stringMatching(/^Bolts: more counted on the shelf; \d+ days sooner\.$/),
    ]);
    await asLead(app, (act) => dropJob(act, { jobId: crate, reason: 'borrowed' }));
    // One thing alone: each is tried with the other done.
    const both = (await moved.now(week))!;
    expect(said(both.facts)).toHaveLength(2);
    expect(both.remarks.join(' ')).toContain('need not add up');
    await close();
  });

  it('says nothing of a week to come or long over, and tells one just over as it was at its end', async () => {
    const app = await startApp();
    const { schedules, moved, close } = services(app);
    await anotherJob(app, { title: 'Sweep', days: 5 });
    schedules.snapshot();
    await schedules.settled();
    app.passDays(1);
    await asLead(app, (act) =>
      createJob(act, { kind: 'other', title: 'Paint', partId: null, milli: 1000, days: 30 }),
    );
    const within = (await moved.now({ from: '2026-03-03', until: '2026-03-08' }))!;
    schedules.snapshot();
    await schedules.settled();
    app.setNow('2026-03-08T20:00:00Z');
    schedules.snapshot();
    await schedules.settled();
    app.passDays(1);
    await asLead(app, (act) =>
      createJob(act, { kind: 'other', title: 'Varnish', partId: null, milli: 1000, days: 90 }),
    );
    const over = (await moved.now({ from: '2026-03-02', until: '2026-03-08' }))!;
    expect(said(over.facts).join()).not.toContain('Varnish');
    expect(said(within.facts)).toEqual([expect.stringContaining('Paint: job opened')]);
    expect(said(over.facts).join()).toContain('Paint: job opened');
    expect(moved.of({ from: '2026-03-16', until: '2026-03-22' })).toEqual({ state: 'ready', why: null });
    app.passDays(30);
    expect(moved.of({ from: '2026-03-02', until: '2026-03-08' })).toEqual({ state: 'ready', why: null });
    expect(await moved.now({ from: '2026-03-02', until: '2026-03-08' })).toBeNull();
    await close();
  });

  it('has an answer for a build without anything, and for a quiet week', async () => {
    const app = await startApp();
    const { schedules, moved, close } = services(app);
    const today = await todayIn(app);
    const week = { from: today, until: addDays(today, 6) };
    expect(await moved.now(week)).toMatchObject({ finishOn: null, facts: [], waits: [], remarks: [] });
    await anotherJob(app, { days: 5 });
    schedules.snapshot();
    await schedules.settled();
    app.passDays(10);
    const why = (await moved.now(moved.lastSevenDays()!))!;
    expect(why.facts).toEqual([]);
    // Had it been done by Wednesday the 11th, nothing were left today, the 12th, instead of until the 18th
    expect(said(why.waits)).toEqual(['Sweep the shop: still to be done; 6 days later.']);
    await close();
  });

  it('gives up an answer that an act made old', async () => {
    const app = await startApp();
    const { moved, close } = services(app);
    const { jobId } = await anOfferedJob(app, { quantity: 2 });
    const week = { from: '2026-03-02', until: '2026-03-08' };
    const first = await moved.now(week);
    const claimed = await asPerson(app, 'imre', (act) =>
      claimJob(act, {
        jobId,
        personId: castId.imre,
        milli: 2000,
        soonestDays: 1,
        likelyDays: 2,
        latestDays: 3,
      }),
    );
    await finished(app, { claimId: claimed, quantity: 2 });
    const second = await moved.now(week);
    expect(second).not.toEqual(first);
    await close();
  });
});
