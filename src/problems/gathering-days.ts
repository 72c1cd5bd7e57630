import { addDays, type Day, daysBetween } from '../platform/day.ts';
import type { DaysThere } from '../schedule/index.ts';

// The hours of a gathering, and who is there when. Pure.

export const LEAST_DAY_HOURS = 0.5;
export const MOST_DAY_HOURS = 16;

/** A time of the day as typed, '09:00' or '9.30', as minutes after midnight; null where it is none. */
export function minutesOfTime(text: string): number | null {
  const found = /^(\d{1,2})[:.](\d{2})$/.exec(text.trim()) ?? /^(\d{1,2})$/.exec(text.trim());
  if (!found) return null;
  const [hours, minutes] = [Number(found[1]), Number(found[2] ?? 0)];
  return hours > 23 || minutes > 59 ? null : hours * 60 + minutes;
}

/** A time of the day: 570 is '09:30'. What is past midnight counts on. */
export function timeWords(minutes: number): string {
  const whole = Math.round(minutes);
  return `${String(Math.floor(whole / 60)).padStart(2, '0')}:${String(whole % 60).padStart(2, '0')}`;
}

/** What is wrong with the hours of a day, at its field; null when they fit. */
export function hoursFit(beginsAt: string, dayHours: number): { field: 'dayHours'; sentence: string } | null {
  const begins = minutesOfTime(beginsAt) ?? 0;
  const most = Math.floor((1440 - begins) / 30) / 2;
  return dayHours <= most
    ? null
    : {
        field: 'dayHours',
        sentence: `From ${timeWords(begins)} there are ${most} h to midnight; these are ${dayHours}.`,
      };
}

interface Span {
  fromOn: Day;
  untilOn: Day;
  dayHours: number;
}

/** What is wrong with somebody's days at a gathering, and at which field; null when they fit. */
export function comerFits(
  gathering: Span,
  { fromOn, untilOn, hours }: DaysThere,
): { field: 'fromOn' | 'untilOn' | 'hours'; sentence: string } | null {
  const within = `The gathering is from ${gathering.fromOn} to ${gathering.untilOn}.`;
  const isOutside = (day: Day | null) => day !== null && (day < gathering.fromOn || day > gathering.untilOn);
  if (isOutside(fromOn)) return { field: 'fromOn', sentence: within };
  if (isOutside(untilOn)) return { field: 'untilOn', sentence: within };
  if (fromOn !== null && untilOn !== null && untilOn < fromOn) {
    return { field: 'untilOn', sentence: `The last day comes before the first, ${fromOn}.` };
  }
  return hours !== null && hours > gathering.dayHours
    ? { field: 'hours', sentence: `A day there has ${gathering.dayHours} h; these are ${hours}.` }
    : null;
}

/** The days of a gathering that are not past. */
export function daysAhead({ fromOn, untilOn }: Pick<Span, 'fromOn' | 'untilOn'>, today: Day): Day[] {
  const first = fromOn < today ? today : fromOn;
  return Array.from({ length: Math.max(0, daysBetween(first, untilOn) + 1) }, (_, n) => addDays(first, n));
}
