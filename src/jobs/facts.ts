export const JOB_KINDS = ['design', 'fabricate', 'purchase', 'fit-up', 'trial', 'other'] as const;
export type JobKind = (typeof JOB_KINDS)[number];

/** The acts that count as a maker's word on a claim, beside the claim itself, reports, queries and parcels. */
export const WORDS_OF_A_CLAIM = ['renew-promise', 'hand-back', 'start-work', 'correct-report'];

/** One maker's share of a job, with what became of it. Quantities in thousandths of the part's unit. */
export interface ClaimFacts {
  id: number;
  jobId: number;
  personId: number;
  revisionId: number | null;
  /** claimed, and how much of that was handed back */
  milli: number;
  backMilli: number;
  /** reported finished */
  doneMilli: number;
  /** posted in parcels that have not arrived */
  travellingMilli: number;
  /** counted in parcels that have arrived */
  arrivedMilli: number;
  /** posted in parcels that arrived without them */
  shortMilli: number;
  /** accepted as drawn or by concession */
  acceptedMilli: number;
  /** sent to rework, returned or scrapped: another job answers for them */
  rejectedMilli: number;
  soonestDays: number;
  likelyDays: number;
  latestDays: number;
  /** moments as ISO text */
  claimedAt: string;
  startedAt: string | null;
  /** the maker's last word: claim, report, query, parcel, or one of WORDS_OF_A_CLAIM */
  lastWordAt: string;
  /** the last parcel's sending, and the last arrival */
  lastSentAt: string | null;
  lastArrivedAt: string | null;
}

/** A job as its stage, the board and the schedule need it. */
export interface JobFacts {
  id: number;
  kind: JobKind;
  title: string;
  partId: number | null;
  revisionId: number | null;
  milli: number;
  wantedOn: string | null;
  hours: number | null;
  days: number | null;
  personId: number | null;
  fromJobId: number | null;
  fromReason: 'rework' | 'replacement' | null;
  gatheringId: number | null;
  /** where at the machine: one job at a time in one spot; empty: at its own part */
  spot: string;
  strangers: boolean;
  /** one piece is approved before the rest may be posted */
  firstPiece: boolean;
  firstApprovedAt: string | null;
  offeredAt: string | null;
  startedAt: string | null;
  orderedAt: string | null;
  promisedOn: string | null;
  finishedAt: string | null;
  heldAt: string | null;
  droppedAt: string | null;
  createdAt: string;
  claims: ClaimFacts[];
}

/** How much of a fabrication job stands where, in thousandths. The parts of a job add up to its quantity. */
export interface JobQuantities {
  total: number;
  /** nobody has claimed it */
  open: number;
  /** claimed, work not begun */
  promised: number;
  /** claimed, work begun, not reported finished */
  inWork: number;
  /** finished, not posted (or posted and not in the parcel) */
  made: number;
  inPost: number;
  toInspect: number;
  accepted: number;
  /** rejected at inspection: a rework or replacement job answers for it */
  rejected: number;
}

/** Where the units of a fabrication job stand. */
export function quantitiesOf(job: Pick<JobFacts, 'milli' | 'claims'>): JobQuantities {
  const sums: JobQuantities = {
    total: job.milli,
    open: job.milli,
    promised: 0,
    inWork: 0,
    made: 0,
    inPost: 0,
    toInspect: 0,
    accepted: 0,
    rejected: 0,
  };
  for (const claim of job.claims) {
    const net = claim.milli - claim.backMilli;
    sums.open -= net;
    sums[claim.startedAt ? 'inWork' : 'promised'] += net - claim.doneMilli;
    // A unit that was not in the parcel is with its maker again: who posts it, posts it for the first time.
    sums.made += claim.doneMilli - claim.travellingMilli - claim.arrivedMilli;
    sums.inPost += claim.travellingMilli;
    sums.toInspect += claim.arrivedMilli - claim.acceptedMilli - claim.rejectedMilli;
    sums.accepted += claim.acceptedMilli;
    sums.rejected += claim.rejectedMilli;
  }
  return sums;
}

export const FABRICATION_STAGES = [
  'preparing',
  'offered',
  'promised',
  'in work',
  'in the post',
  'to inspect',
  'accepted',
] as const;
export const OTHER_STAGES = ['waiting', 'ready', 'in work', 'finished'] as const;
export type Stage =
  | (typeof FABRICATION_STAGES)[number]
  | (typeof OTHER_STAGES)[number]
  | 'on hold'
  | 'dropped';

/**
 * The stage of a job, which follows from its facts and is never set: for fabrication that of the slowest unit not
 * yet accepted.
 *
 * @param ready  whether what the job waits for is there; asked only of kinds other than fabrication
 */
export function stageOf(job: JobFacts, ready: boolean): Stage {
  if (job.droppedAt) return 'dropped';
  if (job.kind !== 'fabricate') {
    if (job.finishedAt) return 'finished';
    if (job.heldAt) return 'on hold';
    if (job.startedAt || job.orderedAt) return 'in work';
    return ready ? 'ready' : 'waiting';
  }
  const at = quantitiesOf(job);
  const settled = at.accepted + at.rejected >= at.total;
  // Nothing accepted and all rejected: the jobs that followed carry on, this one is over.
  if (settled) return at.accepted > 0 ? 'accepted' : 'dropped';
  if (job.heldAt) return 'on hold';
  if (!job.offeredAt) return 'preparing';
  if (at.open > 0) return 'offered';
  if (at.promised > 0) return 'promised';
  if (at.inWork + at.made > 0) return 'in work';
  return at.inPost > 0 ? 'in the post' : 'to inspect';
}

/** Whether nothing more is to be done on a job in this stage. */
export function isOver(stage: Stage): boolean {
  return stage === 'accepted' || stage === 'finished' || stage === 'dropped';
}
