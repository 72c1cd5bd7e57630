import { changeJob, claimJob, createJob, dropJob, handBack, renewPromise, startJob } from '../jobs/index.ts';
import { removePart, removeUse } from '../parts/index.ts';
import type { Act } from '../platform/acts.ts';
import type { Day } from '../platform/day.ts';
import { refuse, WrongField } from '../platform/refusal.ts';
import { momentIn } from './durations.ts';
import type { Schedule } from './schedule.ts';
import { claimOf, type Try, tryWords, unfinishedMilli, whyNot } from './what-if.ts';

/** What other domains do for a try; app.ts hands it in. */
export interface WhatIfPorts {
  moveGathering(act: Act, moved: { gatheringId: number; fromOn: Day; untilOn: Day }): Promise<void>;
}

/**
 * Does what was tried, as ordinary acts in one transaction: all of them or none.
 *
 * @param schedule  the schedule it was tried on, as it is now
 * @throws Refused  what makes no sense any more, or what one of the acts refuses, with its own sentence
 */
export async function applyTries(
  act: Act,
  schedule: Schedule,
  tries: readonly Try[],
  ports: WhatIfPorts,
): Promise<void> {
  if (tries.length === 0) refuse('nothing-tried', 'Nothing is tried: there is nothing to do.');
  for (const one of tries) {
    const wrong = whyNot(schedule.facts, one);
    if (wrong) refuse('tried-too-late', `${tryWords(schedule.facts, one)}: ${wrong}`);
    try {
      await apply(act, schedule, one, ports);
    } catch (fault) {
      // A field of a form that is not on the page: its sentence is the reason.
      if (fault instanceof WrongField) refuse('not-applied', fault.message);
      throw fault;
    }
  }
}

async function apply(act: Act, schedule: Schedule, one: Try, ports: WhatIfPorts): Promise<void> {
  const { facts, network } = schedule;
  switch (one.kind) {
    case 'slip-claim': {
      const { claim } = claimOf(facts, one.claimId)!;
      const since = -momentIn({ facts, calendar: network.calendar }, claim.claimedAt);
      const left = (days: number) => Math.max(0, days - since + one.days);
      return renewPromise(act, {
        claimId: one.claimId,
        soonestDays: left(claim.soonestDays),
        likelyDays: left(claim.likelyDays),
        latestDays: left(claim.latestDays),
      });
    }
    case 'slip-job': {
      const job = facts.jobs.find(({ id }) => id === one.jobId)!;
      if (job.kind === 'purchase') {
        refuse('delivery-day', `The delivery day of job ${job.id} is named on its own page.`);
      }
      const step = network.nodes.find(
        ({ job: own, word }) => own?.id === job.id && ['', 'fit-up', 'design', 'make'].includes(word),
      );
      if (!step) refuse('no-step', `Nothing of job ${job.id} is left that could slip.`);
      const { days, working } = step!.duration;
      const planned = working ? days : Math.round((days * network.calendar.perWeek) / 7);
      return changeJob(act, job.id, { days: Math.max(1, planned + one.days) });
    }
    case 'maker':
    case 'share': {
      const { job, claim } = claimOf(facts, one.claimId)!;
      const milli = one.kind === 'maker' ? unfinishedMilli(claim) : one.milli;
      await handBack(act, { claimId: one.claimId, milli });
      await claimJob(act, {
        jobId: job.id,
        personId: one.personId,
        milli,
        soonestDays: one.soonest,
        likelyDays: one.likely,
        latestDays: one.latest,
      });
      return;
    }
    case 'drop': {
      const open = network.openJobs.filter(({ partId }) => partId === one.partId);
      for (const { id } of facts.uses.filter(({ childId }) => childId === one.partId))
        await removeUse(act, id);
      for (const { id } of open) await dropJob(act, { jobId: id, reason: 'the part is not needed any more' });
      await removePart(act, one.partId, () => []);
      return;
    }
    case 'gathering':
      return ports.moveGathering(act, one);
    case 'without': {
      const begun = network.openJobs.find(
        ({ kind, partId, heldAt }) => kind === 'fit-up' && partId === one.parentId && !heldAt,
      );
      if (begun?.startedAt) return;
      const jobId =
        begun?.id ?? (await createJob(act, { kind: 'fit-up', title: '', partId: one.parentId, milli: 1000 }));
      return startJob(act, jobId);
    }
  }
}
