import { isOver, type JobFacts, quantitiesOf, stageOf } from '../jobs/index.ts';
import type { BuildFacts } from './build-facts.ts';

/** How one part stands against what the machine needs of it, in thousandths of its unit. */
export interface Need {
  /** one of every top needs so much in all */
  required: number;
  /** of that still to be made, bought or fitted, whether or not a job is under way for it */
  toGo: number;
  /** of that no job answers for it */
  uncovered: number;
  /** units whose own children must still be put into them here */
  takesChildren: number;
}

/** The jobs still to be worked on: neither done nor dropped. */
export function openJobs(jobs: readonly JobFacts[]): JobFacts[] {
  return jobs.filter((job) => !isOver(stageOf(job, true)));
}

/**
 * What is still needed of every part.
 *
 * From the top down: what has been fitted into something finished is used up and needed no more, whether it came from
 * a job or from the shelf; what lies on the shelf or was accepted covers the rest; open jobs answer for what follows.
 * Parts in nothing are not needed for themselves.
 *
 * @param open  of facts.jobs, those still to be worked on
 * @returns     by part id
 *
 * Example: one machine of 2 frames with 3 posts each; one frame is fitted, 4 posts are accepted -> of the frame 1 to
 * go; of the posts 6 - 4 = 2.
 */
export function needsOf(facts: BuildFacts, open: readonly JobFacts[]): Map<number, Need> {
  const { parts, structure } = facts;
  const { ids, order, firstChild, childTargets, childMilli, counted } = structure;
  const acquired = new Map<number, number>();
  const supply = new Map<number, number>();
  const claimed = new Map<number, number>();
  const add = (to: Map<number, number>, partId: number, milli: number) =>
    to.set(partId, (to.get(partId) ?? 0) + milli);
  for (const job of facts.jobs) {
    if (job.partId === null) continue;
    if (job.kind === 'fabricate') {
      for (const claim of job.claims) add(acquired, job.partId, claim.acceptedMilli);
    } else if (job.kind === 'fit-up' && job.finishedAt && !job.droppedAt) {
      // What a purchase brought lies on the shelf and is counted there.
      add(acquired, job.partId, job.milli);
    }
  }
  for (const [partId, milli] of facts.undoneMilli) add(acquired, partId, -milli);
  for (const job of open) {
    if (job.partId === null) continue;
    if (job.kind === 'fabricate') {
      const at = quantitiesOf(job);
      add(supply, job.partId, at.total - at.accepted - at.rejected);
      add(claimed, job.partId, at.total - at.open - at.accepted - at.rejected);
    } else if (job.kind === 'purchase' || job.kind === 'fit-up') {
      add(supply, job.partId, job.milli);
    }
  }

  const wanted = new Float64Array(ids.length);
  for (const partId of facts.tops) wanted[structure.places.get(partId)!] = 1000;
  const needs = new Map<number, Need>();
  for (const place of order) {
    const partId = ids[place]!;
    const part = parts.get(partId)!;
    const required = facts.required.get(partId) ?? 0;
    // What the finished assemblies above no longer ask for lies in them.
    const still = counted[place] === 1 ? Math.ceil(wanted[place]! / 1000) * 1000 : wanted[place]!;
    const usedUp = Math.max(0, required - still);
    const toGo = Math.max(0, required - Math.max(acquired.get(partId) ?? 0, usedUp) - part.shelfMilli);
    const uncovered = Math.max(0, toGo - (supply.get(partId) ?? 0));
    // What a maker has claimed is made of material they have; what is bought comes whole.
    const takesChildren =
      part.kind === 'bought' || part.kind === 'stock' ? 0 : Math.max(0, toGo - (claimed.get(partId) ?? 0));
    needs.set(partId, { required, toGo, uncovered, takesChildren });
    const holders = counted[place] === 1 ? Math.ceil(takesChildren / 1000) * 1000 : takesChildren;
    for (let use = firstChild[place]!; use < firstChild[place + 1]!; use++) {
      wanted[childTargets[use]!]! += Math.ceil((holders * childMilli[use]!) / 1000);
    }
  }
  return needs;
}
