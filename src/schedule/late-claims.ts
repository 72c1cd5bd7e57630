import type { ClaimFacts } from '../jobs/index.ts';
import { type Day, dayIn, daysBetween } from '../platform/day.ts';
import type { Change } from './build-model.ts';
import { calendarPass } from './calendar-pass.ts';
import { type Schedule, timesOf } from './schedule.ts';

/** What a maker has in hand, with the day the machine needs it posted by. */
export interface ClaimInHand {
  claimId: number;
  jobId: number;
  partId: number | null;
  personId: number;
  /** its step in the network: making, and bringing it to the post */
  step: number;
  /** the moment by which it must be posted so as not to move the finish of the plan as promised */
  needBy: number;
  needByOn: Day;
  /** the moment promised as likely; may lie in the past */
  promised: number;
  promisedOn: Day;
  /** days since the maker's last word */
  silentDays: number;
  lastWordOn: Day;
  onHold: boolean;
  /** posted by the day it is needed, whatever else happens */
  inTime: Change[];
}

/**
 * Everything that makers have in hand, in the order of the network.
 *
 * The day each is needed by is that of the plan in which every maker keeps their promise: in the plan as it is expected
 * to come, a late promise that drives the finish would be needed no sooner than it comes.
 */
export function claimsInHand({ facts, network, graph }: Schedule): ClaimInHand[] {
  const { calendar, calendars, nodes } = network;
  const dayOf = (instant: string) => dayIn(facts.timeZone, new Date(instant));
  const promisedAt = (claim: ClaimFacts) => calendar.momentOf(dayOf(claim.claimedAt)) + claim.likelyDays;
  const times = timesOf(nodes);
  nodes.forEach(({ word, claim }, step) => {
    if (word === 'make' && claim) times.durations[step] = Math.max(0, promisedAt(claim));
  });
  const { lateEnds } = calendarPass(graph, times, calendars);
  return nodes.flatMap(({ word, job, claim }, step) => {
    if (word !== 'make' || !job || !claim) return [];
    const lastWordOn = dayOf(claim.lastWordAt);
    const promised = promisedAt(claim);
    // A day that has passed can't be kept any more: posted today is the best there is.
    const needBy = Math.max(0, lateEnds[step]!);
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
        inTime: [{ step, kind: 'overBy', value: needBy }],
      } satisfies ClaimInHand,
    ];
  });
}
