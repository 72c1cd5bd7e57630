import type { ClaimWork } from './claim-work.ts';

/** A claim on a part's fabrication, whatever its revision. */
export interface PlannedClaim {
  id: number;
  jobId: number;
  personId: number;
  revisionId: number | null;
  work: ClaimWork;
}

export interface PlannedJob {
  id: number;
  revisionId: number | null;
  milli: number;
}

/** What a release does to work that is under way on the revisions before it. */
export interface SupersedePlan {
  /** claims whose makers are asked to take the new revision up, or told to finish the old one */
  notices: PlannedClaim[];
  /** accepted units made to an older drawing, to be decided on */
  oldUnits: { claimId: number; jobId: number; revisionId: number; milli: number }[];
  /** jobs whose next claim is made to the new revision */
  moves: PlannedJob[];
}

/** Whether a lot of old units is no more what it was: a release asks about it no further. */
export function isSpent(decidedAs: string | null): boolean {
  return decidedAs === 'rework' || decidedAs === 'scrap';
}

/**
 * What follows for claims and jobs of a part when a revision is released.
 *
 * A job's revision is what the next claim on it is made to, so every job moves that is not all accepted or rejected:
 * even one claimed whole may be handed back or grow. A claim keeps its own revision until its notice is settled.
 *
 * @param jobs    fabrication jobs of the part that are not dropped
 * @param claims  all claims on those jobs
 */
export function supersedePlan(
  newRevisionId: number,
  jobs: readonly PlannedJob[],
  claims: readonly PlannedClaim[],
): SupersedePlan {
  const older = claims.filter(({ revisionId }) => revisionId !== newRevisionId);
  return {
    notices: older.filter(({ work }) => work.open),
    oldUnits: older.flatMap(({ id, jobId, revisionId, work }) =>
      revisionId !== null && work.accepted > 0
        ? [{ claimId: id, jobId, revisionId, milli: work.accepted }]
        : [],
    ),
    moves: jobs.filter((job) => {
      const settled = claims
        .filter(({ jobId }) => jobId === job.id)
        .reduce((sum, { work }) => sum + work.accepted + work.rejected, 0);
      return job.revisionId !== newRevisionId && settled < job.milli;
    }),
  };
}
