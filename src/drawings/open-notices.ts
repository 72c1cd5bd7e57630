import type { Database } from '../platform/database.ts';
import { claimWork } from './claim-work.ts';

/** A notice that waits for an answer, as views/shared/notices.njk shows it. */
export interface OpenNotice {
  id: number;
  claimId: number;
  jobId: number;
  partNumber: string;
  /** the revision the claim is made to, and the new one */
  oldLetter: string;
  letter: string;
  /** what is different, as the new revision says */
  change: string;
  revisionHref: string;
}

/**
 * Notices of new revisions that neither maker nor lead has settled, for the claims asked about. A claim with nothing left
 * to make or to inspect (handed back, or all of it accepted) has nothing to answer.
 */
export async function openNotices(
  db: Pick<Database, 'read'>,
  { claimIds }: { claimIds: readonly number[] },
): Promise<OpenNotice[]> {
  if (claimIds.length === 0) return [];
  const rows = await db.read.notice.findMany({
    where: { claimId: { in: [...claimIds] }, settledAt: null },
    include: { revision: { include: { part: { select: { number: true } } } } },
    orderBy: { id: 'asc' },
  });
  const claims = await db.read.claim.findMany({
    where: { id: { in: rows.map(({ claimId }) => claimId) } },
    include: { parcelItems: { include: { checks: true } } },
  });
  const jobs = new Map(claims.filter((claim) => claimWork(claim).open).map(({ id, jobId }) => [id, jobId]));
  const olds = await db.read.revision.findMany({
    where: { id: { in: rows.map(({ oldRevisionId }) => oldRevisionId) } },
    select: { id: true, letter: true },
  });
  const letters = new Map(olds.map(({ id, letter }) => [id, letter]));
  const waiting = rows.filter(({ claimId }) => jobs.has(claimId));
  return waiting.map(({ id, claimId, oldRevisionId, revision }) => ({
    id,
    claimId,
    jobId: jobs.get(claimId) ?? 0,
    partNumber: revision.part.number,
    oldLetter: letters.get(oldRevisionId) ?? '',
    letter: revision.letter,
    change: revision.change,
    revisionHref: `/revisions/${revision.id}`,
  }));
}
