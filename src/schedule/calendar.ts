import { addDays, type Day, dayNumber, dayOf, weekday } from '../platform/day.ts';

/**
 * The build's calendar as the schedule counts in it.
 *
 * A moment is a whole number: moment d is the morning of the day d calendar days after today, so today's morning is 0
 * and days before today are below it. Work of n working days that begins at moment s takes the first n working days
 * from the morning of s on, and ends on the morning after the last of them. Other durations (the post, a maker's own
 * evenings) are calendar days: they end at s + n.
 */
export interface WorkingCalendar {
  today: Day;
  /** working days in a week, 1 to 7 */
  perWeek: number;
  /** working days between this morning and the moment; below 0 for a moment before today */
  workingBefore(moment: number): number;
  /** the moment of the n-th working day from today on, counted from 0; negative n go back */
  workingDay(n: number): number;
  /** the day of a moment */
  dayAt(moment: number): Day;
  /** the moment of a day */
  momentOf(day: Day): number;
}

/** Every working pattern repeats after seven days: two tables of one week answer for any moment, however far. */
export function workingCalendar(today: Day, weekdays: readonly number[]): WorkingCalendar {
  const works = Array.from({ length: 7 }, (_, d) => weekdays.includes(weekday(addDays(today, d))));
  // A build that works on no day would never end; it then works on all of them.
  if (!works.includes(true)) works.fill(true);
  const before = new Int32Array(7);
  const nth: number[] = [];
  works.forEach((isWorking, d) => {
    before[d] = nth.length;
    if (isWorking) nth.push(d);
  });
  const perWeek = nth.length;
  const first = dayNumber(today);
  // The same few hundred days are told thousands of times.
  const days = new Map<number, Day>();
  return {
    today,
    perWeek,
    workingBefore(moment) {
      const week = Math.floor(moment / 7);
      return week * perWeek + before[moment - week * 7]!;
    },
    workingDay(n) {
      const week = Math.floor(n / perWeek);
      return week * 7 + nth[n - week * perWeek]!;
    },
    dayAt(moment) {
      let day = days.get(moment);
      if (day === undefined) {
        day = dayOf(first + moment);
        days.set(moment, day);
      }
      return day;
    },
    momentOf: (day) => dayNumber(day) - first,
  };
}

/** The weekdays of a build's setting: '1,2,3,4,5' (ISO weekday numbers). */
export function weekdaysOf(setting: string): number[] {
  return setting
    .split(',')
    .map(Number)
    .filter((number) => Number.isInteger(number) && number >= 1 && number <= 7);
}

/** When work that begins at `start` ends. Whole `days` >= 0, working or calendar ones. */
export function endOf(calendar: WorkingCalendar, start: number, days: number, working: boolean): number {
  if (!working || days === 0) return start + days;
  return calendar.workingDay(calendar.workingBefore(start) + days - 1) + 1;
}

/** The latest moment at which work may begin so as to end by `end`: endOf(latestStart) <= end < endOf(a day later). */
export function latestStart(calendar: WorkingCalendar, end: number, days: number, working: boolean): number {
  if (!working || days === 0) return end - days;
  return calendar.workingDay(calendar.workingBefore(end) - days);
}

/** The earliest moment at which work may begin so as not to end before `end`. */
export function earliestStart(
  calendar: WorkingCalendar,
  end: number,
  days: number,
  working: boolean,
): number {
  if (!working || days === 0) return end - days;
  const index = calendar.workingBefore(end - 1) - days;
  return calendar.workingDay(index) + 1;
}

/** The moment `lag` working days after a moment; before it where the lag is negative. */
export function lagAfter(calendar: WorkingCalendar, moment: number, lag: number): number {
  if (lag === 0) return moment;
  if (lag > 0) return endOf(calendar, moment, lag, true);
  return calendar.workingDay(calendar.workingBefore(moment) + lag);
}

/** The latest moment whose lagAfter is not after `end`. */
export function latestBefore(calendar: WorkingCalendar, end: number, lag: number): number {
  if (lag === 0) return end;
  if (lag > 0) return latestStart(calendar, end, lag, true);
  return calendar.workingDay(calendar.workingBefore(end + 1) - 1 - lag);
}
