import type { ClaimFacts } from '../jobs/index.ts';
import { type Day, dayIn, daysBetween } from '../platform/day.ts';

/** One promise against what happened. Days are calendar days from the claim. */
export interface KeptPromise {
  claimId: number;
  jobId: number;
  soonestDays: number;
  likelyDays: number;
  latestDays: number;
  /** days until the last of it was posted; for an open claim the days it has taken so far */
  tookDays: number;
  /** whether all of it has been posted */
  finished: boolean;
  /** in words: 'within the promise', 'late by 4 days', 'sooner than promised', 'still open', 'late by 4 days so far' */
  verdict: string;
  late: boolean;
}

/** A maker's promises taken together. */
export interface PromiseRecord {
  promises: KeptPromise[];
  finished: number;
  onTime: number;
  /** the middle one of (days taken / likely days) over finished claims; null when there are none */
  medianRatio: number | null;
  acceptedMilli: number;
  rejectedMilli: number;
  lateNow: number;
}

const plural = (days: number) => `${days} ${days === 1 ? 'day' : 'days'}`;

function verdictOf(finished: boolean, took: number, { soonestDays, latestDays }: ClaimFacts): string {
  if (took > latestDays) return `late by ${plural(took - latestDays)}${finished ? '' : ' so far'}`;
  if (!finished) return 'still open';
  return took < soonestDays ? 'sooner than promised' : 'within the promise';
}

/**
 * A maker's promises against what happened.
 *
 * A claim counts as finished when everything not handed back has been posted; on time when that was no later than
 * its latest promise. A claim handed back whole tells nothing of time and is left out.
 *
 * @param today  in the build's zone, as the moments are turned into days
 */
export function promiseRecord(claims: readonly ClaimFacts[], today: Day, timeZone: string): PromiseRecord {
  const promises: KeptPromise[] = [];
  let acceptedMilli = 0;
  let rejectedMilli = 0;
  for (const claim of claims) {
    acceptedMilli += claim.acceptedMilli;
    rejectedMilli += claim.rejectedMilli;
    const net = claim.milli - claim.backMilli;
    if (net === 0) continue;
    const finished = claim.travellingMilli + claim.arrivedMilli >= net && claim.lastSentAt !== null;
    const from = dayIn(timeZone, new Date(claim.claimedAt));
    const until = finished ? dayIn(timeZone, new Date(claim.lastSentAt as string)) : today;
    const tookDays = Math.max(0, daysBetween(from, until));
    const { soonestDays, likelyDays, latestDays } = claim;
    promises.push({
      claimId: claim.id,
      jobId: claim.jobId,
      soonestDays,
      likelyDays,
      latestDays,
      tookDays,
      finished,
      verdict: verdictOf(finished, tookDays, claim),
      late: tookDays > latestDays,
    });
  }
  const done = promises.filter((promise) => promise.finished);
  const ratios = done
    .map(({ tookDays, likelyDays }) => tookDays / Math.max(1, likelyDays))
    .sort((a, b) => a - b);
  const half = ratios.length / 2;
  const medianRatio = ratios.length ? (ratios[Math.ceil(half) - 1]! + ratios[Math.floor(half)]!) / 2 : null;
  return {
    promises,
    finished: done.length,
    onTime: done.filter(({ late }) => !late).length,
    medianRatio,
    acceptedMilli,
    rejectedMilli,
    lateNow: promises.filter(({ finished, late }) => !finished && late).length,
  };
}
