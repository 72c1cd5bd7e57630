import { finishBound, headsAndTails } from './level-bounds.ts';
import { levelProject } from './level-project.ts';
import type { LevelRequest } from './level-request.ts';
import { levelSearch } from './level-search.ts';

/** Days from 0. See `level`. */
export interface LevelReply {
  finish: number;
  longestPath: number;
  starts: { id: string; start: number }[];
  schedulesTried: number;
}

/**
 * How long a search may go on. Either a clock, read now and then, in milliseconds from any beginning: the search ends
 * after the request's `seconds`. Or a number of schedules, of which one or two more may be laid out: then the same request
 * with the same seed has the same reply.
 */
export type LevelEffort = { now: () => number } | { schedules: number };

/**
 * Starts for activities that share scarce resources, so that all is finished as early as can be found.
 *
 * @param request  durations in whole days; a predecessor must be finished before an activity starts; demands in units
 *                 held on each day of an activity; by default 1 second, seed 1
 * @param effort   how long to look
 * @returns        days from 0, activities in the order given. `finish`: the greatest finish; `longestPath`: what it would
 *                 be were no resource scarce; `schedulesTried`: how many were laid out, one at least. The search ends
 *                 early when a finish is found that is proved to be the least
 * @throws NotComputable  what `levelProject` refuses: circles, ids given twice or unknown, a demand above the capacity
 *
 * Source: see `levelSearch` and `finishBound`.
 * Example: A and B of 2 days, each needs the one crane -> finish 4, longestPath 2.
 */
export function level(request: LevelRequest, effort: LevelEffort): LevelReply {
  const { seconds = 1, seed = 1 } = request;
  // the clock runs from here on: laying out the project and its bounds count too
  const spent = spentOf(effort, seconds);
  const project = levelProject(request);
  const paths = headsAndTails(project);
  const { finish, finishes, schedulesTried } = levelSearch(project, {
    bound: finishBound(project, paths),
    tails: paths.tails,
    seed,
    spent,
  });
  const starts = request.activities.map(({ id }) => ({ id, start: 0 }));
  project.listed.forEach((place, i) => {
    starts[place]!.start = finishes[i]! - project.durations[i]!;
  });
  return { finish, longestPath: paths.longestPath, starts, schedulesTried };
}

function spentOf(effort: LevelEffort, seconds: number): (schedulesTried: number) => number {
  if ('schedules' in effort) return (tried) => tried / effort.schedules;
  const { now } = effort;
  const begun = now();
  return () => (now() - begun) / (1000 * seconds);
}
