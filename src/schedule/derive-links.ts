import type { JobFacts } from '../jobs/index.ts';
import type { BuildFacts, JobLinkFacts } from './build-facts.ts';
import { lagAfter, type WorkingCalendar } from './calendar.ts';
import type { JobEnds } from './derive-jobs.ts';
import { momentIn } from './durations.ts';
import type { StepList } from './steps.ts';

/**
 * Lays the links by hand between the remaining steps of their jobs.
 *
 * Nothing holds what has begun from beginning. Where the job before is done, or has begun and no more is asked, only
 * the lag that still runs remains: a day before which the job after can't begin.
 */
export function linkByHand(
  list: StepList,
  facts: BuildFacts,
  calendar: WorkingCalendar,
  ends: ReadonlyMap<number, JobEnds>,
): void {
  const jobs = new Map(facts.jobs.map((job) => [job.id, job]));
  for (const link of facts.links) {
    const from = jobs.get(link.fromId);
    const to = jobs.get(link.toId);
    const after = ends.get(link.toId);
    if (!from || !to || !after || from.droppedAt) continue;
    const { type, lag } = link;
    const holdsStart = type === 'FS' || type === 'SS';
    if (holdsStart && hasBegun(to)) continue;
    const before = ends.get(from.id);
    const asksStart = type === 'SS' || type === 'SF';
    if (!before || (asksStart && hasBegun(from))) {
      const since = pastMoment(link, from, facts, calendar);
      if (since === null || !holdsStart) continue;
      const moment = lagAfter(calendar, since, lag);
      for (const first of after.firsts) {
        const step = list.steps[first]!;
        if (moment <= step.notBefore) continue;
        step.notBefore = moment;
        step.notBeforeNote = `not before ${calendar.dayAt(moment)}, by the link from job ${from.id}`;
      }
      continue;
    }
    for (const source of asksStart ? before.firsts : before.lasts) {
      for (const target of holdsStart ? after.firsts : after.lasts) {
        list.link(source, target, type, lag, true);
      }
    }
  }
}

function hasBegun(job: JobFacts): boolean {
  return job.claims.length > 0 || job.startedAt !== null || job.orderedAt !== null;
}

/** When what the link asks of a job came about, where that is known to the day. */
function pastMoment(
  { type }: JobLinkFacts,
  job: JobFacts,
  facts: BuildFacts,
  calendar: WorkingCalendar,
): number | null {
  const telling = { facts, calendar };
  if (type === 'SS' || type === 'SF') {
    const begun = job.startedAt ?? job.orderedAt;
    return begun ? momentIn(telling, begun) : null;
  }
  // What was finished on a day is over the morning after.
  return job.finishedAt ? momentIn(telling, job.finishedAt) + 1 : null;
}
