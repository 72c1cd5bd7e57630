import type { ClaimFacts, JobFacts } from '../jobs/index.ts';

/** Whether somebody has begun, claimed or ordered it. */
export function isBegun(job: JobFacts): boolean {
  return job.startedAt !== null || job.orderedAt !== null || job.claims.some(({ startedAt }) => startedAt);
}

/** What a maker still has to finish of a claim, in thousandths. */
export function unfinished({ milli, backMilli, doneMilli }: ClaimFacts): number {
  return Math.max(0, milli - backMilli - doneMilli);
}
