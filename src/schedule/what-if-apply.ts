import { changeJob, claimJob, createJob, dropJob, handBack, renewPromise, startJob } from '../jobs/index.ts';
import { removePart, removeUse } from '../parts/index.ts';
import type { Act } from '../platform/acts.ts';
import type { Day } from '../platform/day.ts';
import { refuse, WrongField } from '../platform/refusal.ts';
import type { Schedule } from './schedule.ts';
import {
  claimOf,
  slippedDays,
  slippedPromise,
  type Try,
  tried,
  tryWords,
  unfinishedMilli,
  whyNot,
} from './what-if.ts';

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
  let facts = schedule.facts;
  for (const one of tries) {
    const wrong = whyNot(facts, one);
    if (wrong) refuse('tried-too-late', `${tryWords(facts, one)}: ${wrong}`);
    try {
      await apply(act, { ...schedule, facts }, one, ports, tries);
      facts = tried(facts, [one]).facts;
    } catch (fault) {
      // A field of a form that is not on the page: its sentence is the reason.
      if (fault instanceof WrongField) refuse('not-applied', fault.message);
      throw fault;
    }
  }
}

async function apply(
  act: Act,
  schedule: Schedule,
  one: Try,
  ports: WhatIfPorts,
  tries: readonly Try[],
): Promise<void> {
  const { facts, network } = schedule;
  switch (one.kind) {
    case 'slip-claim': {
      const { claim } = claimOf(facts, one.claimId)!;
      return renewPromise(act, { claimId: one.claimId, ...slippedPromise(facts, claim, one.days) });
    }
    case 'slip-job':
      return changeJob(act, one.jobId, { days: slippedDays(facts, one.jobId, one.days) });
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
      // Begun is begun for all that goes into it: what else is missing would be missing at the machine.
      const joining = tries.flatMap((other) =>
        other.kind === 'without' && other.parentId === one.parentId ? [other.partId] : [],
      );
      const missing = facts.uses
        .filter(({ parentId, childId }) => parentId === one.parentId && !joining.includes(childId))
        .flatMap(({ childId }) =>
          network.readyMarks.has(childId) ? [facts.parts.get(childId)?.name ?? ''] : [],
        );
      if (missing.length > 0) {
        refuse(
          'parts-missing',
          `The fit-up can’t begin yet: ${missing.slice(0, 5).join(', ')} not ready either.`,
        );
      }
      const milli = network.needs.get(one.parentId)?.uncovered || 1000;
      const jobId =
        begun?.id ?? (await createJob(act, { kind: 'fit-up', title: '', partId: one.parentId, milli }));
      return startJob(act, jobId);
    }
  }
}
