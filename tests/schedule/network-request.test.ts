import { describe, expect, it } from 'vitest';
import { NetworkRequest } from '../../src/schedule/network-request.ts';

function problems(request: unknown): string[] {
  const parsed = NetworkRequest.safeParse(request);
  return parsed.success
    ? []
    : parsed.error.issues.map(({ path, message }) => `${path.join('.')}: ${message}`);
}
const one = (activity: Record<string, unknown>) => ({ activities: [{ id: 'a', duration: 1, ...activity }] });

describe('NetworkRequest', () => {
  it('takes what the calculator is described to take', () => {
    expect(
      problems({
        activities: [
          { id: 'a', duration: 0 },
          {
            id: 'b',
            duration: 2.5,
            notBefore: 3,
            predecessors: [{ id: 'a' }, { id: 'a', type: 'SF', lag: -2 }],
          },
        ],
        finishBy: 12,
      }),
    ).toEqual([]);
    expect(problems({ activities: [] })).toEqual([]);
  });

  it.each([
    ['no list', {}, 'activities: activities must be a list'],
    ['nothing', null, ': a network must be an object'],
    ['an unknown field', { activities: [], finish: 3 }, ': a network has no field "finish"'],
    [
      'an unknown field of an activity',
      one({ length: 3 }),
      'activities.0: an activity has no field "length"',
    ],
    ['a duration below 0', one({ duration: -1 }), 'activities.0.duration: must be 0 days or more'],
    ['a duration in words', one({ duration: '3' }), 'activities.0.duration: must be a number of days'],
    [
      'a duration without end',
      one({ duration: Number.POSITIVE_INFINITY }),
      'activities.0.duration: must be a number of days',
    ],
    [
      'a duration that is no number',
      one({ duration: Number.NaN }),
      'activities.0.duration: must be a number of days',
    ],
    ['a numbered id', one({ id: 7 }), 'activities.0.id: an id must be a text'],
    ['an empty id', one({ id: '' }), 'activities.0.id: an id must not be empty'],
    [
      'a bare predecessor',
      one({ predecessors: ['b'] }),
      'activities.0.predecessors.0: a predecessor must be an object',
    ],
    [
      'an unknown link type',
      one({ predecessors: [{ id: 'b', type: 'fs' }] }),
      'activities.0.predecessors.0.type: a link type is FS, SS, FF or SF',
    ],
    [
      'an unknown field of a link',
      one({ predecessors: [{ id: 'b', delay: 2 }] }),
      'activities.0.predecessors.0: a predecessor has no field "delay"',
    ],
    [
      'a lag in words',
      one({ predecessors: [{ id: 'b', lag: '2d' }] }),
      'activities.0.predecessors.0.lag: a lag must be a number of days; below 0 it is a lead',
    ],
    [
      'a finishBy that is null',
      { activities: [], finishBy: null },
      'finishBy: must be a day, counted from 0',
    ],
  ])('refuses %s', (_, request, sentence) => {
    expect(problems(request)).toEqual([sentence]);
  });

  it('takes 100,000 activities and 400,000 links, and no more of either', () => {
    const activities = (count: number, links: number) =>
      Array.from({ length: count }, (_, i) => ({
        id: `${i}`,
        duration: 1,
        predecessors: Array.from({ length: links }, () => ({ id: '0' })),
      }));
    expect(problems({ activities: activities(100_000, 4) })).toEqual([]);
    expect(problems({ activities: activities(100_001, 0) })).toEqual([
      'activities: at most 100,000 activities',
    ]);
    expect(problems({ activities: activities(1_000, 401) })).toEqual([
      'activities: at most 400,000 links between activities',
    ]);
  });
});
