import { type ClaimFacts, type JobFacts, madeOf } from '../jobs/index.ts';
import type { Unit } from '../parts/index.ts';
import type { Actor } from '../platform/acts.ts';
import { type Day, dayWords } from '../platform/day.ts';
import type { Refusal } from '../platform/refusal.ts';
import { be, say } from './say.ts';

// What may be done with a parcel: each rule answers null, or why not. Pure; the acts ask them inside their transaction.

/** A line of a parcel: so much of one claim. Quantities in thousandths of the part's unit. */
export interface ParcelLine {
  milli: number;
  /** counted on arrival; null until then */
  countedMilli: number | null;
  /** of what was counted, how much has a disposition */
  checkedMilli: number;
}

/** A maker posts their own work; lead and crew may write it down for them. */
export function mayPostFor(actor: Actor, makerId: number): Refusal | null {
  if (actor.role === 'lead' || actor.role === 'crew') return null;
  if (actor.personId !== null && actor.personId === makerId) return null;
  return { code: 'not-your-parcel', sentence: 'This is another maker’s work: only they can post it.' };
}

/** Whether so much of a claim may be in a parcel: no more than is finished and still with its maker. */
export function mayPost(
  job: Pick<JobFacts, 'id' | 'droppedAt'>,
  claim: Pick<ClaimFacts, 'doneMilli' | 'travellingMilli' | 'arrivedMilli'>,
  milli: number,
  unit: Unit,
): Refusal | null {
  if (job.droppedAt) {
    return { code: 'job-dropped', sentence: `Job ${job.id} was dropped: nothing of it is to be posted.` };
  }
  if (milli <= 0) return { code: 'no-quantity', sentence: `Say how much of job ${job.id} is in the parcel.` };
  const made = madeOf(claim);
  if (milli <= made) return null;
  return {
    code: 'more-than-finished',
    sentence:
      `Of job ${job.id} ${say(made, unit)} ${be(made)} finished and not posted: ${say(milli, unit)} cannot be ` +
      'in the parcel. Report what is finished first.',
  };
}

/** Whether the parcel can have gone off on that day. @param claimedOn  the day of the latest of its claims */
export function maySendOn(sentOn: Day, claimedOn: Day, today: Day): Refusal | null {
  if (sentOn > today) {
    return {
      code: 'day-to-come',
      sentence: `${dayWords(sentOn)} is still to come: write the parcel down when it is sent.`,
    };
  }
  if (sentOn < claimedOn) {
    return {
      code: 'before-claim',
      sentence: `The work was claimed on ${dayWords(claimedOn)}: it cannot have been posted on ${dayWords(sentOn)}.`,
    };
  }
  return null;
}

/** Whether the parcel can have come on that day. One that was written off may still come. */
export function mayReceive(
  parcel: { id: number; sentOn: Day; arrivedOn: Day | null },
  arrivedOn: Day,
  today: Day,
): Refusal | null {
  if (parcel.arrivedOn) {
    return {
      code: 'already-here',
      sentence: `Parcel ${parcel.id} was taken in on ${dayWords(parcel.arrivedOn)} already.`,
    };
  }
  if (arrivedOn > today) {
    return { code: 'day-to-come', sentence: `${dayWords(arrivedOn)} is still to come.` };
  }
  if (arrivedOn < parcel.sentOn) {
    return {
      code: 'before-sending',
      sentence: `It was sent on ${dayWords(parcel.sentOn)}: it cannot have come on ${dayWords(arrivedOn)}.`,
    };
  }
  return null;
}

/**
 * Whether a line may be counted, or counted again, as so much: no more than was posted, no less than has been checked.
 * What was short went back to its maker; it can be found later only as long as the maker has not posted it anew or
 * handed it back.
 *
 * @param madeMilli  finished and with the maker, by the claim as it stands
 */
export function mayCount(
  line: ParcelLine,
  countedMilli: number,
  madeMilli: number,
  unit: Unit,
): Refusal | null {
  if (countedMilli < 0 || (unit === 'piece' && countedMilli % 1000 !== 0)) {
    return { code: 'no-count', sentence: 'A count is none or more, and pieces are whole.' };
  }
  if (countedMilli > line.milli) {
    return {
      code: 'more-than-posted',
      sentence:
        `${say(line.milli, unit)} ${line.milli === 1000 ? 'was' : 'were'} posted; ${say(countedMilli, unit)} cannot ` +
        'have come. If the maker sent more than they wrote down, write the rest down as a parcel of its own.',
    };
  }
  if (countedMilli < line.checkedMilli) {
    return {
      code: 'fewer-than-checked',
      sentence: `${say(line.checkedMilli, unit)} ${be(line.checkedMilli)} inspected already: no fewer can have come.`,
    };
  }
  const found = line.countedMilli === null ? 0 : countedMilli - line.countedMilli;
  if (found > madeMilli) {
    return {
      code: 'posted-again',
      sentence:
        `What was short has since been posted again or handed back; ${say(madeMilli, unit)} more can be counted here. ` +
        'What is over belongs on the shelf: count it on the part’s page.',
    };
  }
  return null;
}

/** Whether a parcel may be written off: it has not come, and is not written off already. */
export function mayWriteOff(parcel: {
  id: number;
  arrivedOn: Day | null;
  lines: readonly ParcelLine[];
}): Refusal | null {
  if (parcel.arrivedOn) {
    return {
      code: 'already-here',
      sentence: `Parcel ${parcel.id} was taken in on ${dayWords(parcel.arrivedOn)}: count what is in it.`,
    };
  }
  if (parcel.lines.every(({ countedMilli }) => countedMilli !== null)) {
    return { code: 'written-off', sentence: `Parcel ${parcel.id} is written off already.` };
  }
  return null;
}

/** How much of a claim came short and has been neither posted again nor handed back. */
export function shortOf(claim: ClaimFacts): number {
  return Math.max(0, Math.min(claim.shortMilli, madeOf(claim)));
}

/** Whether so much of what was short may go back to the offer, to be made again. */
export function mayGiveUpShort(claim: ClaimFacts, milli: number, unit: Unit): Refusal | null {
  const short = shortOf(claim);
  if (short === 0) {
    return { code: 'nothing-short', sentence: 'Nothing of this claim is short any more.' };
  }
  if (milli <= 0) return { code: 'no-quantity', sentence: 'Say how much is to be made again.' };
  if (milli > short) {
    return {
      code: 'more-than-short',
      sentence: `${say(short, unit)} ${be(short)} short; ${say(milli, unit)} cannot go back to the offer.`,
    };
  }
  return null;
}
