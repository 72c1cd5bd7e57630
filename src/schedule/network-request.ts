import { z } from 'zod';

const mostActivities = 100_000;
const mostLinks = 400_000;

/** A strict object whose refusal of an unknown field names it. */
export const strict = <Shape extends z.core.$ZodShape>(what: string, shape: Shape) =>
  z.strictObject(shape, {
    error: (issue) =>
      issue.code === 'unrecognized_keys'
        ? `${what} has no field ${(issue.keys as string[]).map((key) => `"${key}"`).join(', ')}`
        : `${what} must be an object`,
  });

/** The name of an activity, of any letters. */
export const ActivityId = z
  .string('an id must be a text')
  .min(1, 'an id must not be empty')
  .max(200, 'an id has at most 200 characters');

/** A time that is not below 0, in days. */
export const Days = z.number('must be a number of days').min(0, 'must be 0 days or more');

/** What an activity waits for. Without `type` its start waits for the other's finish; `lag` is in days. */
export const Predecessors = z.array(
  strict('a predecessor', {
    id: ActivityId,
    type: z.enum(['FS', 'SS', 'FF', 'SF'], 'a link type is FS, SS, FF or SF').optional(),
    lag: z.number('a lag must be a number of days; below 0 it is a lead').optional(),
  }),
  'predecessors must be a list',
);
export type Predecessor = z.infer<typeof Predecessors>[number];

/** A list of activities with no more links than the limit. */
export function activityList<Activity extends z.ZodType<{ predecessors?: Predecessor[] }>>(
  activity: Activity,
  most: { activities: number; links: number },
) {
  return z
    .array(activity, 'activities must be a list')
    .max(most.activities, `at most ${most.activities.toLocaleString('en')} activities`)
    .refine(
      (activities) =>
        activities.reduce((links, { predecessors }) => links + (predecessors?.length ?? 0), 0) <= most.links,
      `at most ${most.links.toLocaleString('en')} links between activities`,
    );
}

/** What `network` takes: durations in days, offsets from day 0. */
export const NetworkRequest = strict('a network', {
  activities: activityList(
    strict('an activity', {
      id: ActivityId,
      duration: Days,
      predecessors: Predecessors.optional(),
      notBefore: z.number('must be a day, counted from 0').optional(),
    }),
    { activities: mostActivities, links: mostLinks },
  ),
  finishBy: z.number('must be a day, counted from 0').optional(),
});
export type NetworkRequest = z.infer<typeof NetworkRequest>;
