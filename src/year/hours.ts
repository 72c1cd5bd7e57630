import type { Day } from '../platform/day.ts';
import { type Month, monthOf } from './months.ts';

/** A maker's report, and the hours it named. */
export interface HoursReport {
  day: Day;
  partId: number | null;
  personId: number;
  /** null where none were said */
  hours: number | null;
}

export interface HoursGiven {
  hours: number;
  reports: number;
  /** of them so many said how many hours */
  said: number;
}

export const NO_HOURS: Readonly<HoursGiven> = { hours: 0, reports: 0, said: 0 };

/** Adds a report to a sum. */
export function withReport(sum: Readonly<HoursGiven>, { hours }: Pick<HoursReport, 'hours'>): HoursGiven {
  return {
    hours: sum.hours + (hours ?? 0),
    reports: sum.reports + 1,
    said: sum.said + (hours === null ? 0 : 1),
  };
}

/** Hours given by month, in the order of the months. */
export function hoursByMonth(reports: readonly HoursReport[], months: readonly Month[]): HoursGiven[] {
  const sums = months.map(() => NO_HOURS);
  const places = new Map(months.map((month, at) => [month, at]));
  for (const report of reports) {
    const at = places.get(monthOf(report.day));
    if (at !== undefined) sums[at] = withReport(sums[at]!, report);
  }
  return sums;
}
