import type { Unit } from '../parts/index.ts';
import type { Refusal } from '../platform/refusal.ts';
import { madeOf } from './claim-rules.ts';
import { type JobFacts, quantitiesOf } from './facts.ts';

/**
 * How far the first piece of a job is that asks for one: what is done with the others depends on it.
 *
 * - `to make`: none is finished, or the last one sent was not accepted, so the next one is a first piece again
 * - `made`: finished and with its maker, to be posted alone
 * - `in the post`, `here`: under way, or waiting to be inspected
 * - `approved`: the others may follow
 */
export type FirstPieceState = 'to make' | 'made' | 'in the post' | 'here' | 'approved';

type FirstPieceJob = Pick<
  JobFacts,
  'id' | 'kind' | 'milli' | 'claims' | 'firstPiece' | 'firstApprovedAt' | 'revisionId' | 'droppedAt'
>;

/** Whether a job has a first piece at all: it asks for one, is counted by the piece, and is for more than one. */
export function asksFirstPiece(job: Omit<FirstPieceJob, 'claims' | 'id'>, unit: Unit): boolean {
  return job.firstPiece && job.kind === 'fabricate' && unit === 'piece' && job.milli > 1000;
}

/**
 * Whether a claim waits for the job's first piece. One that its maker was told to finish to an older revision does not:
 * the first piece is one of the job's own revision.
 */
export function waitsForFirstPiece(
  job: Pick<JobFacts, 'revisionId'>,
  claim: Pick<JobFacts['claims'][number], 'revisionId'>,
): boolean {
  return claim.revisionId === null || job.revisionId === null || claim.revisionId === job.revisionId;
}

/** The job with those of its claims alone that wait for the first piece. */
function ofFirstPiece<T extends FirstPieceJob>(job: T): T {
  return { ...job, claims: job.claims.filter((claim) => waitsForFirstPiece(job, claim)) };
}

/** Where the first piece of a job is; null for a job that has none. */
export function firstPieceState(job: FirstPieceJob, unit: Unit): FirstPieceState | null {
  if (!asksFirstPiece(job, unit)) return null;
  if (job.firstApprovedAt) return 'approved';
  const { toInspect, inPost, made } = quantitiesOf(ofFirstPiece(job));
  if (toInspect > 0) return 'here';
  if (inPost > 0) return 'in the post';
  return made > 0 ? 'made' : 'to make';
}

/** So much of a claim as may be in a parcel now: one piece, or none, until the first piece is approved. */
export function postableOf(job: FirstPieceJob, claim: JobFacts['claims'][number], unit: Unit): number {
  const made = madeOf(claim);
  if (!waitsForFirstPiece(job, claim)) return made;
  const state = firstPieceState(job, unit);
  if (state === null || state === 'approved') return made;
  return state === 'made' ? Math.min(made, 1000) : 0;
}

/** Why so much of claims that wait for it may not be posted before the first piece is approved; null where it may. */
export function mayPostBeforeApproval(job: FirstPieceJob, milli: number, unit: Unit): Refusal | null {
  const state = firstPieceState(job, unit);
  if (state === null || state === 'approved') return null;
  const { inPost, toInspect } = quantitiesOf(ofFirstPiece(job));
  if (inPost + toInspect > 0) {
    const where = toInspect > 0 ? 'here and not inspected yet' : 'in the post';
    return {
      code: 'first-piece-under-way',
      sentence: `Job ${job.id} asks for one piece first, and ${inPost + toInspect > 1000 ? 'some are' : 'it is'} ${where}: the rest is posted when it has been accepted.`,
    };
  }
  if (milli > 1000) {
    return {
      code: 'first-piece-alone',
      sentence: `Job ${job.id} asks for one piece first: post 1 piece alone. The rest is posted when it has been accepted.`,
    };
  }
  return null;
}

/** Whether the lead may approve the first piece from what its maker has reported, without having it here. */
export function mayApproveFirstPiece(job: FirstPieceJob, unit: Unit): Refusal | null {
  const state = firstPieceState(job, unit);
  if (state === null) {
    return { code: 'no-first-piece', sentence: `Job ${job.id} does not ask for one piece first.` };
  }
  if (state === 'approved') {
    return { code: 'approved', sentence: `The first piece of job ${job.id} is approved already.` };
  }
  if (job.droppedAt)
    return { code: 'dropped', sentence: `Job ${job.id} is dropped: nothing more is made for it.` };
  if (!ofFirstPiece(job).claims.some(({ doneMilli }) => doneMilli > 0)) {
    return {
      code: 'nothing-finished',
      sentence: `No piece of job ${job.id} is reported finished: there is nothing to approve yet.`,
    };
  }
  return null;
}

/** What a first piece's state means, in a sentence on the route card. */
export const FIRST_PIECE_WORDS: Record<FirstPieceState, string> = {
  'to make': 'Make one and send it alone: the rest is posted when it has been accepted.',
  made: 'Send one alone: the rest is posted when it has been accepted.',
  'in the post': 'It is in the post: the rest waits until it has been accepted.',
  here: 'It is here to be inspected: the rest waits until it has been accepted.',
  approved: 'It is approved: the rest may be made and posted.',
};
