import type { Act } from '../platform/acts.ts';
import { revisionEntry } from './draft.ts';

/** Puts jobs on a drawing: the next claim on them is made to it. */
export async function moveJobs(
  act: Act,
  revision: { id: number; partId: number; letter: string },
  jobs: readonly { id: number; revisionId: number | null }[],
): Promise<void> {
  for (const job of jobs) {
    await act.tx.job.update({ where: { id: job.id }, data: { revisionId: revision.id } });
    await act.log({
      kind: 'move-job-to-revision',
      ...revisionEntry(revision),
      jobId: job.id,
      before: { revisionId: job.revisionId },
      after: { revisionId: revision.id, letter: revision.letter },
    });
  }
}
