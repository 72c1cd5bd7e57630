import type { Tx } from '../platform/database.ts';

/** Where rows may be read: the open transaction of an act, or what is committed (db.read). */
type Reader = Pick<Tx, 'claim' | 'job'>;

/** Whether a maker has work on a job, or on any job of a part: a claim not wholly handed back, or the job itself. */
export async function worksOn(
  reader: Reader,
  personId: number,
  about: { jobId: number } | { partId: number },
): Promise<boolean> {
  const job = 'jobId' in about ? { id: about.jobId } : { partId: about.partId };
  const claims = await reader.claim.findMany({
    where: { personId, job },
    select: { milli: true, backMilli: true },
  });
  if (claims.some(({ milli, backMilli }) => milli > backMilli)) return true;
  return (await reader.job.count({ where: { ...job, personId, droppedAt: null } })) > 0;
}
