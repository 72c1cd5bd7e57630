import type { Act } from '../platform/acts.ts';
import { orRefuse } from '../platform/refusal.ts';
import { aboutMaker } from './claim-job.ts';
import { netOf, unfinishedOf } from './claim-rules.ts';
import { mayDrop, mayHold, mayResume } from './job-rules.ts';
import { oneRow, readJob } from './store.ts';

/** Puts a job on hold: nothing new is claimed or ordered; makers see why. */
export async function holdJob(act: Act, { jobId, reason }: { jobId: number; reason: string }): Promise<void> {
  const { facts } = await readJob(act.tx, jobId);
  orRefuse(mayHold(facts));
  oneRow(
    await act.tx.job.updateMany({
      where: { id: jobId, heldAt: null, droppedAt: null },
      data: { heldAt: act.at, holdReason: reason },
    }),
  );
  await act.log({ kind: 'hold-job', partId: facts.partId, jobId, after: { reason } });
}

export async function resumeJob(act: Act, jobId: number): Promise<void> {
  const { facts } = await readJob(act.tx, jobId);
  orRefuse(mayResume(facts));
  oneRow(
    await act.tx.job.updateMany({
      where: { id: jobId, heldAt: { not: null }, droppedAt: null },
      data: { heldAt: null, holdReason: '' },
    }),
  );
  await act.log({ kind: 'resume-job', partId: facts.partId, jobId });
}

/**
 * Drops a job. Open claims end: what was not made goes back, what was made stays recorded with its maker. One log row
 * for each maker says so. Refused while units are on their way, here or accepted.
 */
export async function dropJob(act: Act, { jobId, reason }: { jobId: number; reason: string }): Promise<void> {
  const { facts, unit } = await readJob(act.tx, jobId);
  orRefuse(mayDrop(facts, unit));
  oneRow(
    await act.tx.job.updateMany({
      where: { id: jobId, droppedAt: null, finishedAt: null },
      data: { droppedAt: act.at, dropReason: reason },
    }),
  );
  for (const claim of facts.claims) {
    if (netOf(claim) === 0) continue;
    const milli = unfinishedOf(claim);
    oneRow(
      await act.tx.claim.updateMany({
        where: { id: claim.id, backMilli: claim.backMilli, doneMilli: claim.doneMilli },
        data: { backMilli: claim.backMilli + milli, endedAt: act.at },
      }),
    );
    await act.log({
      kind: 'end-claim',
      partId: facts.partId,
      jobId,
      aboutId: aboutMaker(act, claim.personId),
      thing: { type: 'claim', id: claim.id },
      milli,
      before: { milli: netOf(claim) },
      after: { milli: claim.doneMilli },
    });
  }
  await act.log({ kind: 'drop-job', partId: facts.partId, jobId, after: { reason } });
}
