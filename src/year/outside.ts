import type { HoursReport } from './hours.ts';
import { type Month, monthOf } from './months.ts';

/** Fewer people than this are not told apart to outsiders. */
export const LEAST_PEOPLE = 3;

/**
 * The months whose hours outsiders are told: those that are over, and in which enough people told theirs. All that outsiders
 * see of hours comes from these, so that no sum less another is what one person gave.
 */
export function toldMonths(reports: readonly HoursReport[], thisMonth: Month): Set<Month> {
  const givers = new Map<Month, Set<number>>();
  for (const { day, personId, hours } of reports) {
    const month = monthOf(day);
    if (hours === null || month >= thisMonth) continue;
    const own = givers.get(month);
    if (own) own.add(personId);
    else givers.set(month, new Set([personId]));
  }
  return new Set([...givers].flatMap(([month, { size }]) => (size >= LEAST_PEOPLE ? month : [])));
}

/** Who told hours in some reports. */
export function giversOf(reports: readonly HoursReport[]): Set<number> {
  return new Set(reports.flatMap(({ personId, hours }) => (hours === null ? [] : personId)));
}

/**
 * The rows of a table whose hours are not told: those of too few people, and more of them as long as what is missing from
 * the sum is of too few.
 *
 * @param rest    who told hours that are in no row
 * @param unseen  rows that are not shown at all
 */
export function untold<T extends { givers: ReadonlySet<number> }>(
  rows: readonly T[],
  rest: ReadonlySet<number>,
  unseen: readonly T[] = [],
): Set<T> {
  const hidden = new Set(rows.filter(({ givers }) => givers.size > 0 && givers.size < LEAST_PEOPLE));
  const missing = new Set([...rest, ...[...hidden, ...unseen].flatMap(({ givers }) => [...givers])]);
  while (missing.size > 0 && missing.size < LEAST_PEOPLE) {
    const shown = rows.filter((row) => row.givers.size > 0 && !hidden.has(row));
    if (shown.length === 0) break;
    const smallest = shown.reduce((a, b) => (b.givers.size < a.givers.size ? b : a));
    hidden.add(smallest);
    for (const person of smallest.givers) missing.add(person);
  }
  return hidden;
}
