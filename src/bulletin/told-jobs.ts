import { isOver, type JobFacts, type JobTimes, stageOf } from '../jobs/index.ts';
import { type Day, dayIn, daysBetween } from '../platform/day.ts';
import type { ToldJob } from './present-lines.ts';

/** Days past the latest promise of what is still to come; 0 when nothing is late. */
export function lateDays(job: JobFacts, today: Day, timeZone: string): number {
  if (job.kind === 'purchase') {
    return job.promisedOn && !job.finishedAt ? Math.max(0, daysBetween(job.promisedOn, today)) : 0;
  }
  const late = job.claims
    .filter((claim) => claim.milli - claim.backMilli > claim.travellingMilli + claim.arrivedMilli)
    .map((claim) => daysBetween(dayIn(timeZone, new Date(claim.claimedAt)), today) - claim.latestDays);
  return Math.max(0, ...late);
}

/** The open jobs as the bulletin may tell of them. */
export function toldJobs(
  jobs: readonly JobFacts[],
  times: JobTimes,
  today: Day,
  timeZone: string,
): ToldJob[] {
  return jobs.flatMap((job): ToldJob[] => {
    if (job.heldAt || job.droppedAt) return [];
    const time = times.of(job.id);
    const stage = stageOf(job, time?.ready ?? false);
    if (isOver(stage)) return [];
    return [
      {
        id: job.id,
        title: job.title,
        expectedOn: time?.likelyOn ?? null,
        lateDays: lateDays(job, today, timeZone),
        critical: time?.critical ?? false,
        arrived: stage === 'to inspect',
      },
    ];
  });
}
