import { type Day, dayIn, daysBetween } from '../platform/day.ts';
import type { Change } from './build-model.ts';
import type { Schedule } from './schedule.ts';

/** What a maker has in hand, with the day the machine needs it posted by. */
export interface ClaimInHand {
  claimId: number;
  jobId: number;
  partId: number | null;
  personId: number;
  /** its step in the network: making, and bringing it to the post */
  step: number;
  /** the moment by which it must be posted so as not to move the finish of the plan */
  needBy: number;
  needByOn: Day;
  /** the moment promised as likely; may lie in the past */
  promised: number;
  promisedOn: Day;
  /** days since the maker's last word */
  silentDays: number;
  lastWordOn: Day;
  onHold: boolean;
  /** posted by the day it is needed, or by the day promised where that is sooner, whatever else happens */
  inTime: Change[];
}

/** Everything that makers have in hand, in the order of the network. */
export function claimsInHand({ facts, network, dates }: Schedule): ClaimInHand[] {
  const { calendar, nodes } = network;
  const dayOf = (instant: string) => dayIn(facts.timeZone, new Date(instant));
  return nodes.flatMap(({ word, job, claim }, step) => {
    if (word !== 'make' || !job || !claim) return [];
    const lastWordOn = dayOf(claim.lastWordAt);
    const promised = calendar.momentOf(dayOf(claim.claimedAt)) + claim.likelyDays;
    // A day that has passed can't be kept any more: posted today is the best there is.
    const needBy = Math.max(0, dates.lateEnds[step]!);
    return [
      {
        claimId: claim.id,
        jobId: job.id,
        partId: job.partId,
        personId: claim.personId,
        step,
        needBy,
        needByOn: calendar.dayAt(needBy),
        promised,
        promisedOn: calendar.dayAt(promised),
        silentDays: Math.max(0, daysBetween(lastWordOn, facts.today)),
        lastWordOn,
        onHold: job.heldAt !== null,
        inTime: [{ step, kind: 'overBy', value: Math.min(needBy, Math.max(0, promised)) }],
      } satisfies ClaimInHand,
    ];
  });
}
