import { describe, expect, it } from 'vitest';
import { RiskRequest } from '../../src/schedule/risk-request.ts';

function problems(request: unknown): string[] {
  const parsed = RiskRequest.safeParse(request);
  return parsed.success
    ? []
    : parsed.error.issues.map(({ path, message }) => `${path.join('.')}: ${message}`);
}
const activity = { id: 'a', optimistic: 1, likely: 2, pessimistic: 4 };

describe('RiskRequest', () => {
  it('takes what the calculator is described to take', () => {
    const activities = [activity, { ...activity, id: 'b', predecessors: [{ id: 'a', type: 'SS', lag: -1 }] }];
    expect(problems({ activities })).toEqual([]);
    expect(
      problems({ activities, distribution: 'triangular', runs: 50_000, seed: 0, targets: [3, 4.5] }),
    ).toEqual([]);
  });

  it.each([
    [
      'a duration below 0',
      { activities: [{ ...activity, optimistic: -1 }] },
      'activities.0.optimistic: must be 0 days or more',
    ],
    [
      'a missing duration',
      { activities: [{ ...activity, likely: undefined }] },
      'activities.0.likely: must be a number of days',
    ],
    [
      'an unknown field',
      { activities: [{ ...activity, duration: 2 }] },
      'activities.0: an activity has no field "duration"',
    ],
    ['an unknown question', { activities: [], percent: 80 }, ': a risk question has no field "percent"'],
    [
      'an unknown law',
      { activities: [], distribution: 'normal' },
      'distribution: a distribution is betaPert or triangular',
    ],
    ['no runs', { activities: [], runs: 0 }, 'runs: must be at least 1 run'],
    ['half a run', { activities: [], runs: 10.5 }, 'runs: must be a whole number of runs'],
    ['too many runs', { activities: [], runs: 50_001 }, 'runs: at most 50,000 runs'],
    ['a seed below 0', { activities: [], seed: -1 }, 'seed: must be 0 or more'],
    ['a target in words', { activities: [], targets: ['soon'] }, 'targets.0: must be a day, counted from 0'],
    [
      'too many activities',
      { activities: Array.from({ length: 5_001 }, () => activity) },
      'activities: at most 5,000 activities',
    ],
    [
      'too many links',
      {
        activities: Array.from({ length: 100 }, () => ({
          ...activity,
          predecessors: Array(501).fill({ id: 'b' }),
        })),
      },
      'activities: at most 50,000 links between activities',
    ],
  ])('refuses %s', (_, request, sentence) => {
    expect(problems(request)).toEqual([sentence]);
  });
});
