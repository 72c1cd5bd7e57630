import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { redesignAt80 } from '../../src/schedule/redesign-chance.ts';
import { redesignCost } from '../../src/schedule/redesign-cost.ts';
import { withRedesign } from '../../src/schedule/redesign-facts.ts';
import { scheduleOf } from '../../src/schedule/schedule.ts';
import { type BuildModel, simulateBuild } from '../../src/schedule/simulate.ts';
import { claim, facts, frame, type Given, job, part } from './derive-facts.ts';

const posts = part(2, { name: 'Post' });

/** A frame of four posts; what is made of them is said by the test. */
const build = (jobs: Given['jobs'], more: Partial<Given> = {}): Given => ({
  parts: [frame, posts],
  uses: [[1, 2, 4]],
  released: [2],
  jobs,
  ...more,
});

// Never offered, so that nothing is learnt of how long makers are looked for.
const accepted = job(7, {
  partId: 2,
  revisionId: 2,
  milli: 4000,
  claims: [
    claim(70, {
      jobId: 7,
      revisionId: 2,
      milli: 4000,
      doneMilli: 4000,
      arrivedMilli: 4000,
      acceptedMilli: 4000,
    }),
  ],
});
const open = job(7, { partId: 2, revisionId: 2, milli: 4000, offeredAt: '2026-03-02T08:00:00.000Z' });
const fitted = job(8, { kind: 'fit-up', partId: 1, finishedAt: '2026-02-25T08:00:00.000Z' });
const drawn = [{ id: 20, partId: 2, letter: 'B', state: 'draft' as const, processId: null, drawn: true }];

const wish = { partIds: [2], hours: null, claims: 0, lots: 0 };
const cost = (given: Given, over: Partial<Parameters<typeof redesignCost>[1]> = {}) =>
  redesignCost(scheduleOf(facts(given)), { ...wish, ...over });

describe('redesignCost', () => {
  it('is nothing where no part is touched', () => {
    for (const given of [build([accepted]), build([open]), build([accepted, fitted]), build([])]) {
      const { best, worst, finishOn } = cost(given, { partIds: [] });
      for (const one of [best, worst]) {
        expect(one).toMatchObject({ days: 0, leadHours: 0, anew: [], refits: [], steps: [], readyOn: null });
        expect(one.finishOn).toBe(finishOn);
      }
    }
  });

  // By hand, with the stated defaults: drawing Mon 2 and Tue 3 March (4 h at 10 h a week are two days), release on the
  // 4th, a maker found in 7 days by the 12th, made in 14 by the 26th, 7 in the post to 2 April, inspected on that day,
  // fitted on Fri 3 April; without it the frame would be fitted today.
  it('is the whole way of new pieces where what is accepted can not be used, and the drawing alone where it can', () => {
    const { finishOn, best, worst, undrawn } = cost(build([accepted]), { lots: 1 });
    expect(finishOn).toBe('2026-03-02');
    expect(undrawn).toEqual([2]);
    // The drawing itself is work that is left, until the 4th.
    expect(best).toMatchObject({ days: 2, finishOn: '2026-03-04', anew: [], refits: [] });
    expect(worst).toMatchObject({
      days: 32,
      finishOn: '2026-04-03',
      readyOn: '2026-04-03',
      slackDays: 0,
      anew: [{ partId: 2, milli: 4000 }],
      refits: [],
    });
    expect(worst.steps.map(({ kind, durationDays }) => [kind, durationDays])).toEqual([
      ['design', 2],
      ['release', 1],
      ['find', 7],
      ['make', 14],
      ['post', 7],
      ['inspect', 1],
    ]);
    // 4 h to draw, 1 to release, half an hour to decide; in the worst half an hour each to offer and to inspect.
    expect([best.leadHours, worst.leadHours]).toEqual([5.5, 6.5]);
  });

  it('takes no time to draw what is drawn', () => {
    const { worst, best, undrawn } = cost(build([accepted], { revisions: drawn }));
    expect(undrawn).toEqual([]);
    // Two working days less, both in the week: released on the 2nd, ten days to the 1st of April, a Wednesday.
    expect(worst).toMatchObject({ finishOn: '2026-04-01', days: 30 });
    expect(worst.steps[0]).toMatchObject({ kind: 'release' });
    expect(best.leadHours).toBe(1);
  });

  it('goes by the lead’s own estimate of the hours', () => {
    const { worst } = cost(build([accepted]), { hours: 20 });
    // 20 h at 10 h a week are two weeks at the drawing instead of two days: ten working days.
    expect(worst.steps[0]).toMatchObject({ kind: 'design', durationDays: 10 });
    expect(worst.hours[0]).toMatchObject({
      hours: 20,
      because: 'by the lead’s own estimate of 20 h for all of them',
    });
    const free = cost(build([accepted]), { hours: 0 });
    expect(free.worst.steps[0]).toMatchObject({ kind: 'release' });
  });

  it('releases none of its parts before the last is drawn', () => {
    const plate = part(3, { name: 'Plate' });
    const two: Given = {
      parts: [frame, posts, plate],
      uses: [
        [1, 2, 4],
        [1, 3, 1],
      ],
      released: [2, 3],
      jobs: [accepted],
    };
    const starts = (given: Given, partIds: number[]) =>
      cost(given, { partIds }).worst.steps.find(({ kind }) => kind === 'release')?.earlyStart;
    // 4 h each at 10 h in five days: two working days for one, four for both, from Monday.
    expect(starts(two, [2])).toBe('2026-03-04');
    expect(starts(two, [2, 3])).toBe('2026-03-06');
    // What is drawn already waits for the other.
    expect(starts({ ...two, revisions: drawn }, [2, 3])).toBe('2026-03-04');
    expect(starts({ ...two, revisions: drawn }, [2])).toBe('2026-03-02');
  });

  it('holds back in both what nobody has claimed', () => {
    const { finishOn, best, worst } = cost(build([open]));
    // Found by 9 March, made by 23, posted by 30, inspected that day, fitted on the 31st.
    expect(finishOn).toBe('2026-03-31');
    expect(best).toMatchObject({ finishOn: '2026-04-03', days: 3 });
    expect(worst).toMatchObject({ finishOn: '2026-04-03', days: 3, anew: [] });
  });

  it('fits finished assemblies again in the worst', () => {
    const given = build([accepted, fitted]);
    expect(scheduleOf(facts(given)).finishOn).toBeNull();
    const { finishOn, best, worst } = cost(given);
    expect(finishOn).toBeNull();
    // Today is Monday: the drawing is made and released by Wednesday, though nothing is made to it.
    expect(best).toMatchObject({ days: 2, refits: [] });
    expect(worst).toMatchObject({ days: 32, finishOn: '2026-04-03', refits: [{ partId: 1, milli: 1000 }] });
    expect(worst.hours.at(-1)).toMatchObject({ label: 'Fit 1 assembly again', hours: 4 });
  });

  it('tells how late the new pieces may be where something else holds the machine up', () => {
    const late = job(9, { kind: 'fit-up', partId: 1, milli: 1000 });
    const given = build([accepted, late, job(10, { kind: 'other', days: 60 })], {
      links: [{ fromId: 10, toId: 9, type: 'FS', lag: 0 }],
    });
    const { worst } = cost(given);
    expect(worst.days).toBe(0);
    expect(worst.slackDays).toBeGreaterThan(20);
    expect(worst.finishOn).toBe(scheduleOf(facts(given)).finishOn);
  });

  it('buys bought parts anew, and makes no more than the machine needs', () => {
    const given: Given = {
      parts: [frame, part(3, { kind: 'bought', shelfMilli: 100_000, name: 'Screw' })],
      uses: [[1, 3, 8]],
    };
    const { worst } = cost(given, { partIds: [3] });
    expect(worst.anew).toEqual([{ partId: 3, milli: 8000 }]);
    expect(worst.steps.map(({ kind }) => kind)).toEqual(['design', 'order', 'delivery', 'inspect']);
  });

  it('leaves the facts it is given as they are', () => {
    const given = facts(build([accepted, open]));
    const before = structuredClone(given);
    withRedesign(given, { partIds: [2], hours: 3 }, 'remade');
    expect(given).toEqual(before);
  });

  const anyBuild = fc
    .record({
      kinds: fc.array(fc.constantFrom('assembly' as const, 'made' as const, 'bought' as const), {
        minLength: 1,
        maxLength: 7,
      }),
      picks: fc.array(fc.tuple(fc.nat(), fc.nat(), fc.integer({ min: 1, max: 4 })), { maxLength: 10 }),
      jobs: fc.array(
        fc.record({
          kind: fc.constantFrom(
            'design' as const,
            'fabricate' as const,
            'purchase' as const,
            'fit-up' as const,
          ),
          on: fc.nat(6),
          pieces: fc.integer({ min: 1, max: 6 }),
          claimed: fc.nat(6),
          accepted: fc.nat(6),
          ago: fc.integer({ min: 0, max: 90 }),
          over: fc.boolean(),
        }),
        { maxLength: 8 },
      ),
      drawn: fc.array(fc.nat(6), { maxLength: 3 }),
    })
    .map(({ kinds, picks, jobs, drawn: sketched }): Given & { count: number } => ({
      count: kinds.length,
      parts: kinds.map((kind, at) => part(at + 1, { kind, shelfMilli: at === 2 ? 3000 : 0 })),
      uses: picks.flatMap(([a, b, n]): [number, number, number][] => {
        const [low, high] = [a % kinds.length, b % kinds.length].sort((x, y) => x - y) as [number, number];
        return low === high ? [] : [[low + 1, high + 1, n]];
      }),
      released: kinds.flatMap((kind, at) => (kind === 'made' && at % 2 === 0 ? [at + 1] : [])),
      revisions: [...new Set(sketched)].flatMap((at) =>
        kinds[at] === 'made'
          ? [
              {
                id: 100 + at,
                partId: at + 1,
                letter: 'B',
                state: 'draft' as const,
                processId: null,
                drawn: true,
              },
            ]
          : [],
      ),
      jobs: jobs.map(({ kind, on, pieces, claimed, accepted: taken, ago, over }, at) => {
        const moment = new Date(Date.UTC(2026, 2, 2 - ago, 8)).toISOString();
        const done = Math.min(claimed, pieces, taken) * 1000;
        const isMade = kind === 'fabricate';
        return job(at + 1, {
          kind,
          partId: (on % kinds.length) + 1,
          milli: pieces * 1000,
          offeredAt: isMade && at % 2 ? moment : null,
          startedAt: !isMade && ago % 2 ? moment : null,
          finishedAt: !isMade && over ? moment : null,
          createdAt: moment,
          claims:
            isMade && claimed > 0
              ? [
                  claim(at + 50, {
                    jobId: at + 1,
                    milli: Math.min(claimed, pieces) * 1000,
                    doneMilli: done,
                    arrivedMilli: done,
                    acceptedMilli: done,
                    claimedAt: moment,
                  }),
                ]
              : [],
        });
      }),
    }));

  it('never costs less than nothing, nor less in the worst than in the best, whatever the build', () => {
    fc.assert(
      fc.property(anyBuild, fc.uniqueArray(fc.nat(6)), fc.option(fc.nat(80)), (given, picks, hours) => {
        const partIds = picks.filter((at) => at < given.count).map((at) => at + 1);
        const schedule = scheduleOf(facts(given));
        const { best, worst } = redesignCost(schedule, { partIds, hours, claims: 1, lots: 1 });
        expect(best.days).toBeGreaterThanOrEqual(0);
        expect(worst.days).toBeGreaterThanOrEqual(best.days);
        expect(worst.leadHours).toBeGreaterThanOrEqual(best.leadHours);
        if (partIds.length === 0) expect(worst.days).toBe(0);
        for (const { partId, milli } of worst.anew) {
          expect(milli).toBeLessThanOrEqual(schedule.facts.required.get(partId) ?? 0);
        }
      }),
      { numRuns: 300 },
    );
  });

  it('costs no less when one more part is touched', () => {
    fc.assert(
      fc.property(anyBuild, fc.nat(6), fc.nat(6), (given, one, other) => {
        const ids = [one, other].map((at) => (at % given.count) + 1);
        if (ids[0] === ids[1]) return;
        const schedule = scheduleOf(facts(given));
        const of = (partIds: number[]) =>
          redesignCost(schedule, { partIds, hours: null, claims: 0, lots: 0 });
        expect(of(ids).worst.days).toBeGreaterThanOrEqual(of([ids[0]!]).worst.days);
      }),
      { numRuns: 200 },
    );
  });
});

describe('redesignAt80', () => {
  const outlooks = {
    simulate: async (models: readonly BuildModel[]) => models.map((model) => simulateBuild(model)),
  };
  const at80 = (given: Given, partIds: number[]) =>
    redesignAt80(outlooks, scheduleOf(facts(given)), { partIds, hours: null });

  it('is nothing without a part, on the same luck, and null when nothing is left to do', async () => {
    const none = await at80(build([open]), []);
    expect(none).toMatchObject({ best: { days: 0 }, worst: { days: 0 } });
    expect(none!.best.finishOn).toBe(none!.finishOn);
    expect(await at80(build([accepted, fitted]), [2])).toBeNull();
  });

  it('is later than what is likely, for what has a spread', async () => {
    const given = build([accepted]);
    const found = (await at80(given, [2]))!;
    const likely = cost(given).worst;
    expect(found.worst.days).toBeGreaterThan(likely.days);
    expect(found.worst.days).toBeGreaterThan(found.best.days);
    expect(found.runs).toBeGreaterThanOrEqual(600);
  });
});
