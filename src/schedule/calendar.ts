import { addDays, type Day, dayNumber, dayOf, weekday } from '../platform/day.ts';

/**
 * The build's calendar as the schedule counts in it.
 *
 * A moment is a whole number: moment d is the morning of the day d calendar days after today, so today's morning is 0
 * and days before today are below it. Work of n working days that begins at moment s takes the first n working days
 * from the morning of s on, and ends on the morning after the last of them. Other durations (the post, a maker's own
 * evenings) are calendar days: they end at s + n.
 */
export interface WorkingCalendar extends DayCounter {
  today: Day;
  table: CalendarTable;
  /** the day of a moment */
  dayAt(moment: number): Day;
  /** the moment of a day */
  momentOf(day: Day): number;
}

/** Counts working days, whatever the date of today. */
export interface DayCounter {
  /** working days in a week, 1 to 7 */
  perWeek: number;
  /** working days between this morning and the moment; below 0 for a moment before today */
  workingBefore(moment: number): number;
  /** the moment of the n-th working day from today on, counted from 0; negative n go back */
  workingDay(n: number): number;
}

/** A calendar as plain arrays, so that it can be posted to a thread. */
export interface CalendarTable {
  /** the moment of the table's first day, <= 0 */
  readonly low: number;
  /** working days of the table before its k-th day; one more than it has days */
  readonly before: Int32Array;
  /** the moments of the table's working days */
  readonly nth: Int32Array;
  /** 1 for each day of the week, counted from today's, that works; before and after the table the week repeats itself */
  readonly week: Uint8Array;
}

/** Which days a calendar has, beside its weekdays. Moments as in `WorkingCalendar`; ranges have both their days in them. */
export interface CalendarDays {
  /** ISO weekday numbers */
  weekdays: readonly number[];
  /** first and last moment of each run of days that is free */
  free?: readonly (readonly [number, number])[];
  /** only these runs of days count, whatever weekday they are, until the last of them is over */
  only?: readonly (readonly [number, number])[];
}

/** So far ahead every day has its place in a table; beyond, and before today's exceptions, the week repeats itself. */
const TABLE_DAYS = 1100;

/**
 * The calendar of a build, of a person in it, or of the gatherings ahead.
 *
 * Days near today are looked up in tables; further on, where nothing but the weekdays counts, the week answers for any
 * moment. A calendar that would have no day at all has every day: work must end some time.
 */
export function workingCalendar(today: Day, days: readonly number[] | CalendarDays): WorkingCalendar {
  const { weekdays, free = [], only = [] } = 'weekdays' in days ? days : { weekdays: days };
  const works = Array.from({ length: 7 }, (_, d) => weekdays.includes(weekday(addDays(today, d))));
  if (!works.includes(true)) works.fill(true);
  const edges = [...free, ...only].flat();
  const low = Math.min(0, ...edges);
  const high = Math.max(TABLE_DAYS, ...edges.map((edge) => edge + 1));
  const isOn = Uint8Array.from({ length: high - low }, (_, k) => (works[(((low + k) % 7) + 7) % 7] ? 1 : 0));
  const fill = (ranges: readonly (readonly [number, number])[], value: 0 | 1) => {
    for (const [from, until] of ranges) isOn.fill(value, from - low, until + 1 - low);
  };
  fill(free, 0);
  if (only.length > 0) {
    isOn.fill(0, 0, Math.max(...only.map(([, until]) => until)) + 1 - low);
    fill(only, 1);
  }
  const before = new Int32Array(high - low + 1);
  for (let k = 0; k < isOn.length; k++) before[k + 1] = before[k]! + isOn[k]!;
  const nth = new Int32Array(before[isOn.length]!);
  for (let k = 0; k < isOn.length; k++) if (isOn[k]) nth[before[k]!] = low + k;
  const table = { low, before, nth, week: Uint8Array.from(works, Number) };
  const first = dayNumber(today);
  // The same few hundred days are told thousands of times.
  const told = new Map<number, Day>();
  return {
    ...tableCalendar(table),
    today,
    table,
    dayAt(moment) {
      let day = told.get(moment);
      if (day === undefined) {
        day = dayOf(first + moment);
        told.set(moment, day);
      }
      return day;
    },
    momentOf: (day) => dayNumber(day) - first,
  };
}

/** Counts the days of a table, and beyond it those of its week. */
export function tableCalendar({ low, before, nth, week }: CalendarTable): DayCounter {
  const high = low + before.length - 1;
  const zero = before[-low]!;
  const inWeek = new Int32Array(8);
  const nthInWeek: number[] = [];
  for (let d = 0; d < 7; d++) {
    inWeek[d + 1] = inWeek[d]! + week[d]!;
    if (week[d]) nthInWeek.push(d);
  }
  const perWeek = nthInWeek.length;
  const byWeek = (moment: number) => {
    const weeks = Math.floor(moment / 7);
    return weeks * perWeek + inWeek[moment - weeks * 7]!;
  };
  const dayByWeek = (n: number) => {
    const weeks = Math.floor(n / perWeek);
    return weeks * 7 + nthInWeek[n - weeks * perWeek]!;
  };
  const afterTable = nth.length - byWeek(high);
  const beforeTable = -byWeek(low);
  return {
    perWeek,
    workingBefore(moment) {
      if (moment >= high) return byWeek(moment) + afterTable - zero;
      if (moment < low) return byWeek(moment) + beforeTable - zero;
      return before[moment - low]! - zero;
    },
    workingDay(n) {
      const at = n + zero;
      if (at >= nth.length) return dayByWeek(at - afterTable);
      if (at < 0) return dayByWeek(at - beforeTable);
      return nth[at]!;
    },
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
export function endOf(calendar: DayCounter, start: number, days: number, working: boolean): number {
  if (!working || days === 0) return start + days;
  return calendar.workingDay(calendar.workingBefore(start) + days - 1) + 1;
}

/** The latest moment at which work may begin so as to end by `end`: endOf(latestStart) <= end < endOf(a day later). */
export function latestStart(calendar: DayCounter, end: number, days: number, working: boolean): number {
  if (!working || days === 0) return end - days;
  return calendar.workingDay(calendar.workingBefore(end) - days);
}

/** The earliest moment at which work may begin so as not to end before `end`. */
export function earliestStart(calendar: DayCounter, end: number, days: number, working: boolean): number {
  if (!working || days === 0) return end - days;
  const index = calendar.workingBefore(end - 1) - days;
  return calendar.workingDay(index) + 1;
}

/** The moment `lag` working days after a moment; before it where the lag is negative. */
export function lagAfter(calendar: DayCounter, moment: number, lag: number): number {
  if (lag === 0) return moment;
  if (lag > 0) return endOf(calendar, moment, lag, true);
  return calendar.workingDay(calendar.workingBefore(moment) + lag);
}

/** The latest moment whose lagAfter is not after `end`. */
export function latestBefore(calendar: DayCounter, end: number, lag: number): number {
  if (lag === 0) return end;
  if (lag > 0) return latestStart(calendar, end, lag, true);
  return calendar.workingDay(calendar.workingBefore(end + 1) - 1 - lag);
}
