import type { Database } from '../platform/database.ts';
import { type ClaimFacts, type JobFacts, WORDS_OF_A_CLAIM } from './facts.ts';

interface JobRow extends Omit<JobFacts, 'claims' | 'strangers'> {
  strangers: number;
}

const JOBS = `
  SELECT id, kind, title, partId, revisionId, milli, wantedOn, hours, days, personId, fromJobId, fromReason, gatheringId,
         strangers, offeredAt, startedAt, orderedAt, promisedOn, finishedAt, heldAt, droppedAt, createdAt
    FROM Job`;

// Sums by claim: each parcel line and each disposition is counted once, in its own subquery.
const CLAIMS = `
  SELECT c.id, c.jobId, c.personId, c.revisionId, c.milli, c.backMilli, c.doneMilli,
         c.soonestDays, c.likelyDays, c.latestDays, c.claimedAt, c.startedAt,
         COALESCE(p.travelling, 0) AS travellingMilli, COALESCE(p.arrived, 0) AS arrivedMilli,
         COALESCE(p.short, 0) AS shortMilli, p.lastSentAt, p.lastArrivedAt,
         COALESCE(u.accepted, 0) AS acceptedMilli, COALESCE(u.rejected, 0) AS rejectedMilli,
         MAX(c.claimedAt, COALESCE(r.lastAt, ''), COALESCE(p.lastSentAt, ''), COALESCE(q.lastAt, ''),
             COALESCE(a.lastAt, '')) AS lastWordAt
    FROM Claim c
    LEFT JOIN (SELECT i.claimId,
                      SUM(CASE WHEN i.countedMilli IS NULL THEN i.milli ELSE 0 END) AS travelling,
                      SUM(COALESCE(i.countedMilli, 0)) AS arrived,
                      SUM(CASE WHEN i.countedMilli IS NULL THEN 0 ELSE i.milli - i.countedMilli END) AS short,
                      MAX(pa.sentAt) AS lastSentAt, MAX(pa.arrivedAt) AS lastArrivedAt
                 FROM ParcelItem i JOIN Parcel pa ON pa.id = i.parcelId GROUP BY i.claimId) p ON p.claimId = c.id
    LEFT JOIN (SELECT i.claimId,
                      SUM(CASE WHEN k.disposition IN ('accept', 'concession') THEN k.milli ELSE 0 END) AS accepted,
                      SUM(CASE WHEN k.disposition IN ('accept', 'concession') THEN 0 ELSE k.milli END) AS rejected
                 FROM UnitCheck k JOIN ParcelItem i ON i.id = k.itemId GROUP BY i.claimId) u ON u.claimId = c.id
    LEFT JOIN (SELECT claimId, MAX(at) AS lastAt FROM Report GROUP BY claimId) r ON r.claimId = c.id
    LEFT JOIN (SELECT jobId, askedById, MAX(askedAt) AS lastAt FROM Query GROUP BY jobId, askedById) q
           ON q.jobId = c.jobId AND q.askedById = c.personId
    LEFT JOIN (SELECT thingId, MAX(at) AS lastAt FROM Act
                WHERE thingType = 'claim' AND kind IN (${WORDS_OF_A_CLAIM.map((kind) => `'${kind}'`).join(', ')})
                GROUP BY thingId) a ON a.thingId = c.id`;

/** Reads jobs with their claims by the driver: thousands in a few milliseconds. */
export interface FactsReader {
  /** every job, by number */
  all(): JobFacts[];
  one(jobId: number): JobFacts | null;
}

export function factsReader(db: Pick<Database, 'hot'>): FactsReader {
  const allJobs = db.hot.prepare<[], JobRow>(`${JOBS} ORDER BY id`);
  const allClaims = db.hot.prepare<[], ClaimFacts>(`${CLAIMS} ORDER BY c.id`);
  const oneJob = db.hot.prepare<[number], JobRow>(`${JOBS} WHERE id = ?`);
  const claimsOfJob = db.hot.prepare<[number], ClaimFacts>(`${CLAIMS} WHERE c.jobId = ? ORDER BY c.id`);
  const both = db.hot.transaction(() => [allJobs.all(), allClaims.all()] as const);
  return {
    all() {
      const [jobs, claims] = both();
      const byJob = new Map<number, ClaimFacts[]>();
      for (const claim of claims) {
        const list = byJob.get(claim.jobId);
        if (list) list.push(claim);
        else byJob.set(claim.jobId, [claim]);
      }
      return jobs.map((job) => ({
        ...job,
        strangers: Boolean(job.strangers),
        claims: byJob.get(job.id) ?? [],
      }));
    },
    one(jobId) {
      const job = oneJob.get(jobId);
      return job ? { ...job, strangers: Boolean(job.strangers), claims: claimsOfJob.all(jobId) } : null;
    },
  };
}
