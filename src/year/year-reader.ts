import { factsReader, type JobFacts } from '../jobs/index.ts';
import { type PartsGraph, structureGraph } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';
import { type Day, dayIn } from '../platform/day.ts';
import type { AcceptedUnits, PlannedPart } from './accepted.ts';
import type { HoursReport } from './hours.ts';
import type { Estimate } from './pictures.ts';

interface Moment {
  at: string;
}

/** All that the pictures of a year are made from, as it is at one moment. Days in the build's zone. */
export interface YearFacts {
  /** the build's first day */
  createdOn: Day;
  graph: PartsGraph;
  /** since the beginning, in the order they were accepted in */
  units: readonly AcceptedUnits[];
  reports: readonly HoursReport[];
  jobs: readonly JobFacts[];
  /** of days in the span */
  estimates: readonly Estimate[];
  /** the first plan that was kept, with the parts that were not ready then; null where none is kept */
  plan: { name: string; day: Day; parts: PlannedPart[] } | null;
  /** parts that were added to the build after that plan */
  addedSince: ReadonlySet<number>;
  countryOf(personId: number): string;
  dayOf(instant: string): Day;
}

const UNITS = `
  SELECT k.at, j.partId, c.personId, k.milli
    FROM UnitCheck k JOIN ParcelItem i ON i.id = k.itemId JOIN Claim c ON c.id = i.claimId JOIN Job j ON j.id = c.jobId
   WHERE k.disposition IN ('accept', 'concession') AND j.partId IS NOT NULL
   UNION ALL
  SELECT o.decidedAt, j.partId, c.personId, -o.milli
    FROM OldUnits o JOIN Claim c ON c.id = o.claimId JOIN Job j ON j.id = c.jobId
   WHERE o.decidedAs IN ('rework', 'scrap') AND j.partId IS NOT NULL
   ORDER BY 1`;
// What was taken back is no report of its own.
const REPORTS = `
  SELECT r.at, j.partId, c.personId, r.hours
    FROM Report r JOIN Claim c ON c.id = r.claimId JOIN Job j ON j.id = c.jobId
   WHERE r.doneMilli >= 0`;
const ESTIMATES = `
  SELECT day, finishOn, at50On, at80On, at95On FROM FinishRecord WHERE day BETWEEN ? AND ? ORDER BY day`;
const PLAN = 'SELECT id, name, day, createdAt FROM Baseline WHERE removedAt IS NULL ORDER BY day, id LIMIT 1';
const PLANNED = 'SELECT partId, readyOn FROM BaselineLine WHERE baselineId = ? AND partId IS NOT NULL';
const ADDED = 'SELECT id FROM Part WHERE createdAt > ?';
const BUILD = 'SELECT createdAt, timeZone FROM Build WHERE id = 1';
const PEOPLE = 'SELECT id, country FROM Person';

/** Zones differ from UTC by quarters of an hour at the finest. */
const quarter = (instant: string) =>
  `${instant.slice(0, 14)}${String(Math.floor(Number(instant.slice(14, 16)) / 15) * 15).padStart(2, '0')}`;
const MOST_QUARTERS = 50_000;

/** Reads what the pictures are made from, by the driver. */
export function yearReader({ hot }: Pick<Database, 'hot'>): (span: { from: Day; until: Day }) => YearFacts {
  const jobs = factsReader({ hot });
  const units = hot.prepare<[], Moment & Omit<AcceptedUnits, 'day'>>(UNITS);
  const reports = hot.prepare<[], Moment & Omit<HoursReport, 'day'>>(REPORTS);
  const estimates = hot.prepare<[Day, Day], Estimate>(ESTIMATES);
  const plan = hot.prepare<[], { id: number; name: string; day: Day; createdAt: string }>(PLAN);
  const planned = hot.prepare<[number], PlannedPart>(PLANNED);
  const added = hot.prepare<[string], number>(ADDED).pluck();
  const build = hot.prepare<[], { createdAt: string; timeZone: string }>(BUILD);
  const people = hot.prepare<[], { id: number; country: string }>(PEOPLE);
  // The day of a moment in a zone costs far more than looking it up.
  let zone = '';
  const days = new Map<string, Day>();
  const dayOf = (instant: string): Day => {
    const key = quarter(instant);
    let day = days.get(key);
    if (day === undefined) {
      if (days.size > MOST_QUARTERS) days.clear();
      day = dayIn(zone, new Date(`${key}:00.000Z`));
      days.set(key, day);
    }
    return day;
  };
  const dated = <T>({ at, ...rest }: Moment & T) => ({ day: dayOf(at), ...rest });
  return hot.transaction(({ from, until }: { from: Day; until: Day }): YearFacts => {
    const { createdAt, timeZone } = build.get()!;
    if (timeZone !== zone) days.clear();
    zone = timeZone;
    const kept = plan.get();
    const countries = new Map(people.all().map(({ id, country }) => [id, country]));
    return {
      createdOn: dayOf(createdAt),
      graph: structureGraph(hot),
      units: units.all().map(dated) as AcceptedUnits[],
      reports: reports.all().map(dated) as HoursReport[],
      jobs: jobs.all(),
      estimates: estimates.all(from, until),
      plan: kept ? { name: kept.name, day: kept.day, parts: planned.all(kept.id) } : null,
      addedSince: new Set(kept ? added.all(kept.createdAt) : []),
      countryOf: (personId) => countries.get(personId) ?? '',
      dayOf,
    };
  });
}
