import { addDays, type Day, dayIn, daysBetween, weekday } from '../platform/day.ts';

/** A week of the bulletin, named by the day that closes it: seven days, fewer where the closing weekday was changed. */
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

/**
 * The weeks of a build up to and with that of `today`, newest first, so that each day lies in exactly one.
 *
 * A week that was kept stays as it is when the closing weekday is changed: the next one then begins on the day after it
 * and is shorter. Days before a kept week are closed by its weekday.
 *
 * @param first  the first day there is anything to tell of
 * @param kept   the closing days of weeks that were written or published
 */
export function weekChain(today: Day, first: Day, closingWeekday: number, kept: readonly Day[]): Week[] {
  const closed = [...new Set(kept)].sort().reverse();
  const closings: Day[] = [];
  // The weeks since the last kept one, then back from each kept one to the one before it.
  let next: Day | undefined = closed.shift();
  let until = next !== undefined && next >= today ? next : weekOf(today, closingWeekday).until;
  while (until >= first || next !== undefined) {
    if (next !== undefined && until <= next) {
      until = next;
      next = closed.shift();
    }
    closings.push(until);
    until = addDays(until, -7);
    if (until < first && next !== undefined) until = next;
  }
  return closings.map((closing, at) => {
    const before = closings[at + 1];
    const { from } = weekTo(closing);
    const afterLast = before === undefined ? from : addDays(before, 1);
    return { from: daysBetween(from, afterLast) > 0 ? afterLast : from, until: closing };
  });
}

/**
 * The moments a span of days begins and ends in a time zone: `from` is in it, `until` is not. ISO text as the log keeps it.
 *
 * Found by halving, so that days of 23 and 25 hours, and days a zone skips, need no rule of their own.
 */
export function momentsOf({ from, until }: Week, timeZone: string): { from: string; until: string } {
  return { from: beginOf(from, timeZone), until: beginOf(addDays(until, 1), timeZone) };
}

const DAY_MS = 86_400_000;

function beginOf(day: Day, timeZone: string): string {
  const noon = Date.parse(`${day}T12:00:00Z`);
  // No zone is more than 14 hours off that of Greenwich.
  let before = noon - 1.5 * DAY_MS;
  let after = noon + 1.5 * DAY_MS;
  while (after - before > 1) {
    const middle = Math.floor((before + after) / 2);
    if (dayIn(timeZone, new Date(middle)) >= day) after = middle;
    else before = middle;
  }
  return new Date(after).toISOString().replace('Z', '+00:00');
}

/** How many days a week has: '2 Mar to 8 Mar' is seven. */
export function daysOf({ from, until }: Week): number {
  return daysBetween(from, until) + 1;
}
