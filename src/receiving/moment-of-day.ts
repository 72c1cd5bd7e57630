import { type Day, dayIn, dayNumber } from '../platform/day.ts';

const HALF_DAY_MS = 43_200_000;

/**
 * A moment that stands for a day somebody names: around its middle in the zone, no earlier and no later than the bounds,
 * which lie on or around that day.
 *
 * Noon of UTC is on that day west of UTC+12; further east its midnight is.
 *
 * Example: 3 March in Auckland (UTC+13) -> 2026-03-03T00:00Z, there one in the afternoon
 */
export function momentOfDay(day: Day, timeZone: string, { from, until }: { from: Date; until: Date }): Date {
  const midnight = dayNumber(day) * 2 * HALF_DAY_MS;
  const noon = new Date(midnight + HALF_DAY_MS);
  const middle = dayIn(timeZone, noon) === day ? noon : new Date(midnight);
  return new Date(Math.min(Math.max(middle.getTime(), from.getTime()), until.getTime()));
}
