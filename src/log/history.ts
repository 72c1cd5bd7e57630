import type { Database } from '../platform/database.ts';
import { dayIn } from '../platform/day.ts';
import type { LogRow } from './rows.ts';
import { actHref, actSentence } from './sentence.ts';

/** What the log is asked for. All that is given must hold. */
export interface LogFilter {
  partId?: number;
  jobId?: number;
  /** who did it, or whom it concerns */
  personId?: number;
  kinds?: readonly string[];
  thing?: { type: string; id: number };
  /** moments as ISO text: from inclusive, until exclusive */
  from?: string;
  until?: string;
}

const ROWS = `
  SELECT a.id, a.at, a.kind, a.personId, p.name AS who, a.partId, t.number AS partNumber, t.name AS partName,
         t.unit AS partUnit, a.jobId, j.title AS jobTitle, j.kind AS jobKind, a.aboutId, b.name AS about, a.thingType, a.thingId,
         a.milli, a.before, a.after
    FROM Act a
    LEFT JOIN Person p ON p.id = a.personId
    LEFT JOIN Person b ON b.id = a.aboutId
    LEFT JOIN Job j ON j.id = a.jobId
    LEFT JOIN Part t ON t.id = COALESCE(a.partId, j.partId)`;

function conditions(filter: LogFilter): { where: string; values: unknown[] } {
  const parts: string[] = [];
  const values: unknown[] = [];
  const add = (condition: string, ...given: unknown[]) => {
    parts.push(condition);
    values.push(...given);
  };
  if (filter.partId !== undefined) add('a.partId = ?', filter.partId);
  if (filter.jobId !== undefined) add('a.jobId = ?', filter.jobId);
  if (filter.personId !== undefined)
    add('(a.personId = ? OR a.aboutId = ?)', filter.personId, filter.personId);
  if (filter.thing) add('a.thingType = ? AND a.thingId = ?', filter.thing.type, filter.thing.id);
  if (filter.from !== undefined) add('a.at >= ?', filter.from);
  if (filter.until !== undefined) add('a.at < ?', filter.until);
  if (filter.kinds) add(`a.kind IN (${filter.kinds.map(() => '?').join(', ')})`, ...filter.kinds);
  return { where: parts.length ? ` WHERE ${parts.join(' AND ')}` : '', values };
}

/** Rows of the log, newest first. */
export function readLog(
  db: Pick<Database, 'hot'>,
  filter: LogFilter,
  page: { limit: number; offset?: number },
): LogRow[] {
  const { where, values } = conditions(filter);
  return db.hot
    .prepare<unknown[], LogRow>(`${ROWS}${where} ORDER BY a.id DESC LIMIT ? OFFSET ?`)
    .all(...values, page.limit, page.offset ?? 0);
}

/** How many rows of the log the filter holds for. */
export function countLog(db: Pick<Database, 'hot'>, filter: LogFilter): number {
  const { where, values } = conditions(filter);
  const row = db.hot
    .prepare<unknown[], { n: number }>(`SELECT COUNT(*) AS n FROM Act a${where}`)
    .get(...values);
  return row?.n ?? 0;
}

/** A row as pages show it: the `history` piece of views/shared/parts.njk. */
export interface HistoryLine {
  when: string;
  iso: string;
  who: string;
  what: string;
  href: string | null;
}

/** Rows as lines of a page's history; days in the build's zone. */
export function historyLines(rows: readonly LogRow[], timeZone: string): HistoryLine[] {
  return rows.map((row) => ({
    when: dayIn(timeZone, new Date(row.at)),
    iso: row.at,
    who: row.who ?? 'A visitor',
    what: actSentence(row),
    href: actHref(row),
  }));
}
