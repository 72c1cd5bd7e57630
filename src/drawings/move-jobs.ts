import type { Act } from '../platform/acts.ts';
import { revisionEntry } from './draft.ts';

/**
 * Puts jobs on a drawing: the next claim on them is made to it. Where a first piece was approved, that was one of the old
 * drawing: a piece of the new one comes first again.
 */
export async function moveJobs(
  act: Act,
  revision: { id: number; partId: number; letter: string },
  jobs: readonly { id: number; revisionId: number | null }[],
): Promise<void> {
  for (const job of jobs) {
    await act.tx.job.update({ where: { id: job.id }, data: { revisionId: revision.id } });
    const ended = await act.tx.job.updateMany({
      where: { id: job.id, firstPiece: true, NOT: { firstApprovedAt: null } },
      data: { firstApprovedAt: null, firstApprovedById: null, firstApproval: '' },
    });
    if (ended.count > 0) {
      await act.log({ kind: 'end-first-piece-approval', partId: revision.partId, jobId: job.id });
    }
    await act.log({
      kind: 'move-job-to-revision',
      ...revisionEntry(revision),
      jobId: job.id,
      before: { revisionId: job.revisionId },
      after: { revisionId: revision.id, letter: revision.letter },
    });
  }
}
