/** A calendar day as 'YYYY-MM-DD'. */
export type Day = string;

const MS_PER_DAY = 86_400_000;

/** Days since 1 January 1970 of a day; NaN when the text is not a day of the calendar. */
export function dayNumber(day: Day): number {
  const match = /^(\d{4})-(\d{2})-(\d{2})$/.exec(day);
  if (!match) return Number.NaN;
  const ms = Date.UTC(Number(match[1]), Number(match[2]) - 1, Number(match[3]));
  return dayOf(ms / MS_PER_DAY) === day ? ms / MS_PER_DAY : Number.NaN;
}

/** The day of a number of days since 1 January 1970; the reverse of dayNumber. */
export function dayOf(number: number): Day {
  return new Date(number * MS_PER_DAY).toISOString().slice(0, 10);
}

/** Whether the text is a day that the calendar has: 2026-02-29 is none. */
export function isDay(text: string): boolean {
  return !Number.isNaN(dayNumber(text));
}

/** The day so many calendar days later (earlier when negative). */
export function addDays(day: Day, days: number): Day {
  return dayOf(dayNumber(day) + days);
}

/** Calendar days from one day to another; negative when `to` comes first. */
export function daysBetween(from: Day, to: Day): number {
  return dayNumber(to) - dayNumber(from);
}

/** ISO weekday of a day: Monday is 1, Sunday is 7. */
export function weekday(day: Day): number {
  return ((((dayNumber(day) + 3) % 7) + 7) % 7) + 1; // 1 January 1970 was a Thursday
}

const formats = new Map<string, Intl.DateTimeFormat>();

/** The calendar day of a moment in a time zone (IANA name). */
export function dayIn(timeZone: string, moment: Date): Day {
  let format = formats.get(timeZone);
  if (!format) {
    format = new Intl.DateTimeFormat('en-CA', {
      timeZone,
      year: 'numeric',
      month: '2-digit',
      day: '2-digit',
    });
    formats.set(timeZone, format);
  }
  return format.format(moment);
}

/** Whether the runtime knows a time zone by this name. */
export function isTimeZone(name: string): boolean {
  try {
    new Intl.DateTimeFormat('en', { timeZone: name });
    return true;
  } catch {
    return false;
  }
}

const months = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];

/** A day for people: '9 Jan', with the year when it is not the year of `near`. */
export function dayWords(day: Day, near?: Day): string {
  const [year, month, date] = day.split('-') as [string, string, string];
  const short = `${Number(date)} ${months[Number(month) - 1]}`;
  return near?.startsWith(year) ? short : `${short} ${year}`;
}
