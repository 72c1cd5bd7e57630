import { type FactsReader, isOver, type JobFacts, type JobTimes, stageOf } from '../jobs/index.ts';
import type { Day } from '../platform/day.ts';
import type { Waiting } from './decision-dates.ts';

/** Kinds of work on a part that a decision about it holds up: a trial or other work names its job. */
const HELD_KINDS = ['design', 'fabricate', 'purchase', 'fit-up'];

/** Where what waits for a decision is read. */
export interface WaitingSources {
  facts: Pick<FactsReader, 'one' | 'ofPart'>;
  times: Pick<JobTimes, 'of' | 'ofPart'>;
}

function hasBegun(job: JobFacts): boolean {
  const claimBegun = job.claims.some(({ startedAt, doneMilli }) => startedAt !== null || doneMilli > 0);
  return job.startedAt !== null || job.orderedAt !== null || claimBegun;
}

/** A job that waits for a decision, as the schedule dates it. */
export function waitingJob(job: JobFacts, times: WaitingSources['times']): Waiting {
  const time = times.of(job.id);
  return {
    name: `Job ${job.id}, ${job.title}`,
    over: isOver(stageOf(job, true)),
    begun: hasBegun(job),
    startOn: time?.startOn ?? null,
    lateStartOn: time?.lateStartOn ?? null,
  };
}

/**
 * The work on a part that waits for a decision: of its open jobs, and of what no job answers for yet, that which must
 * begin first. It has begun when any of them has.
 */
export function waitingPart(
  part: { id: number; number: string; name: string },
  { facts, times }: WaitingSources,
): Waiting {
  const jobs = facts
    .ofPart(part.id)
    .filter(({ kind }) => HELD_KINDS.includes(kind))
    .map((job) => waitingJob(job, times))
    .filter(({ over }) => !over);
  const without = times.ofPart(part.id);
  const spans: { startOn: Day | null; lateStartOn: Day | null }[] = [...jobs, ...(without ? [without] : [])];
  const first = spans
    .filter(({ lateStartOn }) => lateStartOn !== null)
    .sort((a, b) => (a.lateStartOn! < b.lateStartOn! ? -1 : 1))[0];
  const begun = jobs.find((job) => job.begun);
  return {
    name: begun?.name ?? `The work on ${part.number}, ${part.name}`,
    over: spans.length === 0,
    begun: begun !== undefined,
    startOn: first?.startOn ?? null,
    lateStartOn: first?.lateStartOn ?? null,
  };
}
