import type { Database } from '../platform/database.ts';

/** A step that is over, with its real moments as ISO text. */
export interface DoneRow {
  kind: 'release' | 'work' | 'purchase' | 'make' | 'post' | 'inspect';
  /** null where nobody said when it began */
  fromAt: string | null;
  untilAt: string;
  title: string;
  partNumber: string | null;
  jobId: number | null;
  /** of work: design, fit-up, trial, other */
  jobKind: string | null;
  personId: number | null;
}

const DONE = `
  SELECT 'release' AS kind, NULL AS fromAt, r.releasedAt AS untilAt, p.name || ', revision ' || r.letter AS title,
         p.number AS partNumber, NULL AS jobId, NULL AS jobKind, r.releasedById AS personId
    FROM Revision r JOIN Part p ON p.id = r.partId WHERE r.releasedAt IS NOT NULL
  UNION ALL
  SELECT CASE j.kind WHEN 'purchase' THEN 'purchase' ELSE 'work' END,
         CASE j.kind WHEN 'purchase' THEN j.orderedAt ELSE j.startedAt END,
         j.finishedAt, j.title, p.number, j.id, j.kind, j.personId
    FROM Job j LEFT JOIN Part p ON p.id = j.partId
   WHERE j.finishedAt IS NOT NULL AND j.droppedAt IS NULL AND j.kind <> 'fabricate'
  UNION ALL
  SELECT 'make', c.claimedAt, s.lastSentAt, j.title, p.number, j.id, NULL, c.personId
    FROM Claim c JOIN Job j ON j.id = c.jobId LEFT JOIN Part p ON p.id = j.partId
    JOIN (SELECT i.claimId, MAX(a.sentAt) AS lastSentAt, SUM(COALESCE(i.countedMilli, i.milli)) AS posted
            FROM ParcelItem i JOIN Parcel a ON a.id = i.parcelId GROUP BY i.claimId) s ON s.claimId = c.id
   WHERE s.posted >= c.milli - c.backMilli
  UNION ALL
  SELECT 'post', a.sentAt, a.arrivedAt, j.title, p.number, j.id, NULL, c.personId
    FROM ParcelItem i JOIN Parcel a ON a.id = i.parcelId JOIN Claim c ON c.id = i.claimId
    JOIN Job j ON j.id = c.jobId LEFT JOIN Part p ON p.id = j.partId
   WHERE a.arrivedAt IS NOT NULL
  UNION ALL
  SELECT 'inspect', a.arrivedAt, k.lastAt, j.title, p.number, j.id, NULL, c.personId
    FROM ParcelItem i JOIN Parcel a ON a.id = i.parcelId JOIN Claim c ON c.id = i.claimId
    JOIN Job j ON j.id = c.jobId LEFT JOIN Part p ON p.id = j.partId
    JOIN (SELECT itemId, MAX(at) AS lastAt, SUM(milli) AS checked FROM UnitCheck GROUP BY itemId) k ON k.itemId = i.id
   WHERE k.checked >= COALESCE(i.countedMilli, i.milli)`;

/** Reads what is done, the latest first, by the driver. */
export function doneReader({ hot }: Pick<Database, 'hot'>): {
  page(count: number, from: number): DoneRow[];
  count(): number;
} {
  const page = hot.prepare<[number, number], DoneRow>(
    `${DONE} ORDER BY untilAt DESC, jobId, kind LIMIT ? OFFSET ?`,
  );
  const count = hot.prepare<[], number>(`SELECT COUNT(*) FROM (${DONE})`).pluck();
  return { page: (size, from) => page.all(size, from), count: () => count.get() ?? 0 };
}
