import { describe, expect, it } from 'vitest';
import { createJob } from '../../src/jobs/index.ts';
import { onlyTogether } from '../../src/schedule/finish-moved-together.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { aClaim, anOfferedJob, anotherJob } from '../support/jobs.ts';
import { anAssembly, aPart, asLead } from '../support/parts.ts';
import { said, services } from './finish-moved-services.ts';

const work = (app: TestApp, title: string, days: number) =>
  asLead(app, (act) => createJob(act, { kind: 'other', title, partId: null, milli: 1000, days }));
const week = { from: '2026-03-03', until: '2026-03-09' };

describe('what moves the finish only together', () => {
  const base = 30;
  /** Days by things: chains side by side, so that the longest counts. */
  const finishOf = (chains: readonly (readonly [string, number])[]) => (gone: readonly string[]) => {
    const days = Math.max(base, ...chains.flatMap(([name, length]) => (gone.includes(name) ? [] : length)));
    return `2026-05-${String(days - 29).padStart(2, '0')}`;
  };

  it('is as few things as move it by the same days', () => {
    const finish = finishOf([
      ['a', 40],
      ['b', 40],
      ['c', 33],
      ['d', 20],
    ]);
    expect(finish([])).toBe('2026-05-11');
    expect(onlyTogether(['a', 'b', 'd'], finish([]), finish)).toEqual({ of: ['a', 'b'], days: 7 });
    // Where c may be otherwise as well, it answers for the last three days.
    expect(onlyTogether(['d', 'c', 'b', 'a'], finish([]), finish)).toEqual({ of: ['c', 'b', 'a'], days: 10 });
    expect(onlyTogether(['a'], finish([]), finish)).toBeNull();
    expect(onlyTogether(['a', 'c', 'd'], finish([]), finish)).toBeNull();
    expect(onlyTogether(['a', 'b'], finish([]), () => null)).toBeNull();
  });

  it('is told in one line of both, and not as nothing', async () => {
    const app = await startApp();
    const { schedules, moved, close } = services(app);
    await anotherJob(app, { title: 'Sweep', days: 5 });
    schedules.snapshot();
    await schedules.settled();
    app.passDays(7);
    await work(app, 'Paint', 12);
    await work(app, 'Varnish', 12);
    const why = (await moved.now(week))!;
    expect(why.facts.map(({ days }) => days)).toEqual([11]);
    expect(said(why.facts)).toEqual([
      'Together, neither alone: Paint: job opened; and Varnish: job opened; 11 days later.',
    ]);
    expect(why.remarks[0]).toContain('what was done: 11 days later.');
    await close();
  });

  it('is told of two that stood still', async () => {
    const app = await startApp();
    const { schedules, moved, close } = services(app);
    const jobs = [];
    for (const name of ['Sun disc', 'Moon disc']) {
      jobs.push(await anOfferedJob(app, { quantity: 1, part: { name } }));
    }
    for (const { jobId } of jobs) {
      await aClaim(app, { jobId, soonestDays: 2, likelyDays: 3, latestDays: 4 });
    }
    for (const days of [14, 7]) {
      schedules.snapshot();
      await schedules.settled();
      app.passDays(days);
    }
    const why = (await moved.now(moved.lastSevenDays()!))!;
    expect(said(why.waits)).toEqual([
      expect.stringMatching(
        /^Together, neither alone: \w+ disc: no further than a week ago, with <3>; and \w+ disc: no further .* later\.$/,
      ),
    ]);
    expect(why.waits[0]!.days).toBeGreaterThanOrEqual(7);
    await close();
  });

  it('says of the first thing there ever was that nothing were left without it, not that it is structure', async () => {
    const app = await startApp();
    const { moved, close } = services(app);
    app.passDays(1);
    await work(app, 'Sweep', 5);
    const why = (await moved.now(week))!;
    expect(why.facts).toEqual([]);
    expect(why.remarks).toContain(
      '1 thing done in the week could not be tried: without it nothing would be left to do.',
    );
    expect(why.remarks.join(' ')).not.toContain('structure');
    await close();
  });
});

describe('an answer that is waited for', () => {
  it('is found out anew when an act makes it old meanwhile', async () => {
    const app = await startApp();
    const { moved, close } = services(app);
    await anotherJob(app, { title: 'Sweep', days: 5 });
    app.passDays(2);
    const bolts = await aPart(app, { name: 'Bolts', kind: 'bought', leadDays: 60 });
    await anAssembly(app, { name: 'Frame', children: [{ id: bolts.id, milli: 4000 }] });
    const waited = moved.now(week);
    await work(app, 'Paint', 90);
    // A page asks for the same week, and ends what is computed of the build as it was.
    expect(moved.of(week)).toEqual({ state: 'computing' });
    expect(said((await waited)!.facts).join()).toContain('Paint: job opened');
    await close();
  });

  it('is of its own week, where another ends on the same day', async () => {
    const app = await startApp();
    const { schedules, moved, close } = services(app);
    await anotherJob(app, { title: 'Sweep', days: 5 });
    schedules.snapshot();
    await schedules.settled();
    app.passDays(2);
    await work(app, 'Paint', 30);
    app.passDays(5);
    const [long, short] = [
      (await moved.now(week))!,
      (await moved.now({ from: '2026-03-06', until: '2026-03-09' }))!,
    ];
    expect(said(long.facts).join()).toContain('Paint: job opened');
    expect(short.facts).toEqual([]);
    await close();
  });
});
