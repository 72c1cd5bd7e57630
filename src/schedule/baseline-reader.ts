import type { Database } from '../platform/database.ts';
import { type Day, dayIn } from '../platform/day.ts';
import type { PlannedLine } from './baseline-plan.ts';
import type { EndDays } from './baseline-slips.ts';
import type { FinishEstimate } from './finish-chart.ts';

/** A kept plan, without its lines. */
export interface KeptPlan {
  id: number;
  name: string;
  note: string;
  day: Day;
  finishOn: Day;
  at50On: Day | null;
  at80On: Day | null;
  at95On: Day | null;
  keptBy: string | null;
}

/** Reads kept plans and what has come about since. */
export interface BaselineReader {
  /** those on the list, the newest first */
  all(): KeptPlan[];
  one(id: number): KeptPlan | null;
  lines(id: number): PlannedLine[];
  /** when parts and jobs came to their end since the plan was kept */
  ends(id: number): EndDays;
  /** every estimate of the finish, in the order of their days */
  estimates(): (FinishEstimate & { at50On: Day | null; at95On: Day | null })[];
}

const PLAN = `
  SELECT b.id, b.name, b.note, b.day, b.finishOn, b.at50On, b.at80On, b.at95On, p.name AS keptBy
    FROM Baseline b LEFT JOIN Person p ON p.id = b.createdById WHERE b.removedAt IS NULL`;
const LINES =
  'SELECT partId, jobId, label, readyOn, critical FROM BaselineLine WHERE baselineId = ? ORDER BY id';
/** The acts by which a part becomes ready or a job is over. */
const ends = (what: 'partId' | 'jobId') => `
  SELECT ${what} AS id, MAX(at) AS at FROM Act
   WHERE ${what} IS NOT NULL AND at >= (SELECT createdAt FROM Baseline WHERE id = ?)
     AND kind IN ('inspect-units', 'finish-job', 'receive-purchase', 'set-shelf') GROUP BY ${what}`;

export function baselineReader({ hot }: Pick<Database, 'hot'>): BaselineReader {
  const all = hot.prepare<[], KeptPlan>(`${PLAN} ORDER BY b.day DESC, b.id DESC`);
  const one = hot.prepare<[number], KeptPlan>(`${PLAN} AND b.id = ?`);
  const lines = hot.prepare<[number], Omit<PlannedLine, 'critical'> & { critical: number }>(LINES);
  const endsOfParts = hot.prepare<[number], { id: number; at: string }>(ends('partId'));
  const endsOfJobs = hot.prepare<[number], { id: number; at: string }>(ends('jobId'));
  const timeZone = hot.prepare<[], string>('SELECT timeZone FROM Build WHERE id = 1').pluck();
  const estimates = hot.prepare<[], ReturnType<BaselineReader['estimates']>[number]>(
    'SELECT day, finishOn, at50On, at80On, at95On FROM FinishRecord ORDER BY day',
  );
  return {
    all: () => all.all(),
    one: (id) => one.get(id) ?? null,
    lines: (id) => lines.all(id).map((line) => ({ ...line, critical: line.critical === 1 })),
    ends(id) {
      const zone = timeZone.get() ?? 'UTC';
      const days = (rows: { id: number; at: string }[]) =>
        new Map(rows.map((row) => [row.id, dayIn(zone, new Date(row.at))]));
      return { parts: days(endsOfParts.all(id)), jobs: days(endsOfJobs.all(id)) };
    },
    estimates: () => estimates.all(),
  };
}
