import type { Act } from '../platform/acts.ts';
import type { Day } from '../platform/day.ts';
import { orRefuse, WrongField } from '../platform/refusal.ts';
import { mayOrder, mayReceive } from './job-rules.ts';
import { oneRow, readJob } from './store.ts';

export interface Order {
  jobId: number;
  supplier: string;
  /** the delivery day the supplier names; null when none is named */
  promisedOn: Day | null;
}

/** Notes that a purchase is ordered, of whom and for when; again, when the supplier names another day. */
export async function orderPurchase(act: Act, { jobId, supplier, promisedOn }: Order): Promise<void> {
  const { facts } = await readJob(act.tx, jobId);
  orRefuse(mayOrder(facts, promisedOn, act.today));
  oneRow(
    await act.tx.job.updateMany({
      where: { id: jobId, finishedAt: null, heldAt: null, droppedAt: null },
      data: { orderedAt: facts.orderedAt ? new Date(facts.orderedAt) : act.at, promisedOn },
    }),
  );
  await act.log({
    kind: 'order-purchase',
    partId: facts.partId,
    jobId,
    milli: facts.milli,
    ...(facts.orderedAt ? { before: { promisedOn: facts.promisedOn } } : {}),
    after: { supplier, promisedOn },
  });
}

export interface Arrival {
  jobId: number;
  milli: number;
  /** nothing more will come: the job ends with what has arrived */
  noMore: boolean;
}

/**
 * Notes what arrived of a purchase: it lies on the part's shelf from now on. The job is done when all has come; until
 * then its quantity is what is still to come, and when it is done, what came altogether.
 *
 * @throws WrongField  quantity, when it is nothing although more is to come; noMore, when nothing came at all
 */
export async function receivePurchase(act: Act, { jobId, milli, noMore }: Arrival): Promise<void> {
  const { facts } = await readJob(act.tx, jobId);
  orRefuse(mayReceive(facts));
  if (milli < 0 || (milli === 0 && !noMore)) {
    throw new WrongField('quantity', 'Say how much arrived, or tick that nothing more will come.');
  }
  const outstanding = Math.max(0, facts.milli - milli);
  const done = noMore || outstanding === 0;
  const { _sum } = await act.tx.act.aggregate({
    where: { jobId, kind: 'receive-purchase' },
    _sum: { milli: true },
  });
  const arrived = (_sum.milli ?? 0) + milli;
  if (arrived === 0) throw new WrongField('noMore', 'Nothing of it ever came: drop the job instead.');
  oneRow(
    await act.tx.job.updateMany({
      where: { id: jobId, milli: facts.milli, finishedAt: null, droppedAt: null },
      data: done ? { finishedAt: act.at, milli: arrived } : { milli: outstanding },
    }),
  );
  if (facts.partId && milli > 0) {
    await act.tx.part.update({ where: { id: facts.partId }, data: { shelfMilli: { increment: milli } } });
  }
  await act.log({
    kind: 'receive-purchase',
    partId: facts.partId,
    jobId,
    milli,
    before: { toComeMilli: facts.milli },
    after: { toComeMilli: done ? 0 : outstanding, arrivedMilli: arrived },
  });
}
