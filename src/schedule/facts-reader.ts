import { factsReader } from '../jobs/index.ts';
import { structureGraph } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';
import type { Day } from '../platform/day.ts';
import type { BuildFacts, JobLinkFacts, PersonFacts, RevisionFacts } from './build-facts.ts';
import { weekdaysOf } from './calendar.ts';

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
  SELECT r.id, r.partId, r.letter, r.state,
         EXISTS (SELECT 1 FROM Document d WHERE d.revisionId = r.id AND d.removedAt IS NULL
                                            AND d.kind IN ('drawing', 'model')) AS drawn
    FROM Revision r ORDER BY r.id`;

const UNDONE = `
  SELECT r.partId, SUM(o.milli) AS milli
    FROM OldUnits o JOIN Revision r ON r.id = o.revisionId
   WHERE o.decidedAs IN ('rework', 'scrap') GROUP BY r.partId`;

const LINKS = 'SELECT fromId, toId, type, lag FROM JobLink ORDER BY id';
const PEOPLE = 'SELECT id, name, role, country, weeklyHours FROM Person';
const GATHERINGS = 'SELECT id, fromOn FROM Gathering WHERE droppedAt IS NULL AND untilOn >= ?';

/** Reads all that the schedule is derived from, by the driver, as it was at one moment. */
export function buildFactsReader(db: Pick<Database, 'hot'>): (today: Day) => BuildFacts | null {
  const { hot } = db;
  const jobs = factsReader(db);
  const build = hot.prepare<[], BuildRow>(BUILD);
  const revisions = hot.prepare<[], RevisionRow>(REVISIONS);
  const undone = hot.prepare<[], { partId: number; milli: number }>(UNDONE);
  const links = hot.prepare<[], JobLinkFacts>(LINKS);
  const people = hot.prepare<[], PersonFacts & { id: number }>(PEOPLE);
  const gatherings = hot.prepare<[Day], { id: number; fromOn: Day }>(GATHERINGS);
  return hot.transaction((today: Day): BuildFacts | null => {
    const settings = build.get();
    if (!settings) return null;
    const { parts, uses, structure, tops, required } = structureGraph(hot);
    const byPart = new Map<number, RevisionFacts[]>();
    for (const row of revisions.iterate()) {
      const revision = { ...row, drawn: row.drawn === 1 };
      const list = byPart.get(row.partId);
      if (list) list.push(revision);
      else byPart.set(row.partId, [revision]);
    }
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
      people: new Map(people.all().map(({ id, ...person }) => [id, person])),
      gatherings: new Map(gatherings.all(today).map(({ id, fromOn }) => [id, fromOn])),
    };
  });
}
