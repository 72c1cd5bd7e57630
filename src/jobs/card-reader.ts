import { draftsMissingReader } from '../drawings/index.ts';
import type { Unit } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';
import { dayIn, dayNumber } from '../platform/day.ts';
import { type CardMoment, type CardNames, type JobCard, jobCard, type Viewer } from './card.ts';
import type { JobFacts } from './facts.ts';
import { unitOf } from './say.ts';
import type { JobTimes } from './times.ts';
import { untilCommit } from './until-commit.ts';

interface PartRow {
  id: number;
  number: string;
  unit: string;
  processId: number | null;
}
interface RevisionRow {
  id: number;
  letter: string;
  state: string;
  processId: number | null;
}

/** All names that cards need, read in one go. */
export interface NamesForCards {
  of(job: JobFacts): CardNames;
  nameOf(personId: number): string;
  unitOf(job: JobFacts): Unit;
}

/** Reads the names behind cards by the driver: one statement for each kind of thing, for all jobs at once. */
export function cardNamesReader(db: Pick<Database, 'hot'>): () => NamesForCards {
  const { hot } = db;
  const parts = hot.prepare<[], PartRow>(
    'SELECT id, number, unit, processId FROM Part WHERE id IN (SELECT partId FROM Job)',
  );
  const revisions = hot.prepare<[], RevisionRow>(
    'SELECT id, letter, state, processId FROM Revision WHERE id IN (SELECT revisionId FROM Job)',
  );
  const processes = hot.prepare<[], { id: number; name: string }>('SELECT id, name FROM Process');
  const people = hot.prepare<[], { id: number; name: string }>('SELECT id, name FROM Person');
  const queries = hot.prepare<[], { jobId: number; first: number; count: number }>(
    'SELECT jobId, MIN(id) AS first, COUNT(*) AS count FROM Query WHERE answer IS NULL GROUP BY jobId',
  );
  const notices = hot.prepare<[], { claimId: number }>('SELECT claimId FROM Notice WHERE settledAt IS NULL');
  const draftsMissing = draftsMissingReader(db);
  const byId = <T extends { id: number }>(rows: T[]) => new Map(rows.map((row) => [row.id, row]));
  return untilCommit(hot, () => {
    const partOf = byId(parts.all().map((part) => ({ ...part, unit: unitOf(part.unit) })));
    const revisionOf = byId(revisions.all());
    const processOf = byId(processes.all());
    const personOf = byId(people.all());
    const queriesOf = new Map(queries.all().map((row) => [row.jobId, row]));
    const noticed = new Set(notices.all().map(({ claimId }) => claimId));
    const missing = draftsMissing();
    const nameOf = (personId: number) => personOf.get(personId)?.name ?? 'somebody';
    return {
      nameOf,
      unitOf: (job) => (job.partId === null ? undefined : partOf.get(job.partId))?.unit ?? 'piece',
      of(job) {
        const part = job.partId === null ? null : (partOf.get(job.partId) ?? null);
        const revision = job.revisionId === null ? null : (revisionOf.get(job.revisionId) ?? null);
        const processId = job.kind === 'fabricate' ? (revision?.processId ?? part?.processId ?? null) : null;
        return {
          part,
          revision,
          processName: processId === null ? null : (processOf.get(processId)?.name ?? null),
          nameOf,
          queries: queriesOf.get(job.id) ?? null,
          noticed: (claimId) => noticed.has(claimId),
          missing: revision ? (missing.get(revision.id) ?? null) : null,
        };
      },
    };
  });
}

const MOST_MINUTES = 20_000;

/** Reads the moment cards are drawn for: today, and after how many days a maker counts as silent. */
export function momentReader(db: Pick<Database, 'hot'>): (now: Date) => CardMoment {
  const build = db.hot.prepare<[], { timeZone: string; silentAfterDays: number }>(
    'SELECT timeZone, silentAfterDays FROM Build WHERE id = 1',
  );
  // The day of a minute in a zone costs far more than looking it up: claims come again on every page.
  let zone = '';
  const dayNumbers = new Map<string, number>();
  const numberOf = (moment: string) => {
    const minute = moment.slice(0, 16);
    let number = dayNumbers.get(minute);
    if (number === undefined) {
      number = dayNumber(dayIn(zone, new Date(moment)));
      dayNumbers.set(minute, number);
    }
    return number;
  };
  return (now) => {
    const { timeZone, silentAfterDays } = build.get() ?? { timeZone: 'UTC', silentAfterDays: 14 };
    if (timeZone !== zone || dayNumbers.size > MOST_MINUTES) dayNumbers.clear();
    zone = timeZone;
    const today = dayIn(timeZone, now);
    const todayNumber = dayNumber(today);
    return {
      today,
      silentAfterDays,
      daysSince: (moment) => todayNumber - numberOf(moment),
    };
  };
}

/** Cards of these jobs. */
export function jobCards(
  jobs: readonly JobFacts[],
  names: NamesForCards,
  times: JobTimes,
  viewer: Viewer,
  moment: CardMoment,
): JobCard[] {
  return jobs.map((job) => jobCard(job, names.of(job), times.of(job.id), viewer, moment));
}
