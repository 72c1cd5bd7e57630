import type { Unit } from '../parts/index.ts';
import type { Actor } from '../platform/acts.ts';
import { dayWords } from '../platform/day.ts';
import type { Refusal } from '../platform/refusal.ts';
import { isOver, type JobFacts, quantitiesOf, stageOf } from './facts.ts';
import { be, say } from './say.ts';

// What may be done with a job as a whole: each rule answers null, or why not.

/** The revision a job is made to, as the rules ask for it. */
export interface RevisionState {
  letter: string;
  state: string;
}

/** Kinds that are begun and finished by a word, with a result. */
export const WORDED_KINDS: readonly string[] = ['design', 'fit-up', 'trial', 'other'];

function over(job: JobFacts): Refusal | null {
  const stage = stageOf(job, true);
  if (!isOver(stage)) return null;
  return stage === 'dropped' && job.droppedAt
    ? { code: 'job-dropped', sentence: `Job ${job.id} was dropped.` }
    : { code: 'job-over', sentence: `Job ${job.id} is done: nothing more is to be done on it.` };
}

function held(job: JobFacts): Refusal | null {
  return job.heldAt ? { code: 'job-on-hold', sentence: `Job ${job.id} is on hold: resume it first.` } : null;
}

/** Whether the job's revision may be held out to makers. */
export function mayOffer(job: JobFacts, revision: RevisionState | null): Refusal | null {
  if (job.kind !== 'fabricate') {
    return { code: 'not-offerable', sentence: `Job ${job.id} is not one that makers claim.` };
  }
  const barred = over(job) ?? held(job);
  if (barred) return barred;
  if (job.offeredAt) return { code: 'already-offered', sentence: `Job ${job.id} is offered already.` };
  if (revision?.state !== 'released') {
    return {
      code: 'not-released',
      sentence: revision
        ? `Revision ${revision.letter} is ${revision.state}: only a released drawing is offered.`
        : `Job ${job.id} has no revision to make it to.`,
    };
  }
  return null;
}

/** An offer is taken back only while nobody has claimed any of it. */
export function mayWithdraw(job: JobFacts, unit: Unit): Refusal | null {
  if (!job.offeredAt) return { code: 'not-offered', sentence: `Job ${job.id} is not offered.` };
  const barred = over(job);
  if (barred) return barred;
  const { open, total } = quantitiesOf(job);
  if (open < total) {
    const claimed = total - open;
    return {
      code: 'claimed',
      sentence:
        `${say(claimed, unit)} of ${say(total, unit)} ${be(claimed)} claimed: the offer stands. ` +
        `Lower the quantity to ${say(claimed, unit)} to offer no more.`,
    };
  }
  return null;
}

/** Whether the job's quantity may become this: what is claimed or ordered stays. */
export function mayHaveQuantity(job: JobFacts, milli: number, unit: Unit): Refusal | null {
  if (milli === job.milli) return null;
  if (milli <= 0) return { code: 'no-quantity', sentence: 'A job is for more than nothing.' };
  const { open, total } = quantitiesOf(job);
  const claimed = total - open;
  if (milli < claimed) {
    return {
      code: 'claimed',
      sentence: `${say(claimed, unit)} ${be(claimed)} claimed: the quantity cannot be ${say(milli, unit)}.`,
    };
  }
  return null;
}

/** Whether anything on the job may still be changed. */
export function mayChange(job: JobFacts): Refusal | null {
  return over(job);
}

export function mayHold(job: JobFacts): Refusal | null {
  return (
    over(job) ??
    (job.heldAt ? { code: 'already-on-hold', sentence: `Job ${job.id} is on hold already.` } : null)
  );
}

export function mayResume(job: JobFacts): Refusal | null {
  return (
    over(job) ?? (job.heldAt ? null : { code: 'not-on-hold', sentence: `Job ${job.id} is not on hold.` })
  );
}

/**
 * Whether the job may be dropped. What has left a maker's hands is not thrown away by a word: units on their way, here
 * or accepted keep the job, whose quantity can be lowered to them instead.
 */
export function mayDrop(job: JobFacts, unit: Unit): Refusal | null {
  const barred = over(job);
  if (barred || job.kind !== 'fabricate') return barred;
  const { inPost, toInspect, accepted, rejected, total } = quantitiesOf(job);
  const kept = inPost + toInspect + accepted + rejected;
  if (kept === 0) return null;
  const parts = [
    [inPost, 'in the post'],
    [toInspect, 'here to be inspected'],
    [accepted, 'accepted'],
    [rejected, 'rejected'],
  ] as const;
  const list = parts.filter(([milli]) => milli > 0).map(([milli, where]) => `${say(milli, unit)} ${where}`);
  return {
    code: 'units-under-way',
    sentence:
      `Of ${say(total, unit)}: ${list.join(', ')}. The job cannot be dropped; ` +
      `take back what is unfinished and lower the quantity to ${say(kept, unit)} instead.`,
  };
}

/** The shop, or the person the job names, works on it. */
export function mayWorkOn(job: Pick<JobFacts, 'personId'>, actor: Actor): Refusal | null {
  if (actor.role === 'lead' || actor.role === 'crew') return null;
  if (actor.personId !== null && actor.personId === job.personId) return null;
  return {
    code: 'not-your-job',
    sentence: 'Only the lead, the crew or the person named on the job may do that.',
  };
}

function notWorded(job: JobFacts): Refusal | null {
  if (WORDED_KINDS.includes(job.kind)) return null;
  const how = job.kind === 'purchase' ? 'ordered and received' : 'offered, claimed and inspected';
  return { code: 'other-kind', sentence: `Job ${job.id} is ${how}: it is not begun or finished by a word.` };
}

export function mayStartJob(job: JobFacts): Refusal | null {
  const barred = notWorded(job) ?? over(job) ?? held(job);
  if (barred) return barred;
  return job.startedAt ? { code: 'already-begun', sentence: `Job ${job.id} has begun already.` } : null;
}

/**
 * Whether the job may be called finished.
 *
 * @param ready    whether what it waits for is there
 * @param atBench  the person says that all parts lie at the bench, whatever the records say
 */
export function mayFinish(job: JobFacts, ready: boolean, atBench: boolean): Refusal | null {
  const barred = notWorded(job) ?? over(job) ?? held(job);
  if (barred) return barred;
  if (job.kind === 'fit-up' && !ready && !atBench) {
    return {
      code: 'children-missing',
      sentence: `Not all parts for job ${job.id} are here by the records. If they lie at the bench, tick that.`,
    };
  }
  return null;
}

function notPurchase(job: JobFacts): Refusal | null {
  return job.kind === 'purchase'
    ? null
    : { code: 'other-kind', sentence: `Job ${job.id} is not a purchase.` };
}

/** An order may be named again: with a new delivery day. @param promisedOn  not before `today` */
export function mayOrder(job: JobFacts, promisedOn: string | null, today: string): Refusal | null {
  const barred = notPurchase(job) ?? over(job) ?? held(job);
  if (barred) return barred;
  if (promisedOn !== null && promisedOn < today) {
    return {
      code: 'day-past',
      sentence: `The delivery day ${dayWords(promisedOn)} is past: name the day you are told now.`,
    };
  }
  return null;
}

export function mayReceive(job: JobFacts): Refusal | null {
  return notPurchase(job) ?? over(job);
}
