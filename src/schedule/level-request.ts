import { z } from 'zod';
import { ActivityId, strict } from './network-request.ts';

const mostActivities = 2_000;
const mostLinks = 50_000;
const mostResources = 40;
const mostDays = 100_000;
const mostUnits = 1_000_000;
const mostSeconds = 10;

const ResourceId = z
  .string('a resource id must be a text')
  .min(1, 'a resource id must not be empty')
  .max(200, 'a resource id has at most 200 characters');

const Units = z
  .int('must be a whole number of units')
  .min(0, 'must be 0 units or more')
  .max(mostUnits, `at most ${mostUnits.toLocaleString('en')} units`);

/** Units by resource id. `__proto__` is refused by name: as a key of an object it would be lost without a word. */
const Demands = z
  .custom<Record<string, number>>(
    (sent) => typeof sent !== 'object' || sent === null || !Object.hasOwn(sent, '__proto__'),
    'a resource cannot be called __proto__',
  )
  .pipe(z.record(ResourceId, Units, 'demands must be an object of resource ids and units'));

/** What `level` takes: durations in whole days, units of each resource held on every day an activity runs. */
export const LevelRequest = strict('a levelling question', {
  resources: z
    .array(strict('a resource', { id: ResourceId, capacity: Units }), 'resources must be a list')
    .max(mostResources, `at most ${mostResources} resources`),
  activities: z
    .array(
      strict('an activity', {
        id: ActivityId,
        duration: z
          .int('must be a whole number of days')
          .min(0, 'must be 0 days or more')
          .max(mostDays, `at most ${mostDays.toLocaleString('en')} days`),
        demands: Demands.optional(),
        predecessors: z.array(ActivityId, 'predecessors must be a list of ids').optional(),
      }),
      'activities must be a list',
    )
    .max(mostActivities, `at most ${mostActivities.toLocaleString('en')} activities`)
    .refine(
      (activities) =>
        activities.reduce((links, { predecessors }) => links + (predecessors?.length ?? 0), 0) <= mostLinks,
      `at most ${mostLinks.toLocaleString('en')} links between activities`,
    ),
  seconds: z
    .number('must be a number of seconds')
    .positive('must be more than 0 seconds')
    .max(mostSeconds, `at most ${mostSeconds} seconds`)
    .optional(),
  seed: z
    .int('must be a whole number')
    .min(0, 'must be 0 or more')
    .max(2 ** 32 - 1, `at most ${(2 ** 32 - 1).toLocaleString('en')}`)
    .optional(),
});
export type LevelRequest = z.infer<typeof LevelRequest>;
