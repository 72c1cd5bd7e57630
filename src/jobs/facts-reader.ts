import type { Database } from '../platform/database.ts';
import { type ClaimFacts, type JobFacts, WORDS_OF_A_CLAIM } from './facts.ts';
import { untilCommit } from './until-commit.ts';

interface JobRow extends Omit<JobFacts, 'claims' | 'strangers' | 'firstPiece'> {
  strangers: number;
  firstPiece: number;
}

const jobsSql = (where: string) => `
  SELECT id, kind, title, partId, revisionId, milli, wantedOn, hours, days, personId, fromJobId, fromReason, gatheringId,
         spot, strangers, firstPiece, firstApprovedAt, offeredAt, startedAt, orderedAt, promisedOn, finishedAt, heldAt,
         droppedAt, createdAt
    FROM Job ${where} ORDER BY id`;

const words = WORDS_OF_A_CLAIM.map((kind) => `'${kind}'`).join(', ');

/**
 * Sums by claim: each parcel line and each disposition is counted once, in its own subquery.
 *
 * @param jobs  which jobs, as a condition on a jobId, so that one job does not cost the sums of all; null for all
 */
function claimsSql(jobs: string | null): string {
  const claims = jobs ? `IN (SELECT id FROM Claim WHERE jobId ${jobs})` : 'IS NOT NULL';
  return `
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
                 FROM ParcelItem i JOIN Parcel pa ON pa.id = i.parcelId
                WHERE i.claimId ${claims} GROUP BY i.claimId) p ON p.claimId = c.id
    LEFT JOIN (SELECT i.claimId,
                      SUM(CASE WHEN k.disposition IN ('accept', 'concession') THEN k.milli ELSE 0 END) AS accepted,
                      SUM(CASE WHEN k.disposition IN ('accept', 'concession') THEN 0 ELSE k.milli END) AS rejected
                 FROM UnitCheck k JOIN ParcelItem i ON i.id = k.itemId
                WHERE i.claimId ${claims} GROUP BY i.claimId) u ON u.claimId = c.id
    LEFT JOIN (SELECT claimId, MAX(at) AS lastAt FROM Report WHERE claimId ${claims} GROUP BY claimId) r
           ON r.claimId = c.id
    LEFT JOIN (SELECT jobId, askedById, MAX(askedAt) AS lastAt FROM Query
                WHERE jobId ${jobs ?? 'IS NOT NULL'} GROUP BY jobId, askedById) q
           ON q.jobId = c.jobId AND q.askedById = c.personId
    LEFT JOIN (SELECT thingId, MAX(at) AS lastAt FROM Act
                WHERE thingType = 'claim' AND kind IN (${words}) AND thingId ${claims}
                GROUP BY thingId) a ON a.thingId = c.id
   WHERE c.jobId ${jobs ?? 'IS NOT NULL'} ORDER BY c.id`;
}

/** Reads jobs with their claims by the driver: thousands in a few milliseconds. */
export interface FactsReader {
  /** every job, by number; read anew only after a commit, so the list is shared */
  all(): readonly JobFacts[];
  one(jobId: number): JobFacts | null;
  /** the jobs of a part, by number */
  ofPart(partId: number): JobFacts[];
}

function joined(jobs: readonly JobRow[], claims: readonly ClaimFacts[]): JobFacts[] {
  const byJob = new Map<number, ClaimFacts[]>();
  for (const claim of claims) {
    const list = byJob.get(claim.jobId);
    if (list) list.push(claim);
    else byJob.set(claim.jobId, [claim]);
  }
  return jobs.map((job) => ({
    ...job,
    strangers: Boolean(job.strangers),
    firstPiece: Boolean(job.firstPiece),
    claims: byJob.get(job.id) ?? [],
  }));
}

// One for each connection: all who look at jobs share one reading of them, instead of each reading them after a commit.
const readers = new WeakMap<Database['hot'], FactsReader>();

/** The reader of a database: always the same one, so that asking for it costs nothing. */
export function factsReader({ hot }: Pick<Database, 'hot'>): FactsReader {
  let reader = readers.get(hot);
  if (!reader) {
    reader = newReader(hot);
    readers.set(hot, reader);
  }
  return reader;
}

function newReader(hot: Database['hot']): FactsReader {
  const allJobs = hot.prepare<[], JobRow>(jobsSql(''));
  const allClaims = hot.prepare<[], ClaimFacts>(claimsSql(null));
  const oneJob = hot.prepare<[{ id: number }], JobRow>(jobsSql('WHERE id = @id'));
  const claimsOfOne = hot.prepare<[{ id: number }], ClaimFacts>(claimsSql('= @id'));
  const jobsOfPart = hot.prepare<[{ id: number }], JobRow>(jobsSql('WHERE partId = @id'));
  const claimsOfPart = hot.prepare<[{ id: number }], ClaimFacts>(
    claimsSql('IN (SELECT id FROM Job WHERE partId = @id)'),
  );
  // Jobs and claims are of one moment: in between, another connection may commit.
  const all = untilCommit(
    hot,
    hot.transaction(() => joined(allJobs.all(), allClaims.all())),
  );
  const one = hot.transaction((id: number) => joined(oneJob.all({ id }), claimsOfOne.all({ id })));
  const ofPart = hot.transaction((id: number) => joined(jobsOfPart.all({ id }), claimsOfPart.all({ id })));
  return {
    all,
    one: (jobId) => one(jobId)[0] ?? null,
    ofPart: (partId) => ofPart(partId),
  };
}
