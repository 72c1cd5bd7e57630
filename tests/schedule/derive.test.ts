import { describe, expect, it } from 'vitest';
import { scheduleOf } from '../../src/schedule/schedule.ts';
import { claim, facts, frame, type Given, job, keys, need, part, step } from './derive-facts.ts';

describe('deriveNetwork: parts', () => {
  it('takes a made part without a job through all its steps, up to the fit-up of its assembly', () => {
    const schedule = scheduleOf(facts({ parts: [frame, part(2, { name: 'Post' })], uses: [[1, 2, 4]] }));
    expect(schedule.network.nodes.map(({ key }) => key)).toEqual([
      'part-2-design',
      'part-2-release',
      'part-2-find',
      'part-2-make',
      'part-2-post',
      'part-2-inspect',
      'part-2-ready',
      'part-1-fit-up',
      'part-1-ready',
    ]);
    // 4 h at 10 h a week: 2 working days, Mon 2 to Tue 3 March; release Wed 4; 7 + 14 + 7 days from Thursday 5
    expect(step(schedule, 'part-2-design')).toMatchObject({
      earlyStart: '2026-03-02',
      earlyEnd: '2026-03-03',
    });
    expect(step(schedule, 'part-2-release')).toMatchObject({ earlyEnd: '2026-03-04' });
    expect(step(schedule, 'part-2-find')).toMatchObject({ earlyStart: '2026-03-05', earlyEnd: '2026-03-12' });
    expect(step(schedule, 'part-2-make')).toMatchObject({
      earlyEnd: '2026-03-26',
      label: 'Make Post, 4 pieces',
    });
    expect(step(schedule, 'part-2-post')).toMatchObject({ earlyEnd: '2026-04-02' });
    expect(step(schedule, 'part-2-inspect')).toMatchObject({ earlyEnd: '2026-04-02' });
    expect(step(schedule, 'part-1-fit-up')).toMatchObject({ earlyStart: '2026-04-03', critical: true });
    expect(schedule.finishOn).toBe('2026-04-03');
  });

  it('leaves out what is done: the design of a drawn part, the release of a released one', () => {
    const given: Given = { parts: [frame, part(2)], uses: [[1, 2, 1]] };
    expect(
      keys({
        ...given,
        revisions: [{ id: 1, partId: 2, letter: 'A', state: 'draft', processId: null, drawn: true }],
      })[0],
    ).toBe('part-2-release');
    expect(
      keys({
        ...given,
        revisions: [{ id: 1, partId: 2, letter: 'A', state: 'draft', processId: null, drawn: false }],
      })[0],
    ).toBe('part-2-design');
    expect(keys({ ...given, released: [2] })[0]).toBe('part-2-find');
  });

  it('orders what is bought and not on the shelf, and needs nothing of what is', () => {
    const bearing = part(2, { kind: 'bought', leadDays: 10, name: 'Bearing' });
    const given: Given = { parts: [frame, bearing], uses: [[1, 2, 4]] };
    expect(keys(given)).toEqual([
      'part-2-delivery',
      'part-2-inspect',
      'part-2-order',
      'part-2-ready',
      'part-1-fit-up',
      'part-1-ready',
    ]);
    const schedule = scheduleOf(facts(given));
    expect(step(schedule, 'part-2-order')).toMatchObject({ earlyEnd: '2026-03-03' });
    expect(step(schedule, 'part-2-delivery')).toMatchObject({
      earlyEnd: '2026-03-14',
      because: 'lead time 10 days',
    });
    expect(step(schedule, 'part-2-inspect')).toMatchObject({ earlyStart: '2026-03-16' });
    expect(keys({ ...given, parts: [frame, { ...bearing, shelfMilli: 4000 }] })).toEqual([
      'part-1-fit-up',
      'part-1-ready',
    ]);
    const short = { ...given, parts: [frame, { ...bearing, shelfMilli: 3000 }] };
    expect(step(scheduleOf(facts(short)), 'part-2-order').label).toBe('Order Bearing');
    expect(need(short, 2)).toMatchObject({ required: 4000, toGo: 1000, uncovered: 1000 });
  });

  it('does not need a part that is in nothing, unless there is a job for it', () => {
    expect(keys({ parts: [part(7)] })).toEqual([]);
    expect(
      keys({
        parts: [part(7)],
        released: [7],
        jobs: [job(3, { partId: 7, offeredAt: '2026-03-02T08:00:00Z' })],
      }),
    ).toEqual(['job-3-find', 'job-3-make', 'job-3-post', 'job-3-inspect', 'part-7-ready']);
  });

  it('lets a part made here wait for the stock it is made of', () => {
    const schedule = scheduleOf(
      facts({
        parts: [part(1, { makeDays: 3 }), part(2, { kind: 'stock', leadDays: 60 })],
        uses: [[1, 2, 1]],
        released: [1],
      }),
    );
    const make = step(schedule, 'part-1-make');
    expect(make.earlyStart > step(schedule, 'part-2-delivery').earlyEnd).toBe(true);
    expect(make).toMatchObject({ durationDays: 3, working: true });
    expect(step(schedule, 'part-1-find').floatDays).toBeGreaterThan(20);
  });
});

describe('needsOf', () => {
  const given: Given = {
    parts: [part(1, { kind: 'assembly' }), part(2, { kind: 'assembly' }), part(3)],
    uses: [
      [1, 2, 2],
      [2, 3, 3],
    ],
    released: [3],
  };
  const accepted = (milli: number) =>
    job(5, {
      partId: 3,
      milli,
      offeredAt: '2026-02-01T08:00:00Z',
      claims: [claim(1, { milli, doneMilli: milli, arrivedMilli: milli, acceptedMilli: milli })],
    });
  const fitted = job(6, { kind: 'fit-up', partId: 2, milli: 1000, finishedAt: '2026-02-20T08:00:00Z' });

  it('follows the structure: two frames of three posts', () => {
    expect(need(given, 3)).toEqual({ required: 6000, toGo: 6000, uncovered: 6000, takesChildren: 6000 });
    expect(need({ ...given, jobs: [accepted(4000)] }, 3)).toMatchObject({ toGo: 2000, uncovered: 2000 });
  });

  it('counts a unit fitted into a finished assembly once, wherever it came from', () => {
    expect(need({ ...given, jobs: [accepted(4000), fitted] }, 3)).toMatchObject({ toGo: 2000 });
    expect(need({ ...given, jobs: [fitted] }, 3)).toMatchObject({ toGo: 3000 });
    expect(need({ ...given, jobs: [fitted] }, 2)).toMatchObject({ required: 2000, toGo: 1000 });
  });

  it('asks for no children of an assembly that is finished as a whole', () => {
    const done = [{ ...fitted, milli: 2000 }];
    expect(need({ ...given, jobs: done }, 3).toGo).toBe(0);
    expect(keys({ ...given, jobs: done })).toEqual(['part-1-fit-up', 'part-1-ready']);
  });

  it('takes open jobs as answering for the rest, and what was undone as missing again', () => {
    const open = job(7, { partId: 3, milli: 5000, offeredAt: '2026-02-01T08:00:00Z' });
    expect(need({ ...given, jobs: [open] }, 3)).toMatchObject({ toGo: 6000, uncovered: 1000 });
    expect(need({ ...given, jobs: [{ ...open, droppedAt: '2026-02-02T08:00:00Z' }] }, 3).uncovered).toBe(
      6000,
    );
    expect(need({ ...given, jobs: [accepted(6000)], undone: [[3, 2000]] }, 3).uncovered).toBe(2000);
  });

  it('counts what a maker has claimed as made of their own material', () => {
    const jobs = [
      job(7, {
        partId: 3,
        milli: 6000,
        offeredAt: '2026-02-01T08:00:00Z',
        claims: [claim(1, { milli: 4000 })],
      }),
    ];
    expect(need({ ...given, jobs }, 3)).toMatchObject({ toGo: 6000, uncovered: 0, takesChildren: 2000 });
  });
});
