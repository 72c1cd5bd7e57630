import { describe, expect, it, vi } from 'vitest';
import type { Work, Workers } from '../../src/platform/workers.ts';
import { OutlookService, ScheduleService } from '../../src/schedule/index.ts';
import { type BuildModel, simulateBuild } from '../../src/schedule/simulate.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { anotherJob } from '../support/jobs.ts';

interface Asked {
  model: BuildModel;
  signal: AbortSignal | undefined;
  answer(): void;
}

/** Services on threads that answer when they are told to, and give up when the signal says so. */
function services({ context }: TestApp) {
  const { db, clock, changes } = context;
  const faults: unknown[] = [];
  const asked: Asked[] = [];
  const workers = {
    run: <T>({ input, signal }: Work) =>
      new Promise<T>((resolve, reject) => {
        const model = input as BuildModel;
        asked.push({ model, signal, answer: () => resolve(simulateBuild(model) as T) });
        signal?.addEventListener('abort', () => reject(signal.reason));
      }),
    close: async () => undefined,
  } as unknown as Workers;
  const report = (fault: unknown) => faults.push(fault);
  const schedules = new ScheduleService({ db, clock, changes, report });
  const outlooks = new OutlookService({ schedules, db, clock, changes, workers, report });
  const close = async () => {
    await outlooks.close();
    await schedules.close();
  };
  return { outlooks, schedules, asked, faults, close };
}

describe('OutlookService', () => {
  it('gives up what is being simulated when the build changes, and begins anew', async () => {
    const app = await startApp();
    await anotherJob(app, { days: 10 });
    const { outlooks, asked, faults, close } = services(app);
    expect(outlooks.now()).toEqual({ outlook: null, isCurrent: false });
    expect(asked).toHaveLength(1);
    outlooks.now();
    // asked again without a change, it is the same simulation
    expect(asked).toHaveLength(1);
    await anotherJob(app, { days: 40 });
    outlooks.now();
    expect(asked).toHaveLength(2);
    expect(asked[0]!.signal!.aborted).toBe(true);
    expect(asked[1]!.model.graph.count).toBe(2);
    asked[1]!.answer();
    await outlooks.settled();
    const { outlook, isCurrent } = outlooks.now();
    expect(isCurrent).toBe(true);
    expect(outlook!.schedule.network.nodes).toHaveLength(2);
    expect(faults).toEqual([]);
    await close();
  });

  it('tells the outlook before, as such, until the new one is there', async () => {
    const app = await startApp();
    await anotherJob(app, { days: 10 });
    const { outlooks, asked, close } = services(app);
    outlooks.now();
    asked[0]!.answer();
    await outlooks.settled();
    const before = outlooks.now().outlook;
    await anotherJob(app, { days: 40 });
    expect(outlooks.now()).toEqual({ outlook: before, isCurrent: false });
    // a page waits for so long and no longer
    expect(await outlooks.within(10)).toEqual({ outlook: before, isCurrent: false });
    asked.at(-1)!.answer();
    expect((await outlooks.within(5000)).isCurrent).toBe(true);
    await close();
  });

  it('begins nothing for who only asks what is known, and tells when an outlook is there, once', async () => {
    const app = await startApp();
    await anotherJob(app, { days: 10 });
    const { outlooks, asked, close } = services(app);
    let told = 0;
    const end = outlooks.listen(() => {
      told += 1;
    });
    expect(outlooks.known()).toEqual({ outlook: null, isCurrent: false });
    expect(asked).toHaveLength(0);
    outlooks.soon();
    outlooks.soon();
    await vi.waitFor(() => expect(asked).toHaveLength(1), { timeout: 3000 });
    expect(told).toBe(0);
    asked[0]!.answer();
    await outlooks.settled();
    expect(told).toBe(1);
    expect(outlooks.known().isCurrent).toBe(true);
    // looked at again without a change, nothing is begun and nothing told
    outlooks.soon();
    await outlooks.settled();
    await new Promise((resolve) => setTimeout(resolve, 500));
    expect([asked.length, told]).toEqual([1, 1]);
    end();
    await anotherJob(app, { days: 20 });
    outlooks.now();
    asked.at(-1)!.answer();
    await outlooks.settled();
    expect(told).toBe(1);
    await close();
  });

  it('stores the finish of the day, which is the same for the same build', async () => {
    const app = await startApp();
    await anotherJob(app, { days: 10 });
    const { outlooks, schedules, asked, close } = services(app);
    outlooks.now();
    asked[0]!.answer();
    await outlooks.settled();
    await schedules.settled();
    const { finish, schedule } = outlooks.now().outlook!;
    const row = await app.context.db.read.finishRecord.findUniqueOrThrow({
      where: { day: schedule.facts.today },
    });
    expect(row).toMatchObject({ at50On: finish!.at50, at80On: finish!.at80, at95On: finish!.at95 });
    expect(row.finishOn).toBe(schedule.finishOn);
    await close();
    const again = services(app);
    again.outlooks.now();
    again.asked[0]!.answer();
    await again.outlooks.settled();
    expect(again.outlooks.now().outlook!.finish).toEqual(finish);
    await again.close();
  });

  it('reports what goes wrong in a thread, and goes on', async () => {
    const app = await startApp();
    await anotherJob(app, { days: 10 });
    const { db, clock, changes } = app.context;
    const faults: unknown[] = [];
    const report = (fault: unknown) => faults.push(fault);
    const schedules = new ScheduleService({ db, clock, changes, report });
    const workers = {
      run: () => Promise.reject(new Error('the thread broke')),
      close: async () => undefined,
    } as unknown as Workers;
    const outlooks = new OutlookService({ schedules, db, clock, changes, workers, report });
    expect(await outlooks.within(1000)).toEqual({ outlook: null, isCurrent: false });
    expect(faults).toEqual([new Error('the thread broke')]);
    await outlooks.close();
    await schedules.close();
  });
});
