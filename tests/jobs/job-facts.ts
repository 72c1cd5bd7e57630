import type { ClaimFacts, JobFacts } from '../../src/jobs/facts.ts';

/** A moment, when which one does not matter. */
export const AT = '2026-03-02T08:00:00.000Z';

/** An offered job of four pieces that nobody has claimed. */
export function aJob(more: Partial<JobFacts> = {}): JobFacts {
  return {
    id: 7,
    kind: 'fabricate',
    title: 'Idler',
    partId: 1,
    revisionId: 1,
    milli: 4000,
    wantedOn: null,
    hours: null,
    days: null,
    personId: null,
    fromJobId: null,
    fromReason: null,
    gatheringId: null,
    spot: '',
    strangers: true,
    firstPiece: false,
    firstApprovedAt: null,
    offeredAt: AT,
    startedAt: null,
    orderedAt: null,
    promisedOn: null,
    finishedAt: null,
    heldAt: null,
    droppedAt: null,
    createdAt: AT,
    claims: [],
    ...more,
  };
}

/** A claim of four pieces by person 3, promised in 5, 10 or 20 days. */
export function aClaimOf(more: Partial<ClaimFacts> = {}): ClaimFacts {
  return {
    id: 1,
    jobId: 7,
    personId: 3,
    revisionId: 1,
    milli: 4000,
    backMilli: 0,
    doneMilli: 0,
    travellingMilli: 0,
    arrivedMilli: 0,
    shortMilli: 0,
    acceptedMilli: 0,
    rejectedMilli: 0,
    soonestDays: 5,
    likelyDays: 10,
    latestDays: 20,
    claimedAt: AT,
    startedAt: null,
    lastWordAt: AT,
    lastSentAt: null,
    lastArrivedAt: null,
    ...more,
  };
}
