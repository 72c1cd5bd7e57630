import type { AcceptedUnits } from './accepted.ts';
import { type HoursGiven, type HoursReport, NO_HOURS, withReport } from './hours.ts';
import { LEAST_PEOPLE } from './outside.ts';

export interface CountryYear extends HoursGiven {
  /** ISO 3166-1 alpha-2; '' where it is not known; ELSEWHERE for several that are told together */
  country: string;
  people: number;
  /** who of them told hours, for what may be told of them */
  givers: ReadonlySet<number>;
  /** whole pieces accepted in the span */
  accepted: number;
}

export const ELSEWHERE = 'elsewhere';

/**
 * What came from each country in a span.
 *
 * @param units    accepted in it
 * @param reports  of it
 * @returns        the most pieces first
 */
export function byCountry(
  units: readonly AcceptedUnits[],
  reports: readonly HoursReport[],
  countryOf: (personId: number) => string,
): CountryYear[] {
  const rows = new Map<
    string,
    { milli: number; given: HoursGiven; people: Set<number>; givers: Set<number> }
  >();
  const rowOf = (personId: number) => {
    const country = countryOf(personId);
    let row = rows.get(country);
    if (!row) {
      row = { milli: 0, given: NO_HOURS, people: new Set(), givers: new Set() };
      rows.set(country, row);
    }
    row.people.add(personId);
    return row;
  };
  for (const { personId, milli } of units) rowOf(personId).milli += milli;
  for (const report of reports) {
    const row = rowOf(report.personId);
    row.given = withReport(row.given, report);
    if (report.hours !== null) row.givers.add(report.personId);
  }
  return inOrder(
    [...rows].map(([country, { milli, given, people, givers }]) => ({
      country,
      people: people.size,
      givers,
      accepted: Math.round(milli / 1000),
      ...given,
    })),
  );
}

/**
 * The same as outsiders may see it: where a country has so few people that its figures are those of a person, it is told
 * together with others. What is told together is of enough people as well, or nothing is told apart.
 */
export function pooled(rows: readonly CountryYear[]): CountryYear[] {
  const shown = rows.filter(({ country, people }) => country !== '' && people >= LEAST_PEOPLE);
  const hidden = rows.filter((row) => !shown.includes(row));
  if (hidden.length === 0) return [...shown];
  const people = () => hidden.reduce((sum, row) => sum + row.people, 0);
  // With the smallest of the others, so that a sum less all that is shown names nobody.
  while (people() < LEAST_PEOPLE && shown.length > 0) {
    const smallest = shown.reduce((a, b) => (b.people < a.people ? b : a));
    shown.splice(shown.indexOf(smallest), 1);
    hidden.push(smallest);
  }
  const pool = hidden.reduce(
    (sum, row): CountryYear => ({
      country: ELSEWHERE,
      people: sum.people + row.people,
      givers: new Set([...sum.givers, ...row.givers]),
      accepted: sum.accepted + row.accepted,
      hours: sum.hours + row.hours,
      reports: sum.reports + row.reports,
      said: sum.said + row.said,
    }),
    { country: ELSEWHERE, people: 0, givers: new Set(), accepted: 0, ...NO_HOURS },
  );
  return [...shown, pool];
}

function inOrder(rows: CountryYear[]): CountryYear[] {
  return rows.sort(
    (a, b) => b.accepted - a.accepted || b.hours - a.hours || (a.country < b.country ? -1 : 1),
  );
}
