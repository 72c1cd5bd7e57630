import { z } from 'zod';
import { ActivityId, activityList, Days, Predecessors, strict } from './network-request.ts';

const mostActivities = 5_000;
const mostLinks = 50_000;
const mostRuns = 50_000;
const mostTargets = 1_000;

/** What `risk` takes: durations in days, targets in days from 0. */
export const RiskRequest = strict('a risk question', {
  activities: activityList(
    strict('an activity', {
      id: ActivityId,
      optimistic: Days,
      likely: Days,
      pessimistic: Days,
      predecessors: Predecessors.optional(),
    }),
    { activities: mostActivities, links: mostLinks },
  ),
  distribution: z.enum(['betaPert', 'triangular'], 'a distribution is betaPert or triangular').optional(),
  runs: z
    .int('must be a whole number of runs')
    .min(1, 'must be at least 1 run')
    .max(mostRuns, `at most ${mostRuns.toLocaleString('en')} runs`)
    .optional(),
  seed: z
    .int('must be a whole number')
    .min(0, 'must be 0 or more')
    .max(2 ** 32 - 1, `at most ${(2 ** 32 - 1).toLocaleString('en')}`)
    .optional(),
  targets: z
    .array(z.number('must be a day, counted from 0'), 'targets must be a list')
    .max(mostTargets, `at most ${mostTargets.toLocaleString('en')} targets`)
    .optional(),
});
export type RiskRequest = z.infer<typeof RiskRequest>;
