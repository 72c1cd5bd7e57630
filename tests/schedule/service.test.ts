import { describe, expect, it, vi } from 'vitest';
import { claimJob, createJob } from '../../src/jobs/index.ts';
import { ScheduleService } from '../../src/schedule/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { anOfferedJob, asPerson } from '../support/jobs.ts';

/** A service beside the app's own, on the same database, log and clock. */
function serviceOf({ context }: TestApp) {
  const faults: unknown[] = [];
  const service = new ScheduleService({ ...context, report: (fault) => faults.push(fault) });
  return { service, faults };
}

const aWork = (app: TestApp, days: number) =>
  asPerson(app, 'lead', (act) =>
    createJob(act, { kind: 'other', title: 'Build a crate', partId: null, milli: 1000, days }),
  );

describe('ScheduleService', () => {
  it('has nothing to say of an empty build', async () => {
    const app = await startApp();
    const { service } = serviceOf(app);
    expect(service.snapshot()).toMatchObject({ trouble: null, schedule: { finishOn: null } });
    expect(service.of(1)).toBeNull();
    expect(service.weekAgo()).toBeNull();
    await service.close();
  });

  it('gives the schedule of the last act, and the same one while nothing is done', async () => {
    const app = await startApp();
    const { service } = serviceOf(app);
    const { jobId } = await anOfferedJob(app, { quantity: 2 });
    const before = service.snapshot();
    expect(service.snapshot()).toBe(before);
    // find a maker 7, make 14, post 7 days from Monday 2 March, inspect on Monday 30, fit up on Tuesday 31
    expect(service.finishOn()).toBe('2026-03-31');
    expect(service.of(jobId)).toMatchObject({ critical: true, needByOn: '2026-03-23', floatDays: 0 });

    await asPerson(app, 'imre', (act) =>
      claimJob(act, {
        jobId,
        personId: castId.imre,
        milli: 2000,
        soonestDays: 1,
        likelyDays: 2,
        latestDays: 4,
      }),
    );
    expect(service.snapshot()).not.toBe(before);
    // posted on Wednesday 4, here on 11, inspected that day, fitted on Thursday 12
    expect(service.finishOn()).toBe('2026-03-12');
    await service.close();
  });

  it('moves on with the day', async () => {
    const app = await startApp();
    const { service } = serviceOf(app);
    await aWork(app, 3);
    expect(service.finishOn()).toBe('2026-03-04');
    app.passDays(1);
    expect(service.finishOn()).toBe('2026-03-05');
    await service.close();
  });

  it('computes after an act without being asked, several close ones once, and stores the finish of the day', async () => {
    const app = await startApp();
    const { service } = serviceOf(app);
    await aWork(app, 3);
    await aWork(app, 5);
    const records = app.context.db.read.finishRecord;
    await vi.waitFor(async () => expect(await records.count()).toBe(1), { timeout: 3000 });
    await service.settled();
    expect(await records.findMany()).toMatchObject([
      { day: '2026-03-02', finishOn: '2026-03-06', open: 2, critical: 1 },
    ]);
    await aWork(app, 8);
    service.snapshot();
    await service.settled();
    expect(await records.findMany()).toMatchObject([{ day: '2026-03-02', finishOn: '2026-03-11', open: 3 }]);
    await service.close();
  });

  it('keeps one row for each day, and knows the finish of a week ago', async () => {
    const app = await startApp();
    const { service } = serviceOf(app);
    await aWork(app, 3);
    service.snapshot();
    await service.settled();
    app.passDays(3);
    service.snapshot();
    await service.settled();
    expect(service.weekAgo()).toBeNull();
    app.passDays(6);
    expect(service.weekAgo()).toEqual({
      day: '2026-03-02',
      finishOn: '2026-03-04',
      open: 1,
      critical: 1,
      at80On: null,
    });
    await service.settled();
    const days = await app.context.db.read.finishRecord.findMany({ orderBy: { day: 'asc' } });
    expect(days.map(({ day }) => day)).toEqual(['2026-03-02', '2026-03-05', '2026-03-11']);
    await service.close();
  });

  it('may be asked in the middle of an act, which then commits', async () => {
    const app = await startApp();
    const { service } = serviceOf(app);
    await aWork(app, 3);
    const seen = await asPerson(app, 'lead', async (act) => {
      await createJob(act, { kind: 'other', title: 'Another', partId: null, milli: 1000, days: 9 });
      return service.finishOn();
    });
    expect(seen).toBe('2026-03-04');
    expect(service.finishOn()).toBe('2026-03-12');
    await service.close();
    expect(await app.context.db.read.finishRecord.count()).toBe(1);
  });

  it('tells when it cannot compute, and does not throw', async () => {
    const app = await startApp();
    const { service, faults } = serviceOf(app);
    const [a, b] = await Promise.all([aWork(app, 1), aWork(app, 1)]);
    // Two assemblies in one another: no act makes this, only a hand in the database.
    const parts = await asPerson(app, 'lead', async (act) => {
      const make = (number: string) =>
        act.tx.part.create({
          data: { number, numberKey: number, name: number, kind: 'assembly', createdAt: act.at },
        });
      const [one, two] = [await make('X1'), await make('X2')];
      await act.tx.use.create({ data: { parentId: one.id, childId: two.id, milli: 1000 } });
      await act.tx.use.create({ data: { parentId: two.id, childId: one.id, milli: 1000 } });
      await act.log({ kind: 'add-use', partId: one.id });
      return [one.id, two.id];
    });
    expect(parts).toHaveLength(2);
    expect(service.snapshot()).toMatchObject({
      schedule: null,
      trouble: expect.stringContaining('could not'),
    });
    expect(service.of(a)).toBeNull();
    expect(service.of(b)).toBeNull();
    expect(faults).toHaveLength(1);
    await service.close();
  });
});
