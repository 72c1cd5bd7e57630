import { factsReader } from '../jobs/index.ts';
import { structureGraph } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';
import type { Day } from '../platform/day.ts';
import type {
  BuildFacts,
  Closure,
  DayRange,
  GatheringFacts,
  JobLinkFacts,
  OpenDecision,
  OpenQuery,
  PersonFacts,
  PostFacts,
  PromisedDays,
  RevisionFacts,
} from './build-facts.ts';
import { weekdaysOf } from './calendar.ts';
import type { DaysThere } from './gathering-there.ts';

interface BuildRow {
  weekdays: string;
  timeZone: string;
  country: string;
  leadWeeklyHours: number;
}

interface RevisionRow extends Omit<RevisionFacts, 'drawn'> {
  drawn: number;
}

const BUILD = 'SELECT weekdays, timeZone, country, leadWeeklyHours FROM Build WHERE id = 1';

const REVISIONS = `
  SELECT r.id, r.partId, r.letter, r.state, r.processId,
         EXISTS (SELECT 1 FROM Document d WHERE d.revisionId = r.id AND d.removedAt IS NULL
                                            AND d.kind IN ('drawing', 'model')) AS drawn
    FROM Revision r ORDER BY r.id`;

const UNDONE = `
  SELECT r.partId, SUM(o.milli) AS milli
    FROM OldUnits o JOIN Revision r ON r.id = o.revisionId
   WHERE o.decidedAs IN ('rework', 'scrap') GROUP BY r.partId`;

const LINKS = 'SELECT fromId, toId, type, lag FROM JobLink ORDER BY id';
const PEOPLE = `
  SELECT id, name, role, country, weeklyHours, deactivatedAt IS NULL AND forgottenAt IS NULL AS active FROM Person`;
const CLOSURES = 'SELECT id, fromOn, untilOn, name FROM Closure WHERE removedAt IS NULL ORDER BY fromOn, id';
const AWAY = 'SELECT personId, fromOn, untilOn FROM Away WHERE removedAt IS NULL ORDER BY fromOn, id';
const GATHERINGS = `
  SELECT id, title, fromOn, untilOn, places, dayHours FROM Gathering WHERE droppedAt IS NULL ORDER BY fromOn, id`;
const COMERS = `
  SELECT c.gatheringId, c.personId, c.fromOn, c.untilOn, c.hours
    FROM Comer c JOIN Gathering g ON g.id = c.gatheringId JOIN Person p ON p.id = c.personId
   WHERE c.cancelledAt IS NULL AND g.droppedAt IS NULL AND p.deactivatedAt IS NULL AND p.forgottenAt IS NULL
   ORDER BY c.id`;
const PROCESSES = 'SELECT id, name FROM Process';
const TOOLS = `
  SELECT DISTINCT personId, processId FROM Tool
   WHERE removedAt IS NULL AND processId IS NOT NULL ORDER BY personId`;
const POSTS = 'SELECT fromId AS personId, sentAt, arrivedAt FROM Parcel ORDER BY id';
// The days a maker has named since count for the schedule; how good their promises are, the first ones tell.
const FIRST_PROMISES = `
  SELECT thingId, before FROM Act
   WHERE id IN (SELECT MIN(id) FROM Act WHERE kind = 'renew-promise' GROUP BY thingId)`;
const QUERIES = `
  SELECT q.id, q.jobId, q.askedById, q.askedAt FROM Query q JOIN Job j ON j.id = q.jobId
   WHERE q.answeredAt IS NULL AND j.droppedAt IS NULL ORDER BY q.id`;
const DECISIONS = `
  SELECT id, jobId, partId, question, gatheringId FROM Decision
   WHERE decidedAt IS NULL AND droppedAt IS NULL ORDER BY id`;

/** Reads all that the schedule is derived from, by the driver, as it was at one moment. */
export function buildFactsReader(db: Pick<Database, 'hot'>): (today: Day) => BuildFacts | null {
  const { hot } = db;
  const jobs = factsReader(db);
  const build = hot.prepare<[], BuildRow>(BUILD);
  const revisions = hot.prepare<[], RevisionRow>(REVISIONS);
  const undone = hot.prepare<[], { partId: number; milli: number }>(UNDONE);
  const links = hot.prepare<[], JobLinkFacts>(LINKS);
  const people = hot.prepare<[], Omit<PersonFacts, 'active'> & { id: number; active: number }>(PEOPLE);
  const closures = hot.prepare<[], Closure>(CLOSURES);
  const away = hot.prepare<[], DayRange & { personId: number }>(AWAY);
  const gatherings = hot.prepare<[], Omit<GatheringFacts, 'comers'> & { id: number }>(GATHERINGS);
  const comers = hot.prepare<[], DaysThere & { gatheringId: number; personId: number }>(COMERS);
  const processes = hot.prepare<[], { id: number; name: string }>(PROCESSES);
  const tools = hot.prepare<[], { personId: number; processId: number }>(TOOLS);
  const posts = hot.prepare<[], PostFacts>(POSTS);
  const firstPromises = hot.prepare<[], { thingId: number; before: string }>(FIRST_PROMISES);
  const queries = hot.prepare<[], OpenQuery>(QUERIES);
  const decisions = hot.prepare<[], OpenDecision>(DECISIONS);
  return hot.transaction((today: Day): BuildFacts | null => {
    const settings = build.get();
    if (!settings) return null;
    const { parts, uses, structure, tops, required } = structureGraph(hot);
    const byPart = grouped(
      revisions.all().map((row): RevisionFacts => ({ ...row, drawn: row.drawn === 1 })),
      ({ partId }) => partId,
    );
    const coming = grouped(comers.all(), ({ gatheringId }) => gatheringId);
    return {
      today,
      weekdays: weekdaysOf(settings.weekdays),
      timeZone: settings.timeZone,
      country: settings.country,
      leadWeeklyHours: settings.leadWeeklyHours,
      parts,
      uses,
      structure,
      tops,
      required: required(),
      revisions: byPart,
      undoneMilli: new Map(undone.all().map(({ partId, milli }) => [partId, milli])),
      jobs: jobs.all(),
      links: links.all(),
      people: new Map(
        people.all().map(({ id, active, ...person }) => [id, { ...person, active: active === 1 }]),
      ),
      closures: closures.all(),
      away: grouped(away.all(), ({ personId }) => personId),
      gatherings: new Map(
        gatherings.all().map(({ id, ...gathering }) => [
          id,
          {
            ...gathering,
            comers: new Map(
              (coming.get(id) ?? []).map(({ personId, fromOn, untilOn, hours }) => [
                personId,
                { fromOn, untilOn, hours },
              ]),
            ),
          },
        ]),
      ),
      processes: new Map(processes.all().map(({ id, name }) => [id, name])),
      toolsFor: new Map(
        [...grouped(tools.all(), ({ processId }) => processId)].map(([processId, rows]) => [
          processId,
          rows.map(({ personId }) => personId),
        ]),
      ),
      posts: posts.all(),
      firstPromises: new Map(
        firstPromises.all().map(({ thingId, before }) => [thingId, JSON.parse(before) as PromisedDays]),
      ),
      queries: queries.all(),
      decisions: decisions.all(),
    };
  });
}

function grouped<T>(rows: readonly T[], keyOf: (row: T) => number): Map<number, T[]> {
  const groups = new Map<number, T[]>();
  for (const row of rows) {
    const group = groups.get(keyOf(row));
    if (group) group.push(row);
    else groups.set(keyOf(row), [row]);
  }
  return groups;
}
