import type { Unit } from '../parts/index.ts';
import type { Actor } from '../platform/acts.ts';
import type { Refusal } from '../platform/refusal.ts';
import { type ClaimFacts, type JobFacts, quantitiesOf } from './facts.ts';
import { be, say } from './say.ts';

// What may be done with a claim: each rule answers null, or why not. Pure; the acts ask them inside their transaction.

/** The longest promise taken, in calendar days. */
export const LONGEST_PROMISE_DAYS = 730;

/** Calendar days until posting. */
export interface PromiseDays {
  soonestDays: number;
  likelyDays: number;
  latestDays: number;
}

/** What is left of a claim after what was handed back. */
export function netOf(claim: Pick<ClaimFacts, 'milli' | 'backMilli'>): number {
  return claim.milli - claim.backMilli;
}

/** Claimed and not yet reported finished. */
export function unfinishedOf(claim: Pick<ClaimFacts, 'milli' | 'backMilli' | 'doneMilli'>): number {
  return netOf(claim) - claim.doneMilli;
}

/** Finished and with the maker: not posted, or posted and not in the parcel. */
export function madeOf(claim: Pick<ClaimFacts, 'doneMilli' | 'travellingMilli' | 'arrivedMilli'>): number {
  return claim.doneMilli - claim.travellingMilli - claim.arrivedMilli;
}

/** Still with the maker, finished or not. */
export function withMakerOf(claim: ClaimFacts): number {
  return unfinishedOf(claim) + madeOf(claim);
}

/** A claim belongs to its maker; the lead may act on a maker's behalf. */
export function mayActOn(claim: Pick<ClaimFacts, 'personId'>, actor: Actor): Refusal | null {
  if (actor.role === 'lead' || (actor.personId !== null && actor.personId === claim.personId)) return null;
  return {
    code: 'not-your-claim',
    sentence: 'This claim is another maker’s: only they or the lead may do that.',
  };
}

/** A promise counts in whole days, soonest <= likely <= latest, at most two years ahead. */
export function mayPromise({ soonestDays, likelyDays, latestDays }: PromiseDays): Refusal | null {
  const days = [soonestDays, likelyDays, latestDays];
  if (days.some((count) => !Number.isInteger(count) || count < 0 || count > LONGEST_PROMISE_DAYS)) {
    return {
      code: 'promise-out-of-range',
      sentence: `A promise is 0 to ${LONGEST_PROMISE_DAYS} whole days; these are ${days.join(', ')}.`,
    };
  }
  if (soonestDays > likelyDays || likelyDays > latestDays) {
    return {
      code: 'promise-out-of-order',
      sentence: `Soonest, likely and latest come in this order; these are ${days.join(', ')} days.`,
    };
  }
  return null;
}

/** Whether so much of a job may be claimed. @param revisionState  of the revision the job is made to */
export function mayClaim(
  job: JobFacts,
  milli: number,
  revisionState: string | null,
  unit: Unit,
): Refusal | null {
  if (job.kind !== 'fabricate') {
    return { code: 'not-claimable', sentence: `Job ${job.id} is not one that makers claim.` };
  }
  if (job.droppedAt) return { code: 'job-dropped', sentence: `Job ${job.id} was dropped.` };
  if (job.heldAt)
    return { code: 'job-on-hold', sentence: `Job ${job.id} is on hold: nothing can be claimed now.` };
  if (!job.offeredAt) return { code: 'not-offered', sentence: `Job ${job.id} is not offered.` };
  if (revisionState !== 'released') {
    return { code: 'not-released', sentence: `The drawing of job ${job.id} is not released any more.` };
  }
  const { open, total } = quantitiesOf(job);
  if (open <= 0) {
    return { code: 'quantity-taken', sentence: `All of job ${job.id} is claimed: ${say(total, unit)}.` };
  }
  if (milli <= 0) return { code: 'no-quantity', sentence: 'A claim is for more than nothing.' };
  if (milli > open) {
    return {
      code: 'quantity-taken',
      sentence: `Only ${say(open, unit)} of ${say(total, unit)} ${be(open)} still open; you asked for ${say(milli, unit)}.`,
    };
  }
  return null;
}

/** Whether so much of a claim may go back to the offer. */
export function mayHandBack(claim: ClaimFacts, milli: number, unit: Unit): Refusal | null {
  const unfinished = unfinishedOf(claim);
  if (netOf(claim) === 0)
    return { code: 'claim-ended', sentence: 'All of this claim is handed back already.' };
  if (unfinished <= 0) {
    return { code: 'nothing-unfinished', sentence: `All ${say(netOf(claim), unit)} are reported finished.` };
  }
  if (milli <= 0) return { code: 'no-quantity', sentence: 'Say how much is handed back.' };
  if (milli > unfinished) {
    return {
      code: 'more-than-unfinished',
      sentence: `Only ${say(unfinished, unit)} ${be(unfinished)} unfinished; ${say(milli, unit)} cannot be handed back.`,
    };
  }
  return null;
}

/** Whether the maker may say that work has begun. */
export function mayStart(job: JobFacts, claim: ClaimFacts): Refusal | null {
  if (job.droppedAt) return { code: 'job-dropped', sentence: `Job ${job.id} was dropped.` };
  if (claim.startedAt) return { code: 'already-begun', sentence: 'Work on this claim has begun already.' };
  if (unfinishedOf(claim) <= 0) {
    return { code: 'nothing-unfinished', sentence: 'Nothing of this claim is left to make.' };
  }
  return null;
}

/** Whether so much more may be reported finished; 0 for words, hours or photos alone. */
export function mayReport(job: JobFacts, claim: ClaimFacts, milli: number, unit: Unit): Refusal | null {
  if (job.droppedAt) return { code: 'job-dropped', sentence: `Job ${job.id} was dropped.` };
  const net = netOf(claim);
  if (net === 0) return { code: 'claim-ended', sentence: 'All of this claim is handed back.' };
  if (milli < 0) return { code: 'no-quantity', sentence: 'What is finished cannot be below nothing.' };
  if (claim.doneMilli + milli > net) {
    return {
      code: 'more-than-claimed',
      sentence:
        `${say(net, unit)} ${be(net)} claimed and ${say(claim.doneMilli, unit)} reported finished before: ` +
        `${say(milli, unit)} more would be above the claim.`,
    };
  }
  return null;
}

/** Whether so much that was reported finished may be taken back: only what has not left the maker. */
export function mayCorrect(job: JobFacts, claim: ClaimFacts, milli: number, unit: Unit): Refusal | null {
  if (job.droppedAt) return { code: 'job-dropped', sentence: `Job ${job.id} was dropped.` };
  const made = madeOf(claim);
  if (milli <= 0) return { code: 'no-quantity', sentence: 'Say how much is not finished after all.' };
  if (milli > made) {
    return {
      code: 'more-than-made',
      sentence: `${say(made, unit)} ${be(made)} finished and not posted; ${say(milli, unit)} cannot be taken back.`,
    };
  }
  return null;
}

/** Whether a new promise may be given: as long as something is still with the maker. */
export function mayRenewPromise(job: JobFacts, claim: ClaimFacts): Refusal | null {
  if (job.droppedAt) return { code: 'job-dropped', sentence: `Job ${job.id} was dropped.` };
  if (withMakerOf(claim) > 0) return null;
  return {
    code: 'all-posted',
    sentence: 'Nothing of this claim is with its maker any more: no promise is open.',
  };
}
