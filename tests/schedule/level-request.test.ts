import { describe, expect, it } from 'vitest';
import { LevelRequest } from '../../src/schedule/level-request.ts';
import { startAsking } from '../support/calculators.ts';

function problems(request: unknown): string[] {
  const parsed = LevelRequest.safeParse(request);
  return parsed.success
    ? []
    : parsed.error.issues.map(({ path, message }) => `${path.join('.')}: ${message}`);
}
const one = (activity: object, more: object = {}) => ({
  resources: [{ id: 'crane', capacity: 2 }],
  activities: [{ id: 'a', duration: 1, ...activity }],
  ...more,
});

describe('LevelRequest', () => {
  it('takes what the calculator is described to take', () => {
    expect(problems({ resources: [], activities: [] })).toEqual([]);
    expect(
      problems(
        one({ demands: { crane: 2, toString: 0 }, predecessors: ['b', 'b'] }, { seconds: 0.5, seed: 0 }),
      ),
    ).toEqual([]);
  });

  it.each([
    ['nothing', null, ': a levelling question must be an object'],
    ['no resources', { activities: [] }, 'resources: resources must be a list'],
    ['no activities', { resources: [] }, 'activities: activities must be a list'],
    ['an unknown field', one({}, { runs: 3 }), ': a levelling question has no field "runs"'],
    [
      'a capacity below 0',
      { resources: [{ id: 'crane', capacity: -1 }], activities: [] },
      'resources.0.capacity: must be 0 units or more',
    ],
    [
      'half a unit',
      { resources: [{ id: 'crane', capacity: 1.5 }], activities: [] },
      'resources.0.capacity: must be a whole number of units',
    ],
    ['half a day', one({ duration: 1.5 }), 'activities.0.duration: must be a whole number of days'],
    ['a duration below 0', one({ duration: -1 }), 'activities.0.duration: must be 0 days or more'],
    ['a duration too long', one({ duration: 1e6 }), 'activities.0.duration: at most 100,000 days'],
    ['an empty id', one({ id: '' }), 'activities.0.id: an id must not be empty'],
    [
      'demands as a list',
      one({ demands: [1] }),
      'activities.0.demands: demands must be an object of resource ids and units',
    ],
    [
      'half a demand',
      one({ demands: { crane: 0.5 } }),
      'activities.0.demands.crane: must be a whole number of units',
    ],
    [
      'a demand below 0',
      one({ demands: { crane: -1 } }),
      'activities.0.demands.crane: must be 0 units or more',
    ],
    [
      'a name that would be lost',
      one({ demands: JSON.parse('{"__proto__": 3}') }),
      'activities.0.demands: a resource cannot be called __proto__',
    ],
    [
      'predecessors as objects',
      one({ predecessors: [{ id: 'b' }] }),
      'activities.0.predecessors.0: an id must be a text',
    ],
    ['no time at all', one({}, { seconds: 0 }), 'seconds: must be more than 0 seconds'],
    ['too many seconds', one({}, { seconds: 11 }), 'seconds: at most 10 seconds'],
    ['a seed in words', one({}, { seed: '1' }), 'seed: must be a whole number'],
    ['a seed below 0', one({}, { seed: -1 }), 'seed: must be 0 or more'],
    [
      'too many activities',
      { resources: [], activities: Array.from({ length: 2_001 }, (_, i) => ({ id: `a${i}`, duration: 1 })) },
      'activities: at most 2,000 activities',
    ],
    [
      'too many links',
      one({ predecessors: Array(50_001).fill('b') }),
      'activities: at most 50,000 links between activities',
    ],
  ])('refuses %s', (_, request, sentence) => {
    expect(problems(request)).toEqual([sentence]);
  });
});

describe('POST /api/v1/calculate/level', () => {
  it('answers with starts, and with 400 and 422 what does not fit or makes no sense', async () => {
    const { ask } = await startAsking();
    const pair = {
      resources: [{ id: 'crane', capacity: 1 }],
      activities: [
        { id: 'mast', duration: 2, demands: { crane: 1 } },
        { id: 'keel', duration: 3, demands: { crane: 1 } },
      ],
      seconds: 1,
      seed: 7,
    };
    const good = await ask('level', pair);
    expect([good.status, good.type]).toEqual([200, 'application/json']);
    expect(Object.keys(good.body).sort()).toEqual([
      'finish',
      'longestPath',
      'schedulesTried',
      'source',
      'starts',
    ]);
    expect(good.body).toMatchObject({ finish: 5, longestPath: 3 });
    expect(good.body.starts.map(({ id }: { id: string }) => id)).toEqual(['mast', 'keel']);

    const misfit = await ask('level', { ...pair, seconds: 60 });
    expect([misfit.status, misfit.body.errors[0].path]).toEqual([400, 'seconds']);

    const greedy = await ask('level', {
      ...pair,
      activities: [{ id: 'mast', duration: 2, demands: { crane: 3 } }],
    });
    expect(greedy.status).toBe(422);
    expect(greedy.body).toMatchObject({
      type: '/bench#makes-no-sense',
      detail: 'activity mast needs 3 of crane; there are only 1',
      id: 'mast',
    });

    const circle = await ask('level', {
      resources: [],
      activities: [
        { id: 'mast', duration: 1, predecessors: ['keel'] },
        { id: 'keel', duration: 1, predecessors: ['mast'] },
      ],
    });
    expect([circle.status, circle.body.cycle]).toEqual([422, ['mast', 'keel']]);
  });
});
