import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { calendarPass } from '../../src/schedule/calendar-pass.ts';
import { finishIfMissed } from '../../src/schedule/gathering-missed.ts';
import { type GatheringWork, gatheringWork } from '../../src/schedule/gathering-work.ts';
import { scheduleOf, timesOf } from '../../src/schedule/schedule.ts';
import { claim, facts, type Given, job, part } from './derive-facts.ts';
import { anyBuild } from './levelled-any.ts';

const work = (given: Given, id = 1, dayHours = 8): GatheringWork =>
  gatheringWork(scheduleOf(facts(given)), id, dayHours)!;
const keysOf = ({ schedule, tasks }: GatheringWork) =>
  tasks.map(({ step }) => schedule.network.nodes[step]!.key).sort();
const task = ({ schedule, tasks }: GatheringWork, key: string) =>
  tasks.find(({ step }) => schedule.network.nodes[step]!.key === key)!;

/** A machine of a frame and a drum; the drum takes a shaft that is claimed, the frame a plate that is here. */
const machine = (over: Partial<Given> = {}): Given => ({
  parts: [
    part(1, { kind: 'assembly', name: 'Machine' }),
    part(2, { kind: 'assembly', name: 'Frame' }),
    part(3, { kind: 'assembly', name: 'Drum' }),
    part(4, { name: 'Plate', shelfMilli: 1000 }),
    part(5, { name: 'Shaft' }),
  ],
  uses: [
    [1, 2, 1],
    [1, 3, 1],
    [2, 4, 1],
    [3, 5, 1],
  ],
  released: [4, 5],
  gatherings: [
    [1, '2026-03-28', '2026-03-29'],
    [2, '2026-06-06', '2026-06-07'],
  ],
  jobs: [
    job(1, { partId: 5, offeredAt: 'x', claims: [claim(1)] }),
    job(2, { kind: 'fit-up', partId: 3, gatheringId: 1, hours: 3 }),
    job(3, { kind: 'fit-up', partId: 1, days: 1 }),
  ],
  ...over,
});

describe('gatheringWork', () => {
  it('has what is kept and what can be fitted by then, in order, with what must come', () => {
    const found = work(machine());
    // the frame is fitted before by the plan; the machine waits for the drum, which is kept
    expect(keysOf(found)).toEqual(['job-2-fit-up', 'job-3-fit-up']);
    const drum = task(found, 'job-2-fit-up');
    expect(drum).toMatchObject({ isKept: true, hours: 3, spot: 'TB-0003 Drum' });
    expect(task(found, 'job-3-fit-up').after).toEqual([{ step: drum.step, lagDays: 0, fromStart: false }]);
    expect(task(found, 'job-3-fit-up')).toMatchObject({ hours: 8, isKept: false });
    const [shaft] = drum.supplies.map((step) => found.supplies.get(step)!);
    expect(shaft).toMatchObject({ kind: 'with a maker', makerId: 3, claimId: 1, milli: 1000 });
    expect(shaft!.expected).toBeLessThan(found.from);
    const [frame] = task(found, 'job-3-fit-up').supplies.map((step) => found.supplies.get(step)!);
    expect(frame).toMatchObject({ kind: 'work', partId: 2 });
  });

  it('brings the inspection along of what comes too late to be inspected before', () => {
    const late = machine({
      jobs: machine().jobs!.map((one) =>
        one.id === 1
          ? { ...one, claims: [claim(1, { likelyDays: 20, soonestDays: 20, latestDays: 20 })] }
          : one,
      ),
    });
    const found = work(late);
    expect(keysOf(found)).toContain('claim-1-inspect');
    const inspect = task(found, 'claim-1-inspect');
    expect(inspect).toMatchObject({ kind: 'inspect', personId: null, spot: null, hours: 0.5, isKept: false });
    expect(task(found, 'job-2-fit-up').after.map(({ step }) => step)).toEqual([inspect.step]);
    expect(task(found, 'job-2-fit-up').supplies).toEqual([]);
    // what is long here asks for no inspection
    expect(keysOf(work(machine()))).not.toContain('claim-1-inspect');
  });

  it('leaves out what is kept for another gathering, and what comes after the last day unless it is kept', () => {
    const kept = (gatheringId: number) =>
      work(
        machine({
          jobs: [
            job(1, {
              partId: 5,
              offeredAt: 'x',
              claims: [claim(1, { likelyDays: 60, soonestDays: 60, latestDays: 60 })],
            }),
            job(2, { kind: 'fit-up', partId: 3, gatheringId }),
          ],
        }),
      );
    expect(keysOf(kept(1))).toEqual(['job-2-fit-up']);
    expect(keysOf(kept(2))).toEqual([]);
  });

  it('says of a kept job that is bought that nothing of it is done there', () => {
    const found = work({ ...machine(), jobs: [job(9, { kind: 'purchase', partId: 4, gatheringId: 1 })] });
    expect(found.elsewhere.map(({ jobId }) => jobId)).toEqual([9]);
  });

  it('counts days that are said as days there, and of begun work what is left', () => {
    const hours = (over: object, dayHours = 6) =>
      task(
        work(machine({ jobs: [job(2, { kind: 'other', gatheringId: 1, ...over })] }), 1, dayHours),
        'job-2',
      );
    expect(hours({ days: 2 })).toMatchObject({ hours: 12, hoursBecause: 'job 2 says 2 days: 12 h there' });
    expect(hours({ hours: 5, days: 2 }).hours).toBe(5);
    expect(hours({})).toMatchObject({ hours: 2, hoursBecause: 'nobody estimated it: usually 2 h' });
    const begun = hours({ days: 10, startedAt: '2026-02-27T08:00:00.000Z' });
    expect(begun.hours).toBeLessThan(60);
    expect(begun.hoursBecause).toMatch(/begun, \d+ in 100 left/);
  });

  it('is nothing for a gathering that is over, not there, or very far', () => {
    const schedule = scheduleOf(
      facts({
        gatherings: [
          [1, '2026-02-01', '2026-02-02'],
          [2, '2028-02-01', '2028-02-02'],
        ],
      }),
    );
    expect([1, 2, 3].map((id) => gatheringWork(schedule, id, 8))).toEqual([null, null, null]);
  });

  it('begins today where it is under way', () => {
    const found = work({
      gatherings: [[1, '2026-02-28', '2026-03-03']],
      jobs: [job(2, { kind: 'other', gatheringId: 1 })],
    });
    expect([found.from, found.until]).toEqual([0, 2]);
  });
});

describe('finishIfMissed', () => {
  it('moves kept work to the next gathering, and the finish with it', () => {
    const found = work(machine());
    const { supplies } = task(found, 'job-2-fit-up');
    const { days, finishOn } = finishIfMissed(found, supplies[0]!);
    // fitted on the first day of the next, 6 June, a Saturday; the machine on the Monday after
    expect(finishOn).toBe('2026-06-08');
    expect(days).toBe(70);
    expect(found.schedule.finishOn).toBe('2026-03-30');
  });

  it('costs nothing where there is room, or where it was expected after it anyway', () => {
    const roomy = work(machine({ jobs: [...machine().jobs!, job(7, { kind: 'other', days: 300 })] }));
    expect(finishIfMissed(roomy, task(roomy, 'job-2-fit-up').supplies[0]!).days).toBe(0);
    const slow = claim(1, { likelyDays: 60, soonestDays: 60, latestDays: 60 });
    const late = work(
      machine({ jobs: machine().jobs!.map((one) => (one.id === 1 ? { ...one, claims: [slow] } : one)) }),
    );
    expect(finishIfMissed(late, task(late, 'job-2-fit-up').supplies[0]!).days).toBe(0);
  });

  it('moves the finish as a pass through the whole network would', () => {
    let moved = 0;
    fc.assert(
      fc.property(anyBuild, fc.constantFrom(1, 2, 3), (build, id) => {
        const schedule = scheduleOf(build);
        const found = gatheringWork(schedule, id, 8);
        for (const supply of found?.supplies.keys() ?? []) {
          const times = timesOf(schedule.network.nodes);
          const { earlyStarts, earlyEnds, finish } = schedule.dates;
          if (earlyEnds[supply]! < found!.until) {
            times.calendars[supply] = -1;
            times.durations[supply] = found!.until - earlyStarts[supply]!;
          }
          const slow = calendarPass(schedule.graph, times, schedule.network.calendars).finish;
          expect(finishIfMissed(found!, supply).days).toBe(Math.max(0, slow - finish));
          if (slow > finish) moved += 1;
        }
      }),
      { numRuns: 500, seed: 5 },
    );
    expect(moved).toBeGreaterThan(10);
  });

  it('changes nothing of the schedule it is asked of', () => {
    const found = work(machine());
    const before = JSON.stringify([
      found.schedule.dates,
      found.schedule.network.nodes.map(({ notBefore }) => notBefore),
    ]);
    finishIfMissed(found, task(found, 'job-2-fit-up').supplies[0]!);
    expect(
      JSON.stringify([found.schedule.dates, found.schedule.network.nodes.map(({ notBefore }) => notBefore)]),
    ).toBe(before);
  });
});
