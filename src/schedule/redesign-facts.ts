import { nextRevisionLetter } from '../drawings/index.ts';
import { isOver, type JobFacts, quantitiesOf, stageOf } from '../jobs/index.ts';
import type { PartRow } from '../parts/index.ts';
import type { BuildFacts, RevisionFacts } from './build-facts.ts';
import { workingCalendar } from './calendar.ts';
import { DEFAULTS } from './defaults.ts';
import { daysOfHours } from './durations-estimate.ts';

/** A redesign as its cost is worked out: parts whose new revision is not released yet. */
export interface PlannedRedesign {
  partIds: readonly number[];
  /** the lead's own estimate of the hours at all its drawings; null: what the parts say, else the usual ones */
  hours: number | null;
}

/** Whether what was made to the old drawings is used as it is, or all of it made anew. */
export type Outcome = 'used' | 'remade';

/** Work that a redesign may bring, in thousandths of the part's unit. */
export interface AddedWork {
  partId: number;
  milli: number;
}

/** A build with a redesign in it, and what that added. */
export interface WithRedesign {
  facts: BuildFacts;
  /** hours still to be spent at its drawings */
  drawingHours: number;
  /** parts of which there is no drawing of the new revision yet */
  undrawn: number[];
  /** made or bought anew: as many as were made, are claimed, or lie on the shelf */
  anew: AddedWork[];
  /** finished assemblies that are opened and fitted again */
  refits: AddedWork[];
}

/** Of a part fitted together, by jobs that are finished. */
function finishedMilli(jobs: readonly JobFacts[], partId: number): number {
  return jobs
    .filter((job) => job.partId === partId && job.kind === 'fit-up' && job.finishedAt && !job.droppedAt)
    .reduce((sum, { milli }) => sum + milli, 0);
}

/** The assemblies that hold a part directly, and how much of it one of them takes. */
function parentsOf({ structure }: Pick<BuildFacts, 'structure'>, partId: number): [number, number][] {
  const { ids, places, firstParent, parentSources, parentMilli } = structure;
  const place = places.get(partId);
  if (place === undefined) return [];
  const found: [number, number][] = [];
  for (let use = firstParent[place]!; use < firstParent[place + 1]!; use++) {
    found.push([ids[parentSources[use]!]!, parentMilli[use]!]);
  }
  return found;
}

/** Every assembly above these parts, at any height, each once. */
function holdersOf(facts: BuildFacts, partIds: readonly number[]): number[] {
  const seen = new Set<number>();
  const queue = [...partIds];
  for (let at = 0; at < queue.length; at++) {
    for (const [parentId] of parentsOf(facts, queue[at]!)) {
      if (seen.has(parentId)) continue;
      seen.add(parentId);
      queue.push(parentId);
    }
  }
  return [...seen];
}

/** What of a part was made or bought to the drawings until now, and would be made anew. */
function madeMilli({ undoneMilli, required }: BuildFacts, part: PartRow, jobs: readonly JobFacts[]): number {
  let sum = part.shelfMilli;
  for (const job of jobs) {
    if (job.droppedAt) continue;
    if (job.kind === 'fabricate') {
      for (const { milli, backMilli, rejectedMilli } of job.claims) sum += milli - backMilli - rejectedMilli;
    } else if (job.kind === 'purchase' && job.orderedAt && !job.finishedAt) sum += job.milli;
    else if (job.kind === 'fit-up' && job.finishedAt) sum += job.milli;
  }
  return Math.max(0, Math.min(sum - (undoneMilli.get(part.id) ?? 0), required.get(part.id) ?? 0));
}

/**
 * A build with a redesign in it, before it is released.
 *
 * All drawings are made before any is released, because it is one act; what nobody has claimed waits for that. Used:
 * what is made and claimed is finished to the old drawing and kept. Remade: as much again is made by makers still to
 * be found, beside what is under way, and every finished assembly above is fitted once more.
 */
export function withRedesign(facts: BuildFacts, planned: PlannedRedesign, outcome: Outcome): WithRedesign {
  const partIds = planned.partIds.filter((id) => facts.parts.has(id));
  const drafts = new Map(
    partIds.map((id) => [id, (facts.revisions.get(id) ?? []).findLast(({ state }) => state === 'draft')]),
  );
  const undrawn = partIds.filter((id) => !drafts.get(id)?.drawn);
  const drawingHours = hoursAtDrawings(facts, planned, partIds.length, undrawn);
  const revisions = new Map(facts.revisions);
  const jobs = [...facts.jobs];
  // Numbers that no row has, for work that is only thought of.
  let nextId = -1;
  const add = (job: Partial<JobFacts>) => jobs.push(thoughtOf(facts, nextId--, job));
  const anew: AddedWork[] = [];
  for (const partId of partIds) {
    const part = facts.parts.get(partId)!;
    const own = (facts.revisions.get(partId) ?? []).map(
      (revision): RevisionFacts =>
        revision.state === 'released' ? { ...revision, state: 'superseded' } : revision,
    );
    const draft: RevisionFacts = {
      ...(drafts.get(partId) ?? {
        id: -partId,
        partId,
        letter: nextRevisionLetter(own.at(-1)?.letter ?? null) ?? '',
        processId: own.at(-1)?.processId ?? part.processId,
      }),
      state: 'draft',
      drawn: true,
    };
    revisions.set(partId, [...own.filter(({ id }) => id !== draft.id), draft]);
    addDrawing(facts, part, drawingHours, add);
    jobs.forEach((job, at) => {
      if (job.partId !== partId || job.kind !== 'fabricate' || job.id < 0 || isOver(stageOf(job, true)))
        return;
      if (quantitiesOf(job).open > 0) jobs[at] = { ...job, revisionId: draft.id, offeredAt: null };
    });
    const milli =
      outcome === 'remade'
        ? madeMilli(
            facts,
            part,
            facts.jobs.filter((job) => job.partId === partId),
          )
        : 0;
    if (milli === 0) continue;
    if (part.kind !== 'assembly') {
      anew.push({ partId, milli });
      add({ kind: part.kind === 'made' ? 'fabricate' : 'purchase', partId, milli, revisionId: draft.id });
    }
  }
  const refits: AddedWork[] = [];
  if (outcome === 'remade') {
    const changed = partIds.filter((id) => facts.parts.get(id)!.kind === 'assembly');
    for (const partId of new Set([...changed, ...holdersOf(facts, partIds)])) {
      const milli = Math.min(finishedMilli(facts.jobs, partId), facts.required.get(partId) ?? 0);
      if (milli === 0) continue;
      refits.push({ partId, milli });
      add({ kind: 'fit-up', partId, milli });
    }
  }
  return { facts: { ...facts, revisions, jobs }, drawingHours, undrawn, anew, refits };
}

function hoursAtDrawings(
  { parts }: BuildFacts,
  { hours }: PlannedRedesign,
  count: number,
  undrawn: readonly number[],
): number {
  if (undrawn.length === 0) return 0;
  if (hours !== null) return (hours * undrawn.length) / count;
  return undrawn.reduce((sum, id) => sum + (parts.get(id)!.designHours || DEFAULTS.designHours), 0);
}

/**
 * The work at the drawing board before a part's new revision can be released. Each lasts as long as all of them do: one
 * lead draws them one after the other, and none is released before the last is drawn. A design job that is open for
 * the part stands for it.
 */
function addDrawing(
  facts: BuildFacts,
  part: PartRow,
  hours: number,
  add: (job: Partial<JobFacts>) => void,
): void {
  const isAsked = facts.jobs.some(
    ({ kind, partId, finishedAt, droppedAt }) =>
      kind === 'design' && partId === part.id && !finishedAt && !droppedAt,
  );
  if (isAsked || (hours === 0 && part.kind === 'made')) return;
  if (part.kind === 'made') {
    add({ kind: 'design', partId: part.id, hours });
    return;
  }
  // Only made parts have a step of their own for the release.
  const { perWeek } = workingCalendar(facts.today, facts.weekdays);
  const drawing = hours > 0 ? daysOfHours(hours, facts.leadWeeklyHours, perWeek) : 0;
  add({ kind: 'design', partId: part.id, days: drawing + DEFAULTS.releaseDays });
}

function thoughtOf({ today, parts }: BuildFacts, id: number, job: Partial<JobFacts>): JobFacts {
  const name = job.partId ? (parts.get(job.partId)?.name ?? '') : '';
  return {
    id,
    kind: 'other',
    title: job.kind === 'design' ? `Draw ${name}` : name,
    partId: null,
    revisionId: null,
    milli: 1000,
    wantedOn: null,
    hours: null,
    days: null,
    personId: null,
    fromJobId: null,
    fromReason: null,
    gatheringId: null,
    spot: '',
    strangers: false,
    firstPiece: false,
    firstApprovedAt: null,
    offeredAt: null,
    startedAt: null,
    orderedAt: null,
    promisedOn: null,
    finishedAt: null,
    heldAt: null,
    droppedAt: null,
    createdAt: `${today}T12:00:00.000Z`,
    claims: [],
    ...job,
  };
}
