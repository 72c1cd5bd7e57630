import { type PlannedClaim, type SupersedePlan, supersedePlan } from '../drawings/index.ts';
import { type ClaimFacts, isOver, type JobFacts, quantitiesOf, stageOf } from '../jobs/index.ts';
import { type Structure, whereUsed } from '../parts/index.ts';

// What a redesign touches beside its parts: pure, from facts that the reader gathers. Quantities in thousandths.

/** A part that a redesign touches. */
export interface ImpactPart {
  id: number;
  /** its new revision; null before it is begun */
  toId: number | null;
  /** on the shelf, not out of a job */
  shelfMilli: number;
  jobs: readonly JobFacts[];
}

/** An assembly in which touched parts end up, and how much of each is in one of it. */
export interface Holder {
  partId: number;
  /** whether it holds one of them directly */
  direct: boolean;
  /** whether it goes into nothing itself */
  top: boolean;
  holds: { partId: number; milli: number }[];
  /** how many of it are fitted together already */
  fittedMilli: number;
}

/**
 * Every assembly in which the parts end up, from those that hold them directly to the top.
 *
 * @param fitted  how much of a part has been fitted together by finished jobs, by part
 */
export function holdersOf(
  structure: Structure,
  partIds: readonly number[],
  fitted: ReadonlyMap<number, number>,
): Holder[] {
  const holders = new Map<number, Holder>();
  for (const partId of partIds) {
    if (!structure.places.has(partId)) continue;
    const { direct, all, tops } = whereUsed(structure, partId);
    for (const { partId: holderId, quantityMilli } of all) {
      let holder = holders.get(holderId);
      if (!holder) {
        const top = tops.some((one) => one.partId === holderId);
        const fittedMilli = fitted.get(holderId) ?? 0;
        holder = { partId: holderId, direct: false, top, holds: [], fittedMilli };
        holders.set(holderId, holder);
      }
      holder.direct ||= direct.some((one) => one.partId === holderId);
      holder.holds.push({ partId, milli: quantityMilli });
    }
  }
  // Children stand before what holds them.
  const found: Holder[] = [];
  for (let at = structure.order.length - 1; at >= 0 && found.length < holders.size; at--) {
    const holder = holders.get(structure.ids[structure.order[at]!]!);
    if (holder) found.push(holder);
  }
  return found;
}

/** A maker's share that a release will ask about. */
export interface AskedClaim {
  claim: ClaimFacts;
  job: JobFacts;
  /** still in the maker's shop: made to the new drawing, if they take it up */
  withMakerMilli: number;
  /** in the post or here, to inspect: of the old drawing whatever is answered */
  onTheWayMilli: number;
}

/** A lot of accepted units that a release will list for a decision. */
export interface OldLot {
  claimId: number;
  jobId: number;
  personId: number;
  revisionId: number;
  milli: number;
}

/** What becomes of an open job. */
export interface TouchedJob {
  job: JobFacts;
  /** what nobody has claimed, and is made to the new drawing from the release on */
  movesMilli: number;
  /** its first piece was approved, and one of the new drawing comes first again */
  losesFirstPiece: boolean;
}

/** What a lot is listed by, once: a claim that goes on to a newer drawing may be listed for that as well. */
export const lotKey = ({ claimId, revisionId }: Pick<OldLot, 'claimId' | 'revisionId'>) =>
  `${claimId} ${revisionId}`;

export interface PartImpact {
  partId: number;
  jobs: TouchedJob[];
  asked: AskedClaim[];
  lots: OldLot[];
  /** accepted in all, whatever it was made to */
  acceptedMilli: number;
  shelfMilli: number;
  /** of what is accepted or on the shelf, built into finished assemblies */
  fittedMilli: number;
}

/** No revision has this number: what stands for one that is not begun. */
const NOT_BEGUN = -1;

function plannedClaims(jobs: readonly JobFacts[]): PlannedClaim[] {
  return jobs.flatMap((job) =>
    job.claims.map((claim) => {
      const net = claim.milli - claim.backMilli;
      const posted = claim.travellingMilli + claim.arrivedMilli;
      const { acceptedMilli: accepted, rejectedMilli: rejected } = claim;
      return {
        id: claim.id,
        jobId: job.id,
        personId: claim.personId,
        revisionId: claim.revisionId,
        work: {
          net,
          posted,
          accepted,
          rejected,
          withMaker: Math.max(0, net - posted),
          open: net > accepted + rejected,
        },
      };
    }),
  );
}

/**
 * What the release of a part's new revision will do, by the same plan by which it is done.
 *
 * @param spent   lots that were listed before and reworked or scrapped (lotKey): they are not listed again
 * @param fitted  how much of a part has been fitted together by finished jobs, by part
 */
export function partImpact(
  structure: Structure,
  part: ImpactPart,
  spent: ReadonlySet<string>,
  fitted: ReadonlyMap<number, number>,
): PartImpact {
  const made = part.jobs.filter(({ kind, droppedAt }) => kind === 'fabricate' && !droppedAt);
  const claims = plannedClaims(made);
  const plan: SupersedePlan = supersedePlan(part.toId ?? NOT_BEGUN, made, claims);
  const jobOf = new Map(made.map((job) => [job.id, job]));
  const claimOf = new Map(made.flatMap((job) => job.claims.map((claim) => [claim.id, claim] as const)));
  const moves = new Set(plan.moves.map(({ id }) => id));
  const acceptedMilli = claims.reduce((sum, { work }) => sum + work.accepted, 0);
  const holders = structure.places.has(part.id) ? whereUsed(structure, part.id).direct : [];
  const built = holders.reduce(
    (sum, { partId, quantityMilli }) => sum + Math.ceil(((fitted.get(partId) ?? 0) * quantityMilli) / 1000),
    0,
  );
  return {
    partId: part.id,
    jobs: part.jobs
      // Whether a job waits for something else does not matter here: it is open or not.
      .filter((job) => !isOver(stageOf(job, true)))
      .map((job) => {
        const isMoved = moves.has(job.id);
        return {
          job,
          movesMilli: isMoved ? Math.max(0, quantitiesOf(job).open) : 0,
          losesFirstPiece: isMoved && job.firstPiece && job.firstApprovedAt !== null,
        };
      }),
    asked: plan.notices.map(({ id, jobId, work }) => ({
      claim: claimOf.get(id)!,
      job: jobOf.get(jobId)!,
      withMakerMilli: work.withMaker,
      onTheWayMilli: Math.max(0, work.posted - work.accepted - work.rejected),
    })),
    lots: plan.oldUnits.flatMap(({ claimId, jobId, revisionId, milli }) =>
      spent.has(lotKey({ claimId, revisionId }))
        ? []
        : [{ claimId, jobId, revisionId, milli, personId: claimOf.get(claimId)!.personId }],
    ),
    acceptedMilli,
    shelfMilli: part.shelfMilli,
    fittedMilli: Math.min(built, acceptedMilli + part.shelfMilli),
  };
}
