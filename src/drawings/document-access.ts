import type { Database } from '../platform/database.ts';
import type { SignedIn } from '../platform/http/types.ts';

/**
 * Whether a visitor may see a document: it belongs to the released revision of a job that is held out to strangers and
 * still has something to claim.
 */
export function mayVisitorSee(db: Pick<Database, 'hot'>, documentId: number): boolean {
  const row = db.hot
    .prepare<[number]>(
      `SELECT 1 FROM Document d
         JOIN Revision r ON r.id = d.revisionId AND r.state = 'released'
         JOIN Job j ON j.revisionId = r.id AND j.kind = 'fabricate' AND j.offeredAt IS NOT NULL AND j.strangers = 1
                   AND j.droppedAt IS NULL AND j.heldAt IS NULL
        WHERE d.id = ? AND d.removedAt IS NULL
          AND j.milli > (SELECT COALESCE(SUM(c.milli - c.backMilli), 0) FROM Claim c WHERE c.jobId = j.id)
        LIMIT 1`,
    )
    .get(documentId);
  return row !== undefined;
}

/** Whether a person sees a revision: lead and crew all of them, makers what has been released once. */
export function maySeeRevision(person: SignedIn, revision: { releasedAt: Date | null }): boolean {
  return person.role !== 'maker' || revision.releasedAt !== null;
}
