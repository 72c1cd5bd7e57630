import { addDays, type Day, daysBetween, weekday } from '../platform/day.ts';

/** A week of the bulletin: seven days, named by the day that closes it. */
export interface Week {
  from: Day;
  until: Day;
}

/** The week that a day lies in, when weeks are closed by this ISO weekday. */
export function weekOf(day: Day, closingWeekday: number): Week {
  const ahead = (closingWeekday - weekday(day) + 7) % 7;
  return weekTo(addDays(day, ahead));
}

/** The week closed by a day. */
export function weekTo(until: Day): Week {
  return { from: addDays(until, -6), until };
}

/** Whether a day closes weeks. */
export function closesWeek(day: Day, closingWeekday: number): boolean {
  return weekday(day) === closingWeekday;
}

/** The last weeks up to and with that of `today`, newest first, no earlier than the one of `first`. */
export function recentWeeks(today: Day, first: Day, closingWeekday: number, most: number): Week[] {
  const newest = weekOf(today, closingWeekday);
  const count = Math.min(
    most,
    Math.floor(daysBetween(weekOf(first, closingWeekday).until, newest.until) / 7) + 1,
  );
  return Array.from({ length: Math.max(0, count) }, (_, back) => weekTo(addDays(newest.until, -7 * back)));
}
