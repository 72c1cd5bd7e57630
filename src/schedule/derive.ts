import { type JobFacts, quantitiesOf } from '../jobs/index.ts';
import type { PartRow } from '../parts/index.ts';
import type { BuildFacts, RevisionFacts } from './build-facts.ts';
import { type WorkingCalendar, workingCalendar } from './calendar.ts';
import { DEFAULTS } from './defaults.ts';
import {
  fabricationSteps,
  fitUpSteps,
  type JobEnds,
  type Making,
  purchaseSteps,
  singleStep,
  unclaimedSteps,
  whenAllEnd,
} from './derive-jobs.ts';
import { linkByHand } from './derive-links.ts';
import { byDefault, designDuration } from './durations.ts';
import { type Need, needsOf, openJobs } from './needs.ts';
import { type Step, type StepLink, StepList } from './steps.ts';

/** The network of what remains, before dates. */
export interface DerivedNetwork {
  nodes: readonly Step[];
  links: readonly StepLink[];
  calendar: WorkingCalendar;
  /** by part id: the mark of a part being ready to fit, where it is not yet */
  readyMarks: ReadonlyMap<number, number>;
  needs: ReadonlyMap<number, Need>;
  /** the jobs still to be worked on */
  openJobs: readonly JobFacts[];
}

/**
 * Derives the network of a build from its facts: the nodes are the remaining steps, the links are facts.
 *
 * A part with something to go has its steps, whether or not there is a job for them: a made part is drawn, released,
 * offered, made, posted, inspected; a bought one ordered, delivered, inspected; an assembly fitted up when all that
 * goes into it is here. Steps that are done are not there; steps under way have their elapsed time taken off. A part
 * is ready when every job for it is done, among them rework and replacements, and what no job answers for as well.
 * Trials wait for their part, or for every top. Nothing else in it: what no fact connects ends the build by itself.
 *
 * Linear in parts, uses, jobs and links by hand.
 */
export function deriveNetwork(facts: BuildFacts): DerivedNetwork {
  const calendar = workingCalendar(facts.today, facts.weekdays);
  const list = new StepList();
  const open = openJobs(facts.jobs);
  const needs = needsOf(facts, open);
  const jobsOfPart = byPart(open);
  const drawnByJob = new Set(
    facts.jobs
      .filter(({ kind, finishedAt, droppedAt }) => kind === 'design' && finishedAt && !droppedAt)
      .map(({ partId }) => partId),
  );
  const linked = new Set(facts.links.flatMap(({ fromId, toId }) => [fromId, toId]));
  const ends = new Map<number, JobEnds>();
  const readyMarks = new Map<number, number>();

  /** Notes where a job begins and ends; several ends of one that is linked by hand become one moment. */
  const settle = (job: JobFacts, found: JobEnds): number[] => {
    if (linked.has(job.id) && found.lasts.length > 1) {
      const end = list.mark(
        { key: `job-${job.id}-end`, label: `All of job ${job.id}`, jobId: job.id, partId: job.partId },
        whenAllEnd(found.lasts),
      );
      list.after(found.lasts, end);
      found = { ...found, lasts: [end] };
    }
    ends.set(job.id, found);
    const gathering = job.gatheringId === null ? undefined : facts.gatherings.get(job.gatheringId);
    if (gathering && !job.startedAt) {
      const from = Math.max(0, calendar.momentOf(gathering));
      for (const first of found.firsts) {
        const one = list.steps[first]!;
        one.notBefore = from;
        one.because = `${one.because}; not before the gathering`;
      }
    }
    return found.lasts;
  };

  /** The steps of one part and its jobs; children's are there already. */
  const stepsOfPart = (part: PartRow, jobs: readonly JobFacts[]) => {
    const need = needs.get(part.id)!;
    if (need.toGo === 0 && jobs.length === 0) return;
    const base = { list, facts, calendar, part, milli: 0, gates: [], children: [] };
    const gates = gatesOf({ ...base, job: null }, jobs, need, drawnByJob.has(part.id), settle);
    const children =
      part.kind === 'bought' || part.kind === 'stock' ? [] : childMarks(facts, part.id, readyMarks);
    const lasts: number[] = [];
    for (const job of jobs) {
      const making = {
        ...base,
        job,
        milli: job.milli,
        gates: waitsForGate(job, facts) ? gates : [],
        children,
      };
      if (job.kind === 'fabricate') lasts.push(...settle(job, fabricationSteps(making)));
      else if (job.kind === 'purchase') lasts.push(...settle(job, purchaseSteps({ ...making, gates })));
      else if (job.kind === 'fit-up') lasts.push(...settle(job, fitUpSteps({ ...making, gates })));
    }
    if (need.uncovered > 0) {
      const making = { ...base, job: null, milli: need.uncovered, gates, children };
      const way =
        part.kind === 'made' ? unclaimedSteps : part.kind === 'assembly' ? fitUpSteps : purchaseSteps;
      lasts.push(...way(making).lasts);
    }
    if (lasts.length === 0) return;
    const ready = list.mark(
      { key: `part-${part.id}-ready`, label: `${part.name} ready to fit`, jobId: null, partId: part.id },
      whenAllEnd(lasts),
    );
    list.after(lasts, ready);
    readyMarks.set(part.id, ready);
  };

  const { ids, order } = facts.structure;
  for (let at = order.length - 1; at >= 0; at--) {
    const partId = ids[order[at]!]!;
    stepsOfPart(facts.parts.get(partId)!, jobsOfPart.get(partId) ?? []);
  }

  const tops = facts.tops.flatMap((id) => readyMarks.get(id) ?? []);
  for (const job of open) {
    if (ends.has(job.id)) continue;
    const part = job.partId === null ? null : (facts.parts.get(job.partId) ?? null);
    const making = { list, facts, calendar, part, job, milli: job.milli, gates: [], children: [] };
    if (job.kind === 'fabricate') settle(job, fabricationSteps(making));
    else if (job.kind === 'purchase') settle(job, purchaseSteps(making));
    else {
      const waitsFor = part ? [part.id].flatMap((id) => readyMarks.get(id) ?? []) : tops;
      const children = job.kind === 'trial' ? waitsFor : [];
      settle(job, singleStep({ ...making, children }));
    }
  }
  linkByHand(list, facts, calendar, ends);
  return { nodes: list.steps, links: list.links, calendar, readyMarks, needs, openJobs: open };
}

function byPart(jobs: readonly JobFacts[]): Map<number, JobFacts[]> {
  const groups = new Map<number, JobFacts[]>();
  for (const job of jobs) {
    if (job.partId === null) continue;
    const group = groups.get(job.partId);
    if (group) group.push(job);
    else groups.set(job.partId, [job]);
  }
  return groups;
}

function childMarks(facts: BuildFacts, partId: number, marks: ReadonlyMap<number, number>): number[] {
  const { structure } = facts;
  const place = structure.places.get(partId)!;
  const found: number[] = [];
  for (let use = structure.firstChild[place]!; use < structure.firstChild[place + 1]!; use++) {
    const mark = marks.get(structure.ids[structure.childTargets[use]!]!);
    if (mark !== undefined) found.push(mark);
  }
  return found;
}

function revisionOf(job: JobFacts, revisions: readonly RevisionFacts[]): RevisionFacts | undefined {
  return revisions.find(({ id }) => id === job.revisionId);
}

/** A job that is not held out to makers yet waits for its drawing, if that is not released. */
function waitsForGate(job: JobFacts, facts: BuildFacts): boolean {
  if (job.kind !== 'fabricate' || job.offeredAt || job.partId === null) return false;
  const revisions = facts.revisions.get(job.partId) ?? [];
  const own = revisionOf(job, revisions);
  return own ? own.state === 'draft' : !revisions.some(({ state }) => state === 'released');
}

/**
 * What must be over before the part can be made or bought: its drawing and the release of it.
 *
 * @returns the last of these steps; none when the part is released and nothing waits for a new revision
 */
function gatesOf(
  making: Making & { part: PartRow },
  jobs: readonly JobFacts[],
  need: Need,
  drawnByJob: boolean,
  settle: (job: JobFacts, ends: JobEnds) => number[],
): number[] {
  const { list, facts, part } = making;
  const designs = jobs.filter(({ kind }) => kind === 'design');
  const drawings = designs.flatMap((job) => settle(job, singleStep({ ...making, job })));
  if (part.kind !== 'made') return drawings;

  const revisions = facts.revisions.get(part.id) ?? [];
  const released = revisions.some(({ state }) => state === 'released');
  const draft = revisions.findLast(({ state }) => state === 'draft');
  const isWaitedFor = jobs.some((job) => waitsForGate(job, facts) && quantitiesOf(job).open > 0);
  const isNeeded = released ? isWaitedFor : isWaitedFor || need.uncovered > 0;
  if (!isNeeded && designs.length === 0) return [];

  const of = { jobId: null, partId: part.id, claimId: null };
  if (designs.length === 0 && !draft?.drawn && !drawnByJob) {
    const key = `part-${part.id}-design`;
    drawings.push(
      list.add(
        { ...of, key, kind: 'design', label: `Draw ${part.name}` },
        designDuration(making, part, null),
      ),
    );
  }
  const label = `Release ${part.name}${draft ? ` rev ${draft.letter}` : ''}`;
  const state = draft ? `revision ${draft.letter} is a draft` : 'no revision is released';
  const release = list.add(
    { ...of, key: `part-${part.id}-release`, kind: 'release', label },
    byDefault(DEFAULTS.releaseDays, true, `${state}; checking and releasing usually takes`),
  );
  list.after(drawings, release);
  return [release];
}
