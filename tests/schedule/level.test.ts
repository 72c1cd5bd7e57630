import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { level } from '../../src/schedule/level.ts';
import type { LevelRequest } from '../../src/schedule/level-request.ts';
import { anyProject } from './level-any.ts';
import { finishByLatestFinish, leastFinish, scheduleFaults } from './level-checker.ts';
import { readInstance } from './level-instance.ts';

const crane = (activities: LevelRequest['activities']): LevelRequest => ({
  resources: [{ id: 'crane', capacity: 1 }],
  activities,
});
const lift = { crane: 1 };

describe('level', () => {
  it('does one after the other what one crane cannot do at once', () => {
    const reply = level(
      crane([
        { id: 'a', duration: 2, demands: lift },
        { id: 'b', duration: 2, demands: lift },
      ]),
      { schedules: 100 },
    );
    expect(reply.finish).toBe(4);
    expect(reply.longestPath).toBe(2);
    expect(reply.starts.map(({ start }) => start).sort()).toEqual([0, 2]);
    expect(reply.schedulesTried).toBeLessThan(10); // the bound is met at once
  });

  it('starts all as early as it may where nothing is scarce', () => {
    const activities = [
      { id: 'last', duration: 1, predecessors: ['sign', 'a'] },
      { id: 'a', duration: 3 },
      { id: 'sign', duration: 0, predecessors: ['a'] },
    ];
    const starts = [
      { id: 'last', start: 3 },
      { id: 'a', start: 0 },
      { id: 'sign', start: 3 },
    ];
    const none = level({ resources: [], activities }, { schedules: 100 });
    expect(none).toEqual({ finish: 4, longestPath: 4, starts, schedulesTried: 1 });
    const unused = level(crane(activities), { schedules: 100 });
    expect(unused).toEqual(none);
  });

  it('takes nothing at all, a milestone alone, a milestone with a demand, a resource of 0 units', () => {
    expect(level({ resources: [], activities: [] }, { schedules: 5 })).toEqual({
      finish: 0,
      longestPath: 0,
      starts: [],
      schedulesTried: 1,
    });
    const request: LevelRequest = {
      resources: [
        { id: 'none', capacity: 0 },
        { id: 'crane', capacity: 1 },
      ],
      activities: [
        { id: 'm', duration: 0, demands: { crane: 1, none: 0 } },
        { id: 'a', duration: 1, demands: { crane: 1 } },
      ],
    };
    const reply = level(request, { schedules: 5 });
    expect(scheduleFaults(request, reply)).toEqual([]);
    expect(reply.finish).toBe(1);
  });

  it('keeps every rule, is no worse than the plain rule and the same twice, whatever the project', () => {
    fc.assert(
      fc.property(anyProject({ activities: 14, resources: 6, days: 7 }), fc.nat(99), (request, seed) => {
        const reply = level({ ...request, seed }, { schedules: 60 });
        expect(scheduleFaults(request, reply)).toEqual([]);
        expect(reply.finish).toBeLessThanOrEqual(finishByLatestFinish(request));
        for (const { id, capacity } of request.resources) {
          const held = request.activities.reduce(
            (sum, { duration, demands }) => sum + duration * (demands?.[id] ?? 0),
            0,
          );
          if (capacity > 0) expect(reply.finish).toBeGreaterThanOrEqual(held / capacity);
        }
        expect(level({ ...request, seed }, { schedules: 60 })).toEqual(reply);
      }),
      { numRuns: 100 },
    );
  });

  it('finds the least finish of small projects, and never one below it', () => {
    fc.assert(
      fc.property(anyProject({ activities: 6, resources: 2, days: 4 }), (request) => {
        expect(level(request, { schedules: 2_000 }).finish).toBe(leastFinish(request));
      }),
      { numRuns: 60, seed: 20_261_125 },
    );
  });

  it.each([
    ['j301_1', 5_000, 0],
    ['j3029_5', 10_000, 0.04],
    ['j605_7', 8_000, 0.05],
    ['j1202_8', 6_000, 0.03],
  ])('schedules %s within what is known of it', (name, schedules, mostGap) => {
    const { request, longestPath, best, optimal } = readInstance(name);
    const reply = level(request, { schedules });
    expect(scheduleFaults(request, reply)).toEqual([]);
    expect(reply.longestPath).toBe(longestPath);
    expect(optimal).toBe(true);
    expect(reply.finish).toBeGreaterThanOrEqual(best);
    expect((reply.finish - best) / best).toBeLessThanOrEqual(mostGap);
    expect(reply.finish).toBeLessThan(finishByLatestFinish(request));
  });

  it('ends when the clock has gone on for the seconds asked for', () => {
    const { request } = readInstance('j3029_5');
    let milliseconds = 5_000;
    const now = () => {
      milliseconds += 10;
      return milliseconds;
    };
    const short = level({ ...request, seconds: 0.1 }, { now });
    expect(milliseconds - 5_000).toBeGreaterThanOrEqual(100);
    expect(milliseconds - 5_000).toBeLessThan(200);
    const long = level(request, { now });
    expect(scheduleFaults(request, long)).toEqual([]);
    expect(long.schedulesTried).toBeGreaterThan(2 * short.schedulesTried);
  });

  it('looks elsewhere with another seed', () => {
    const { request } = readInstance('j3029_5');
    const starts = [1, 2].map((seed) => level({ ...request, seed }, { schedules: 400 }).starts);
    expect(starts[0]).not.toEqual(starts[1]);
  });

  it('lays out 2,000 activities on resources that one number cannot hold', () => {
    const request: LevelRequest = {
      resources: Array.from({ length: 5 }, (_, k) => ({ id: `r${k}`, capacity: 90 + k })),
      activities: Array.from({ length: 2_000 }, (_, i) => ({
        id: `a${i}`,
        duration: 1 + ((i * 7) % 12),
        demands: { [`r${i % 5}`]: 1 + ((i * 13) % 9), [`r${(i * 3 + 1) % 5}`]: 1 + (i % 4) },
        predecessors: i < 50 ? [] : [`a${i - 50 + ((i * 11) % 40)}`],
      })),
    };
    expect(scheduleFaults(request, level(request, { schedules: 6 }))).toEqual([]);
  });
});

it('the checker sees each kind of fault', () => {
  const request = crane([
    { id: 'a', duration: 2, demands: lift },
    { id: 'b', duration: 2, demands: lift },
    { id: 'c', duration: 1, predecessors: ['a'] },
  ]);
  const reply = (a: number, b: number, c: number, finish = 4) => ({
    finish,
    longestPath: 3,
    starts: [
      { id: 'a', start: a },
      { id: 'b', start: b },
      { id: 'c', start: c },
    ],
    schedulesTried: 1,
  });
  expect(scheduleFaults(request, reply(0, 2, 3))).toEqual([]);
  expect(scheduleFaults(request, reply(0, 2, 1))).toEqual(['c starts on 1, before a is finished']);
  expect(scheduleFaults(request, reply(0, 1, 2, 3))).toEqual(['day 1 holds 2 of crane; there are 1']);
  expect(scheduleFaults(request, reply(-1, 2, 3))).toEqual(['a starts on day -1']);
  expect(scheduleFaults(request, reply(0, 2.5, 3, 4.5))).toEqual(['b starts on day 2.5']);
  expect(scheduleFaults(request, reply(0, 2, 3, 3))).toEqual(['finish is said to be 3 and is 4']);
  expect(scheduleFaults(request, { ...reply(0, 2, 3), longestPath: 2 })).toEqual([
    'longestPath is said to be 2 and is 3',
  ]);
  expect(scheduleFaults(request, { ...reply(0, 2, 3), starts: [] })).toHaveLength(1);
});

describe('level refuses', () => {
  it.each<[string, LevelRequest, string, object]>([
    [
      'activities that wait in a circle',
      crane([
        { id: 'cut', duration: 1, predecessors: ['weld'] },
        { id: 'bend', duration: 1, predecessors: ['cut'] },
        { id: 'weld', duration: 1, predecessors: ['bend'] },
      ]),
      'cut -> bend -> weld -> cut',
      { cycle: ['cut', 'bend', 'weld'] },
    ],
    [
      'a demand above the capacity',
      crane([{ id: 'mast', duration: 1, demands: { crane: 2 } }]),
      'activity mast needs 2 of crane; there are only 1',
      { id: 'mast', resource: 'crane', demand: 2, capacity: 1 },
    ],
    [
      'such a demand though it takes no time',
      crane([{ id: 'mast', duration: 0, demands: { crane: 2 } }]),
      'activity mast needs 2 of crane',
      { demand: 2 },
    ],
    [
      'an unknown resource',
      crane([{ id: 'mast', duration: 1, demands: { winch: 0 } }]),
      'activity mast needs winch, which is not in the list of resources',
      { resource: 'winch' },
    ],
    [
      'an unknown predecessor',
      crane([{ id: 'mast', duration: 1, predecessors: ['keel'] }]),
      'activity mast waits for keel, which is not in the list',
      { predecessor: 'keel' },
    ],
    [
      'an activity given twice',
      crane([
        { id: 'mast', duration: 1 },
        { id: 'mast', duration: 2 },
      ]),
      'activity mast is in the list more than once',
      { id: 'mast' },
    ],
    [
      'a resource given twice',
      {
        resources: [
          { id: 'crane', capacity: 1 },
          { id: 'crane', capacity: 2 },
        ],
        activities: [],
      },
      'resource crane is in the list more than once',
      { resource: 'crane' },
    ],
    [
      'more days than can be laid out',
      crane(Array.from({ length: 11 }, (_, i) => ({ id: `a${i}`, duration: 100_000 }))),
      '1,100,000 days',
      { days: 1_100_000 },
    ],
  ])('%s', (_, request, sentence, detail) => {
    try {
      level(request, { schedules: 1 });
      expect.unreachable();
    } catch (fault) {
      expect(fault).toMatchObject({ name: 'NotComputable', detail });
      expect((fault as Error).message).toContain(sentence);
    }
  });
});
