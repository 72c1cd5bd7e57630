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
  /** jobs whose next claim must be made to the new revision */
  moves: PlannedJob[];
}

/**
 * What follows for claims and jobs of a part when a revision is released.
 *
 * A job with any quantity nobody has claimed moves, since the next claim on it is made to the new drawing; claims keep
 * theirs until their notice is settled. A job claimed whole moves when its makers have taken the revision up.
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
      const claimed = claims
        .filter(({ jobId }) => jobId === job.id)
        .reduce((sum, { work }) => sum + work.net, 0);
      return job.revisionId !== newRevisionId && claimed < job.milli;
    }),
  };
}
