import type { ClaimFacts, JobFacts } from '../../src/jobs/index.ts';
import type { PartRow } from '../../src/parts/index.ts';
import { buildStructure, topParts } from '../../src/parts/structure-graph.ts';
import { requiredTotals } from '../../src/parts/structure-rollup.ts';
import type {
  BuildFacts,
  JobLinkFacts,
  OpenDecision,
  OpenQuery,
  PersonFacts,
  PostFacts,
  PromisedDays,
  RevisionFacts,
} from '../../src/schedule/build-facts.ts';

import { deriveNetwork } from '../../src/schedule/derive.ts';
import { type Need, needsOf, openJobs } from '../../src/schedule/needs.ts';
import { chainTo, type DatedStep, datedStep, type Schedule } from '../../src/schedule/schedule.ts';

/** A Monday. */
export const TODAY = '2026-03-02';

const noPart: PartRow = {
  id: 0,
  number: '',
  name: '',
  kind: 'made',
  unit: 'piece',
  materialId: null,
  processId: null,
  massGrams: null,
  supplier: '',
  supplierNumber: '',
  packMilli: null,
  priceCents: null,
  leadDays: null,
  designHours: null,
  makeDays: null,
  shelfMilli: 0,
  listedMilli: null,
};

/** A part called by its id; made unless told otherwise. */
export function part(id: number, over: Partial<PartRow> = {}): PartRow {
  return { ...noPart, id, number: `TB-${String(id).padStart(4, '0')}`, name: `Part ${id}`, ...over };
}

const noJob: JobFacts = {
  id: 0,
  kind: 'fabricate',
  title: '',
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
  strangers: true,
  firstPiece: false,
  firstApprovedAt: null,
  offeredAt: null,
  startedAt: null,
  orderedAt: null,
  promisedOn: null,
  finishedAt: null,
  heldAt: null,
  droppedAt: null,
  createdAt: '2026-02-01T08:00:00.000Z',
  claims: [],
};

export function job(id: number, over: Partial<JobFacts> = {}): JobFacts {
  return { ...noJob, id, title: `Job ${id}`, ...over };
}

/** A share of a job that nothing has come of yet; claimed this morning for ten days. */
export function claim(id: number, over: Partial<ClaimFacts> = {}): ClaimFacts {
  return {
    id,
    jobId: 0,
    personId: 3,
    revisionId: null,
    milli: 1000,
    backMilli: 0,
    doneMilli: 0,
    travellingMilli: 0,
    arrivedMilli: 0,
    shortMilli: 0,
    acceptedMilli: 0,
    rejectedMilli: 0,
    soonestDays: 5,
    likelyDays: 10,
    latestDays: 20,
    claimedAt: `${TODAY}T08:00:00.000Z`,
    startedAt: null,
    lastWordAt: `${TODAY}T08:00:00.000Z`,
    lastSentAt: null,
    lastArrivedAt: null,
    ...over,
  };
}

export interface Given {
  parts?: PartRow[];
  /** parent, child, how many pieces */
  uses?: [number, number, number][];
  /** parts that have a released revision A, whose id is the part's */
  released?: number[];
  revisions?: RevisionFacts[];
  jobs?: JobFacts[];
  links?: JobLinkFacts[];
  undone?: [number, number][];
  /** id, first and last day */
  gatherings?: [number, string, string][];
  closures?: [string, string][];
  /** person, first and last day */
  away?: [number, string, string][];
  processes?: [number, string][];
  /** process, and who has a tool for it */
  toolsFor?: [number, number[]][];
  posts?: PostFacts[];
  firstPromises?: [number, PromisedDays][];
  queries?: OpenQuery[];
  decisions?: OpenDecision[];
  weekdays?: number[];
  today?: string;
}

const people: [number, PersonFacts][] = [
  [1, { name: 'Ottilie', role: 'lead', country: 'NO', weeklyHours: 10, active: true }],
  [2, { name: 'Tor', role: 'crew', country: 'NO', weeklyHours: 5, active: true }],
  [3, { name: 'Imre', role: 'maker', country: 'NZ', weeklyHours: 4, active: true }],
  [4, { name: 'Aud', role: 'maker', country: 'NO', weeklyHours: 4, active: true }],
];

/** The facts of a small build in Norway, where the lead has ten hours in a week of five days. */
export function facts(given: Given): BuildFacts {
  const rows = given.parts ?? [];
  const uses = (given.uses ?? []).map(([parentId, childId, pieces], index) => ({
    id: index + 1,
    parentId,
    childId,
    milli: pieces * 1000,
    note: '',
  }));
  const structure = buildStructure(
    rows,
    uses.map(({ parentId, childId, milli }) => ({ parentId, childId, quantityMilli: milli })),
  );
  const holds = new Set(uses.map(({ parentId }) => parentId));
  const tops = topParts(structure).filter(
    (id) => holds.has(id) || rows.find((row) => row.id === id)!.kind === 'assembly',
  );
  const revisions = new Map<number, RevisionFacts[]>();
  const known = [
    ...(given.released ?? []).map(
      (partId): RevisionFacts => ({
        id: partId,
        partId,
        letter: 'A',
        state: 'released',
        processId: null,
        drawn: true,
      }),
    ),
    ...(given.revisions ?? []),
  ];
  for (const revision of known) {
    revisions.set(revision.partId, [...(revisions.get(revision.partId) ?? []), revision]);
  }
  return {
    today: given.today ?? TODAY,
    weekdays: given.weekdays ?? [1, 2, 3, 4, 5],
    timeZone: 'UTC',
    country: 'NO',
    leadWeeklyHours: 10,
    parts: new Map(rows.map((row) => [row.id, row])),
    uses,
    structure,
    tops,
    required: requiredTotals(
      structure,
      tops.map((partId) => ({ partId, quantityMilli: 1000 })),
    ),
    revisions,
    undoneMilli: new Map(given.undone ?? []),
    jobs: given.jobs ?? [],
    links: given.links ?? [],
    people: new Map(people),
    gatherings: new Map(
      (given.gatherings ?? []).map(([id, fromOn, untilOn]) => [
        id,
        { title: `Meeting ${id}`, fromOn, untilOn, places: 8, dayHours: 8, comers: new Map() },
      ]),
    ),
    closures: (given.closures ?? []).map(([fromOn, untilOn], index) => ({
      id: index + 1,
      name: 'Closed',
      fromOn,
      untilOn,
    })),
    away: new Map((given.away ?? []).map(([id, fromOn, untilOn]) => [id, [{ fromOn, untilOn }]])),
    processes: new Map(given.processes ?? []),
    toolsFor: new Map(given.toolsFor ?? []),
    posts: given.posts ?? [],
    firstPromises: new Map(given.firstPromises ?? []),
    queries: given.queries ?? [],
    decisions: given.decisions ?? [],
  };
}

/** The keys of all steps that remain. */
export const keys = (given: Given) => deriveNetwork(facts(given)).nodes.map(({ key }) => key);

/** One step with its days, by its key. */
export function step(schedule: Schedule, key: string): DatedStep {
  const at = schedule.network.nodes.findIndex((node) => node.key === key);
  if (at === -1) throw new Error(`no step ${key} among ${schedule.network.nodes.map((node) => node.key)}`);
  return datedStep(schedule, at);
}

/** The keys of the chain of facts up to a step, from today on. */
export function chainKeys(schedule: Schedule, key: string): string[] {
  return chainTo(schedule, step(schedule, key).at).map((at) => schedule.network.nodes[at]!.key);
}

/** How a part stands against what is needed of it. */
export function need(given: Given, partId: number): Need {
  const all = facts(given);
  return needsOf(all, openJobs(all.jobs)).get(partId)!;
}

export const frame = part(1, { kind: 'assembly', name: 'Frame' });
