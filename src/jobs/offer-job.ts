import type { Act } from '../platform/acts.ts';
import { orRefuse } from '../platform/refusal.ts';
import { mayOffer, mayWithdraw } from './job-rules.ts';
import { oneRow, readJob } from './store.ts';

/**
 * Holds a job out to makers. Its revision must be released.
 *
 * @param strangers  whether the public page shows it too; left as it is when not given
 */
export async function offerJob(act: Act, jobId: number, strangers?: boolean): Promise<void> {
  const { facts, revision } = await readJob(act.tx, jobId);
  orRefuse(mayOffer(facts, revision));
  oneRow(
    await act.tx.job.updateMany({
      where: { id: jobId, offeredAt: null, heldAt: null, droppedAt: null },
      data: { offeredAt: act.at, ...(strangers === undefined ? {} : { strangers }) },
    }),
  );
  await act.log({ kind: 'offer-job', partId: facts.partId, jobId, milli: facts.milli });
}

/** Takes an offer back: possible while nothing of it is claimed. */
export async function withdrawOffer(act: Act, jobId: number): Promise<void> {
  const { facts, unit } = await readJob(act.tx, jobId);
  orRefuse(mayWithdraw(facts, unit));
  oneRow(
    await act.tx.job.updateMany({
      where: { id: jobId, offeredAt: { not: null }, claims: { none: { endedAt: null } } },
      data: { offeredAt: null },
    }),
  );
  await act.log({ kind: 'withdraw-offer', partId: facts.partId, jobId });
}
