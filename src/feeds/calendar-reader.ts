import {
  type FactsReader,
  isOver,
  type JobFacts,
  type JobTimes,
  madeOf,
  stageOf,
  unfinishedOf,
} from '../jobs/index.ts';
import { formatQuantity, type Unit } from '../parts/index.ts';
import type { Role } from '../platform/acts.ts';
import type { Context } from '../platform/context.ts';
import { addDays, dayIn } from '../platform/day.ts';
import { daysThere, waitingDecisions } from '../problems/index.ts';
import {
  claimEntries,
  decisionEntry,
  type EntryMaker,
  gatheringEntry,
  isTold,
  neededEntry,
  trialEntry,
} from './calendar-entries.ts';
import type { CalendarEntry } from './calendar-file.ts';
import { type FedBuild, unchangedSince } from './feed-reader.ts';
import { stableUuid } from './stable-id.ts';

/** Need-by dates of all jobs stand in the shop's calendar so far ahead, and no more of them than so many. */
export const NEEDED_DAYS_AHEAD = 120;
export const MOST_NEEDED = 250;

type Sources = Pick<Context, 'db' | 'settings'>;

function entryMaker({ db, settings }: Sources, build: FedBuild): EntryMaker {
  const computedAt = unchangedSince(db, build);
  return {
    uuidOf: (name) => stableUuid(build.createdAt, name),
    baseUrl: settings.baseUrl,
    computedAt,
    // Rises with every change and never falls; whether this one entry moved is not kept anywhere.
    computedChanges: Math.max(0, Math.floor((computedAt.getTime() - build.createdAt.getTime()) / 1000)),
  };
}

const byDay = (a: CalendarEntry, b: CalendarEntry) =>
  a.fromOn < b.fromOn ? -1 : a.fromOn > b.fromOn ? 1 : a.uuid < b.uuid ? -1 : 1;

/** Gatherings that are told, with how often they changed; of a person: what they said of coming counts as a change too. */
async function readGatherings({ db }: Sources, build: FedBuild, personId: number | null) {
  const rows = await db.read.gathering.findMany({
    where: { untilOn: { gte: addDays(build.today, -366) } },
    include: { comers: { where: { personId: personId ?? 0, cancelledAt: null } } },
  });
  const acts = db.hot.prepare<[number, number | null, number | null], { n: number; at: string | null }>(
    `SELECT COUNT(*) AS n, MAX(at) AS at FROM Act
      WHERE thingType = 'gathering' AND thingId = ?
        AND (kind IN ('plan-gathering', 'change-gathering', 'drop-gathering')
             OR (kind IN ('come-to-gathering', 'leave-gathering') AND (personId = ? OR aboutId = ?)))`,
  );
  return rows
    .filter((row) => isTold(row, build.today))
    .map(({ comers, ...row }) => {
      const told = acts.get(row.id, personId, personId);
      return {
        gathering: {
          ...row,
          changedAt: told?.at ? new Date(told.at) : row.createdAt,
          changes: Math.max(0, (told?.n ?? 1) - 1),
        },
        comer: comers[0] ?? null,
      };
    });
}

/** The gatherings as everyone may know them: title and days, no place. */
export async function publicCalendar(sources: Sources, build: FedBuild): Promise<CalendarEntry[]> {
  const make = entryMaker(sources, build);
  const told = await readGatherings(sources, build, null);
  return told.map(({ gathering }) => gatheringEntry(gathering, { open: true }, make)).sort(byDay);
}

/** What concerns one person, by day. The shop sees every gathering and the days jobs are needed by. */
export async function personCalendar(
  sources: Sources,
  { times, facts }: { times: JobTimes; facts: FactsReader },
  build: FedBuild,
  person: { id: number; role: Role },
): Promise<CalendarEntry[]> {
  const make = entryMaker(sources, build);
  const isShop = person.role !== 'maker';
  const gatherings = (await readGatherings(sources, build, person.id))
    .filter(({ comer }) => isShop || comer)
    .map(({ gathering, comer }) => {
      const there = comer && (daysThere(gathering, comer) ?? 'outside');
      return gatheringEntry(gathering, { open: false, there }, make);
    });
  const open = facts.all().filter((job) => !isOver(stageOf(job, true)));
  const promises = ownPromises(sources, times, build, open, person.id, isShop, make);
  const last = addDays(build.today, NEEDED_DAYS_AHEAD);
  // Entries are made of those alone that are told: most jobs are needed later.
  const needed = open
    .filter((job) => !job.heldAt && (isShop || job.personId === person.id))
    .flatMap((job) => {
      const time = times.of(job.id);
      return time?.needByOn && time.needByOn <= last ? [{ job, time, on: time.needByOn }] : [];
    })
    .sort((a, b) => (a.on < b.on ? -1 : a.on > b.on ? 1 : a.job.id - b.job.id))
    .slice(0, MOST_NEEDED)
    .flatMap(({ job, time }) => neededEntry(job, time, make));
  return [
    ...gatherings,
    ...promises,
    ...needed,
    ...(await ownDecisions(sources, times, build, person, make)),
    ...(isShop ? await plannedTrials(sources, make) : []),
  ].sort(byDay);
}

function ownPromises(
  { db }: Sources,
  times: JobTimes,
  { timeZone }: FedBuild,
  open: readonly JobFacts[],
  personId: number,
  isShop: boolean,
  make: EntryMaker,
): CalendarEntry[] {
  const unitOf = db.hot.prepare<[number], Unit>('SELECT unit FROM Part WHERE id = ?').pluck();
  return open.flatMap((job) =>
    job.claims
      .filter((claim) => claim.personId === personId)
      .flatMap((claim) =>
        claimEntries(
          job,
          claim,
          {
            quantity: formatQuantity(
              unfinishedOf(claim) + madeOf(claim),
              (job.partId !== null && unitOf.get(job.partId)) || 'piece',
            ),
            claimedOn: dayIn(timeZone, new Date(claim.claimedAt)),
            needByOn: isShop ? null : (times.of(job.id)?.needByOn ?? null),
          },
          make,
        ),
      ),
  );
}

/** Decisions that are this person's to take; where nobody is named, or who was has left, they are the lead's. */
async function ownDecisions(
  { db }: Sources,
  times: JobTimes,
  { today }: FedBuild,
  person: { id: number; role: Role },
  make: EntryMaker,
): Promise<CalendarEntry[]> {
  const isLead = person.role === 'lead';
  const own = await db.read.decision.findMany({
    where: {
      decidedAt: null,
      droppedAt: null,
      OR: [{ deciderId: person.id }, ...(isLead ? [{ deciderId: null }] : [])],
    },
    select: { id: true },
  });
  if (own.length === 0 && !isLead) return [];
  const ids = new Set(own.map(({ id }) => id));
  const waiting = await waitingDecisions(db, times, today);
  return waiting
    .filter(({ id, deciderLeft }) => ids.has(id) || (isLead && deciderLeft !== ''))
    .flatMap((decision) => decisionEntry(decision, make));
}

async function plannedTrials({ db }: Sources, make: EntryMaker): Promise<CalendarEntry[]> {
  const trials = await db.read.trial.findMany({
    where: { doneAt: null, plannedOn: { not: null } },
    select: { id: true, title: true, measured: true, plannedOn: true },
  });
  return trials.flatMap(({ plannedOn, ...trial }) =>
    plannedOn ? [trialEntry({ ...trial, plannedOn }, make)] : [],
  );
}
