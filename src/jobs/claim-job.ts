import type { Act } from '../platform/acts.ts';
import { dayIn, daysBetween } from '../platform/day.ts';
import { orRefuse, refuse, WrongField } from '../platform/refusal.ts';
import {
  mayActOn,
  mayClaim,
  mayHandBack,
  mayPromise,
  mayRenewPromise,
  netOf,
  type PromiseDays,
} from './claim-rules.ts';
import { oneRow, readClaim, readJob } from './store.ts';

export interface NewClaim extends PromiseDays {
  jobId: number;
  /** the maker: who acts, or whom the lead acts for */
  personId: number;
  milli: number;
  note?: string;
}

/** Whom an act on a claim concerns, where the lead does it for the maker. */
export function aboutMaker(act: Act, personId: number): number | null {
  return personId === act.actor.personId ? null : personId;
}

/**
 * A maker claims a quantity of an offered job, with a promise. Claiming again makes a second claim.
 *
 * Two people after the last unit: the transactions follow one another, and the second finds it taken.
 *
 * @returns the claim's id
 */
export async function claimJob(act: Act, input: NewClaim): Promise<number> {
  const { jobId, personId, milli, soonestDays, likelyDays, latestDays } = input;
  orRefuse(mayActOn({ personId }, act.actor));
  orRefuse(mayPromise(input));
  const { facts, unit, revision } = await readJob(act.tx, jobId);
  orRefuse(mayClaim(facts, milli, revision?.state ?? null, unit));
  const person = await act.tx.person.findUnique({ where: { id: personId } });
  if (!person || person.deactivatedAt || person.forgottenAt) {
    throw new WrongField('personId', 'There is no such person here.');
  }
  const claim = await act.tx.claim.create({
    data: {
      jobId,
      personId,
      revisionId: facts.revisionId,
      milli,
      soonestDays,
      likelyDays,
      latestDays,
      note: input.note ?? '',
      claimedAt: act.at,
    },
  });
  // The guard once more on what is written: whatever came in between, the claims never exceed the job.
  const { _sum } = await act.tx.claim.aggregate({ where: { jobId }, _sum: { milli: true, backMilli: true } });
  const still = await act.tx.job.count({
    where: { id: jobId, offeredAt: { not: null }, heldAt: null, droppedAt: null, milli: facts.milli },
  });
  if (still !== 1 || (_sum.milli ?? 0) - (_sum.backMilli ?? 0) > facts.milli) {
    refuse('quantity-taken', `Somebody was quicker: job ${jobId} has changed. Look again at what is open.`);
  }
  await act.log({
    kind: 'claim-job',
    partId: facts.partId,
    jobId,
    aboutId: aboutMaker(act, personId),
    thing: { type: 'claim', id: claim.id },
    milli,
    after: { soonestDays, likelyDays, latestDays, revisionId: facts.revisionId },
  });
  return claim.id;
}

/** Gives an unfinished quantity back to the offer. What was made stays with the claim; the history stays whole. */
export async function handBack(
  act: Act,
  { claimId, milli, words = '' }: { claimId: number; milli: number; words?: string },
): Promise<void> {
  const { facts, unit, claim } = await readClaim(act.tx, claimId);
  orRefuse(mayActOn(claim, act.actor));
  orRefuse(mayHandBack(claim, milli, unit));
  oneRow(
    await act.tx.claim.updateMany({
      where: { id: claimId, backMilli: claim.backMilli, doneMilli: claim.doneMilli },
      data: {
        backMilli: claim.backMilli + milli,
        ...(netOf(claim) === milli ? { endedAt: act.at } : {}),
      },
    }),
  );
  // Why is the maker's own affair: it stands with their reports, which they can take away, and not in the log.
  if (words) await act.tx.report.create({ data: { claimId, at: act.at, doneMilli: 0, words } });
  await act.log({
    kind: 'hand-back',
    partId: facts.partId,
    jobId: facts.id,
    aboutId: aboutMaker(act, claim.personId),
    thing: { type: 'claim', id: claimId },
    milli,
    before: { milli: netOf(claim) },
    after: { milli: netOf(claim) - milli },
  });
}

/**
 * Replaces a claim's promise by one that counts from today. The former one stays in the log.
 *
 * The claim keeps its days from the day it was made, so that promises can be held against what happened.
 */
export async function renewPromise(
  act: Act,
  { claimId, ...promise }: { claimId: number } & PromiseDays,
): Promise<void> {
  const { facts, claim } = await readClaim(act.tx, claimId);
  orRefuse(mayActOn(claim, act.actor));
  orRefuse(mayPromise(promise));
  orRefuse(mayRenewPromise(facts, claim));
  const build = await act.tx.build.findUniqueOrThrow({ where: { id: 1 }, select: { timeZone: true } });
  const gone = daysBetween(dayIn(build.timeZone, new Date(claim.claimedAt)), act.today);
  const before = {
    soonestDays: claim.soonestDays,
    likelyDays: claim.likelyDays,
    latestDays: claim.latestDays,
  };
  const after = {
    soonestDays: gone + promise.soonestDays,
    likelyDays: gone + promise.likelyDays,
    latestDays: gone + promise.latestDays,
  };
  oneRow(
    await act.tx.claim.updateMany({
      where: { id: claimId, backMilli: claim.backMilli, doneMilli: claim.doneMilli, ...before },
      data: after,
    }),
  );
  await act.log({
    kind: 'renew-promise',
    partId: facts.partId,
    jobId: facts.id,
    aboutId: aboutMaker(act, claim.personId),
    thing: { type: 'claim', id: claimId },
    before,
    after,
  });
}
