import { addDays, type Day } from '../platform/day.ts';

/** A month of the calendar as 'YYYY-MM'. */
export type Month = string;

const NAMES = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];

export function monthOf(day: Day): Month {
  return day.slice(0, 7);
}

/** Whether the text is a month. */
export function isMonth(text: string): boolean {
  return /^[1-9]\d{3}-(0[1-9]|1[0-2])$/.test(text);
}

/** Months since the year 0: for counting. */
export function monthNumber(month: Month): number {
  return Number(month.slice(0, 4)) * 12 + Number(month.slice(5)) - 1;
}

/** The month so many months later (earlier when negative). */
export function addMonths(month: Month, by: number): Month {
  const number = monthNumber(month) + by;
  return `${String(Math.floor(number / 12)).padStart(4, '0')}-${String((number % 12) + 1).padStart(2, '0')}`;
}

/** All months from one to another, both of them in it. */
export function monthsFrom(from: Month, until: Month): Month[] {
  const count = Math.max(0, monthNumber(until) - monthNumber(from) + 1);
  return Array.from({ length: count }, (_, at) => addMonths(from, at));
}

export function firstDayOf(month: Month): Day {
  return `${month}-01`;
}

export function lastDayOf(month: Month): Day {
  return addDays(firstDayOf(addMonths(month, 1)), -1);
}

/** 'Mar 2026' */
export function monthWords(month: Month): string {
  return `${NAMES[Number(month.slice(5)) - 1]} ${month.slice(0, 4)}`;
}
