import { type Day, daysBetween, isDay } from '../platform/day.ts';
import type { DayRange } from './build-facts.ts';

/** Days on which the build does not work, as the lead types them. */
export interface NewClosure extends DayRange {
  name: string;
}

/** A closure longer than this is a slip of the finger. */
export const LONGEST_CLOSURE_DAYS = 366;
export const LONGEST_CLOSURE_NAME = 80;

const LINE = /^(\d{4}-\d{2}-\d{2})(?:(?:\s*[,;–-]\s*|\s+to\s+|\s+)(\d{4}-\d{2}-\d{2}))?(?:[\s,;:]+(.*))?$/;
const MOST_TOLD = 12;

function yearFits(day: Day): boolean {
  return day >= '2000-01-01' && day <= '2099-12-31';
}

/** Why these days can't be a closure, in a sentence; null when they can. @param day  of the calendar, both */
export function daysOfClosure({ fromOn, untilOn }: DayRange): string | null {
  if (untilOn < fromOn) return `The last day lies before the first, ${fromOn}.`;
  const days = daysBetween(fromOn, untilOn) + 1;
  return days > LONGEST_CLOSURE_DAYS
    ? `At most ${LONGEST_CLOSURE_DAYS} days in one closure; this has ${days}.`
    : null;
}

function readLine(line: string): NewClosure | string {
  const match = LINE.exec(line);
  if (!match) return 'begin with a day as year-month-day, like 2026-12-24.';
  const fromOn = match[1]!;
  const untilOn = match[2] ?? fromOn;
  for (const day of [fromOn, untilOn]) {
    if (!isDay(day)) return `the calendar has no ${day}.`;
    if (!yearFits(day)) return `${day} is not between 2000 and 2099.`;
  }
  const name = (match[3] ?? '').replace(/\s+/g, ' ').trim();
  if (!name) return 'say what for, after the days.';
  if (name.length > LONGEST_CLOSURE_NAME) {
    return `at most ${LONGEST_CLOSURE_NAME} characters after the days; this has ${name.length}.`;
  }
  const wrong = daysOfClosure({ fromOn, untilOn });
  return wrong ? `${wrong[0]!.toLowerCase()}${wrong.slice(1)}` : { fromOn, untilOn, name };
}

/**
 * Reads closures typed one to a line: a day or the first and the last one, then what for. Empty lines are passed over.
 *
 * @returns the closures in their order, or a sentence that names every line that does not fit
 *
 * Example: '2026-12-24 2026-12-26 Christmas\n2027-05-17 Constitution Day' -> two closures, the second of one day
 */
export function closuresOfLines(text: string): { closures: NewClosure[]; wrong: string | null } {
  const closures: NewClosure[] = [];
  const wrong: string[] = [];
  text.split('\n').forEach((line, at) => {
    if (!line.trim()) return;
    const read = readLine(line.trim());
    if (typeof read === 'string') wrong.push(`Line ${at + 1}: ${read}`);
    else closures.push(read);
  });
  const rest = wrong.length - MOST_TOLD;
  if (rest > 0) wrong.splice(MOST_TOLD, rest, `And ${rest} more ${rest === 1 ? 'line' : 'lines'}.`);
  return { closures, wrong: wrong.length ? wrong.join(' ') : null };
}
