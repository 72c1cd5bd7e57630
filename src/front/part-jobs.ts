import {
  FABRICATION_STAGES,
  factsReader,
  isOver,
  type JobFacts,
  OTHER_STAGES,
  quantitiesOf,
  type Stage,
  stageOf,
} from '../jobs/index.ts';
import type { Progress, ReadPartJobs } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';

/** The kinds of job that put units of the part there; a design or a trial makes none. */
const makes = new Set<JobFacts['kind']>(['fabricate', 'purchase', 'fit-up']);

/** Stages from the slowest on, both kinds together. */
const order: readonly Stage[] = [
  'on hold',
  'waiting',
  'preparing',
  'ready',
  'offered',
  'promised',
  'in work',
  'in the post',
  'to inspect',
  ...FABRICATION_STAGES,
  ...OTHER_STAGES,
];

/**
 * How the parts see the jobs: the jobs are read once for each page or act.
 *
 * @param isReady  whether what a job other than fabrication waits for is there, as the schedule tells it
 */
export function partJobsReader(
  db: Pick<Database, 'hot'>,
  isReady: (jobId: number) => boolean = () => false,
): ReadPartJobs {
  const reader = factsReader(db);
  return () => {
    const byPart = new Map<number, { job: JobFacts; stage: Stage }[]>();
    for (const job of reader.all()) {
      if (job.partId === null) continue;
      const one = { job, stage: stageOf(job, isReady(job.id)) };
      const list = byPart.get(job.partId);
      if (list) list.push(one);
      else byPart.set(job.partId, [one]);
    }
    return {
      progress: (partId) => progressOf(byPart.get(partId) ?? []),
      open: (partId) =>
        (byPart.get(partId) ?? [])
          .filter(({ stage }) => !isOver(stage))
          .map(({ job: { id, title } }) => ({ id, title })),
    };
  };
}

function progressOf(jobs: readonly { job: JobFacts; stage: Stage }[]): Progress | null {
  const alive = jobs.filter(({ stage }) => stage !== 'dropped' || jobs.length === 1);
  if (alive.length === 0) return null;
  let acceptedMilli = 0;
  let openMilli = 0;
  for (const { job, stage } of jobs) {
    if (!makes.has(job.kind)) continue;
    if (job.kind === 'fabricate') {
      const at = quantitiesOf(job);
      acceptedMilli += at.accepted;
      if (!isOver(stage)) openMilli += at.total - at.accepted - at.rejected;
    } else if (!isOver(stage)) openMilli += job.milli;
    // What was bought lies on the shelf from the day it came, and is counted there.
    else if (stage === 'finished' && job.kind === 'fit-up') acceptedMilli += job.milli;
  }
  const open = alive.filter(({ stage }) => !isOver(stage));
  const slowest = (open.length > 0 ? open : alive).reduce((slow, one) =>
    order.indexOf(one.stage) < order.indexOf(slow.stage) ? one : slow,
  );
  return { acceptedMilli, openMilli, stageWord: slowest.stage };
}
