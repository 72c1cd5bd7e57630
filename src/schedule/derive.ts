import { type JobFacts, quantitiesOf } from '../jobs/index.ts';
import type { PartRow } from '../parts/index.ts';
import { dayWords } from '../platform/day.ts';
import type { BuildFacts, RevisionFacts } from './build-facts.ts';
import type { WorkingCalendar } from './calendar.ts';
import { type Calendars, calendarsOf } from './calendars.ts';
import { DEFAULTS } from './defaults.ts';
import {
  fabricationSteps,
  fitUpSteps,
  type JobEnds,
  type Making,
  purchaseSteps,
  singleStep,
  unclaimedSteps,
} from './derive-jobs.ts';
import { linkByHand } from './derive-links.ts';
import { byDefault, designDuration, type Telling } from './durations.ts';
import { type History, historyOf } from './history.ts';
import { type Need, needsOf, openJobs } from './needs.ts';
import { Step, type StepLink, StepList } from './steps.ts';

const none: never[] = [];

/** What is tried with a network beside what its facts say. */
export interface Tweaks {
  /** children that join their parent last: its fitting begins without them, and ends with them */
  joinsLast?: readonly { partId: number; parentId: number }[];
  /** what is known of durations: what is only tried teaches nothing */
  history?: History;
}

/** The network of what remains, before dates. */
export interface DerivedNetwork {
  nodes: readonly Step[];
  links: readonly StepLink[];
  /** the build's own */
  calendar: WorkingCalendar;
  /** the build's first, then those of people with days away and of gatherings; steps name them by place */
  calendars: readonly WorkingCalendar[];
  /** by part id: the mark of a part being ready to fit, where it is not yet */
  readyMarks: ReadonlyMap<number, number>;
  needs: ReadonlyMap<number, Need>;
  /** the jobs still to be worked on */
  openJobs: readonly JobFacts[];
  /** what durations rest on */
  history: History;
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
export function deriveNetwork(facts: BuildFacts, tweaks: Tweaks = {}): DerivedNetwork {
  const calendars = calendarsOf(facts);
  const { build: calendar } = calendars;
  const history = tweaks.history ?? historyOf(facts, calendar);
  const telling: Telling = { facts, calendar, history };
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
  const settle = (part: PartRow | null, job: JobFacts, found: JobEnds): number[] => {
    if (linked.has(job.id) && found.lasts.length > 1) {
      const end = list.end(part, job);
      list.after(found.lasts, end);
      found = { firsts: found.firsts, lasts: [end] };
    }
    ends.set(job.id, found);
    const gathering = job.gatheringId === null ? undefined : facts.gatherings.get(job.gatheringId);
    if (gathering && !job.startedAt) {
      for (const first of found.firsts) {
        const step = list.steps[first]!;
        if (step.duration.working) step.calendar = calendars.ofGathering(gathering);
        step.notBefore = Math.max(0, calendar.momentOf(gathering.fromOn));
        step.notBeforeNote =
          gathering.untilOn < facts.today
            ? `the gathering “${gathering.title}” is over: counted at the next gathering, or from today where there is none`
            : `for the gathering “${gathering.title}”, not before ${dayWords(gathering.fromOn, facts.today)}`;
      }
    }
    return found.lasts;
  };

  /** The steps of one part and its jobs; its children's are there already. */
  const stepsOfPart = (part: PartRow, jobs: readonly JobFacts[]) => {
    const need = needs.get(part.id)!;
    if (need.toGo === 0 && jobs.length === 0) return;
    const lasts: number[] = [];
    const gates = gatesOf({ telling, list, part, jobs, need, drawnByJob: drawnByJob.has(part.id), settle });
    const children =
      part.kind === 'bought' || part.kind === 'stock' ? none : childMarks(facts, part.id, readyMarks);
    for (const job of jobs) {
      const making = { telling, list, part, job, milli: job.milli, gates, children };
      if (job.kind === 'fabricate') {
        if (!waitsForGate(job, facts)) making.gates = none;
        lasts.push(...settle(part, job, fabricationSteps(making)));
      } else if (job.kind === 'purchase') lasts.push(...settle(part, job, purchaseSteps(making)));
      else if (job.kind === 'fit-up') lasts.push(...settle(part, job, fitUpSteps(making)));
    }
    if (need.uncovered > 0) {
      const way =
        part.kind === 'made' ? unclaimedSteps : part.kind === 'assembly' ? fitUpSteps : purchaseSteps;
      const making = { telling, list, part, job: null, milli: need.uncovered, gates, children };
      lasts.push(...way(making).lasts);
    }
    if (lasts.length === 0) return;
    const ready = list.ready(part);
    list.after(lasts, ready);
    readyMarks.set(part.id, ready);
  };

  const { ids, order } = facts.structure;
  for (let at = order.length - 1; at >= 0; at--) {
    const partId = ids[order[at]!]!;
    stepsOfPart(facts.parts.get(partId)!, jobsOfPart.get(partId) ?? none);
  }

  const tops = facts.tops.flatMap((id) => readyMarks.get(id) ?? none);
  for (const job of open) {
    if (ends.has(job.id)) continue;
    const part = job.partId === null ? null : (facts.parts.get(job.partId) ?? null);
    const making: Making & { job: JobFacts } = {
      telling,
      list,
      part,
      job,
      milli: job.milli,
      gates: none,
      children: none,
    };
    if (job.kind === 'fabricate') settle(part, job, fabricationSteps(making));
    else if (job.kind === 'purchase') settle(part, job, purchaseSteps(making));
    else {
      if (job.kind === 'trial') {
        const mark = part ? readyMarks.get(part.id) : undefined;
        making.children = part ? (mark === undefined ? none : [mark]) : tops;
      }
      settle(part, job, singleStep(making));
    }
  }
  linkByHand(list, facts, calendar, ends);
  giveCalendars(list.steps, facts, calendars);
  if (tweaks.joinsLast) joinLast(list, tweaks.joinsLast);
  return {
    nodes: list.steps,
    links: list.links,
    calendar,
    calendars: calendars.all,
    readyMarks,
    needs,
    openJobs: open,
    history,
  };
}

function joinLast(list: StepList, joins: NonNullable<Tweaks['joinsLast']>): void {
  for (const link of list.links) {
    const from = list.steps[link.from]!;
    const to = list.steps[link.to]!;
    if (from.word !== 'ready' || to.word !== 'fit-up') continue;
    const isTried = joins.some(({ partId, parentId }) => partId === from.partId && parentId === to.partId);
    if (isTried) link.type = 'FF';
  }
}

/** Work counts the days of whoever does it: the person named, for drawings the lead. */
function giveCalendars(steps: readonly Step[], { people }: BuildFacts, calendars: Calendars): void {
  const leads = [...people].filter(([, { role, active }]) => role === 'lead' && active).map(([id]) => id);
  const lead = leads.length === 1 ? leads[0]! : null;
  for (const step of steps) {
    if (!step.duration.working || step.calendar !== 0) continue;
    const isDrawing = step.word === 'design' || step.word === 'release' || step.job?.kind === 'design';
    const personId = step.job?.personId ?? (isDrawing ? lead : null);
    step.calendar = calendars.ofPerson(personId);
    if (step.calendar !== 0) step.calendarNote = `not on days when ${people.get(personId!)?.name} is away`;
  }
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

interface Gating {
  telling: Telling;
  list: StepList;
  part: PartRow;
  jobs: readonly JobFacts[];
  need: Need;
  /** whether a design job for it is finished */
  drawnByJob: boolean;
  settle(part: PartRow, job: JobFacts, ends: JobEnds): number[];
}

/**
 * What must be over before the part can be made or bought: its drawing and the release of it.
 *
 * @returns the last of these steps; none when the part is released and nothing waits for a new revision
 */
function gatesOf({ telling, list, part, jobs, need, drawnByJob, settle }: Gating): number[] {
  const drawings: number[] = [];
  for (const job of jobs) {
    if (job.kind !== 'design') continue;
    const making = { telling, list, part, job, milli: job.milli, gates: none, children: none };
    drawings.push(...settle(part, job, singleStep(making)));
  }
  if (part.kind !== 'made') return drawings;

  const { facts } = telling;
  const revisions = facts.revisions.get(part.id) ?? [];
  const released = revisions.some(({ state }) => state === 'released');
  const draft = revisions.findLast(({ state }) => state === 'draft');
  const isWaitedFor = jobs.some((job) => waitsForGate(job, facts) && quantitiesOf(job).open > 0);
  const isNeeded = isWaitedFor || (!released && need.uncovered > 0);
  if (!isNeeded && drawings.length === 0) return none;

  if (drawings.length === 0 && !draft?.drawn && !drawnByJob) {
    const duration = designDuration(telling, part, null);
    drawings.push(list.add(new Step('design', part, null, null, 1000, duration)));
  }
  const state = draft ? `revision ${draft.letter} is a draft` : 'no revision is released';
  const duration = byDefault(DEFAULTS.releaseDays, true, `${state}; checking and releasing usually takes`);
  const release = list.add(new Step('release', part, null, null, 1000, duration));
  list.after(drawings, release);
  return [release];
}
