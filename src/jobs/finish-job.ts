import type { Act } from '../platform/acts.ts';
import { orRefuse } from '../platform/refusal.ts';
import { mayFinish, mayStartJob, mayWorkOn } from './job-rules.ts';
import { oneRow, readJob } from './store.ts';

/** Says that a design, fit-up, trial or other work has begun. */
export async function startJob(act: Act, jobId: number): Promise<void> {
  const { facts } = await readJob(act.tx, jobId);
  orRefuse(mayWorkOn(facts, act.actor) ?? mayStartJob(facts));
  oneRow(
    await act.tx.job.updateMany({
      where: { id: jobId, startedAt: null, finishedAt: null, heldAt: null, droppedAt: null },
      data: { startedAt: act.at },
    }),
  );
  await act.log({ kind: 'start-job', partId: facts.partId, jobId });
}

/**
 * Says that a design, fit-up, trial or other work is done, and what came of it. One that was never said to have begun
 * keeps no beginning: a guessed one would spoil what is learnt from its length.
 *
 * @param ready    whether what it waits for is there, as the schedule knows it
 * @param atBench  the person says that the parts of a fit-up lie at the bench
 */
export async function finishJob(
  act: Act,
  { jobId, result, ready, atBench }: { jobId: number; result: string; ready: boolean; atBench: boolean },
): Promise<void> {
  const { facts } = await readJob(act.tx, jobId);
  orRefuse(mayWorkOn(facts, act.actor) ?? mayFinish(facts, ready, atBench));
  oneRow(
    await act.tx.job.updateMany({
      where: { id: jobId, finishedAt: null, heldAt: null, droppedAt: null },
      data: { finishedAt: act.at, result },
    }),
  );
  await act.log({
    kind: 'finish-job',
    partId: facts.partId,
    jobId,
    milli: facts.milli,
    after: { result, ...(facts.kind === 'fit-up' && !ready ? { atBench: true } : {}) },
  });
}
