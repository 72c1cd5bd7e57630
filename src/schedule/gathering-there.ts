import type { Day } from '../platform/day.ts';

// When somebody who comes to a gathering is there. Pure.

/** What somebody said of their days at a gathering; null for the gathering's own. */
export interface DaysThere {
  fromOn: Day | null;
  untilOn: Day | null;
  /** of work in a day */
  hours: number | null;
}

/**
 * The days somebody is there: those they said, as far as they lie in the gathering as it is now.
 *
 * @returns null where none of theirs does any more: the days of the gathering were changed since
 */
export function daysThere(
  gathering: { fromOn: Day; untilOn: Day; dayHours: number },
  comer: DaysThere,
): { fromOn: Day; untilOn: Day; hours: number } | null {
  const fromOn = comer.fromOn !== null && comer.fromOn > gathering.fromOn ? comer.fromOn : gathering.fromOn;
  const untilOn =
    comer.untilOn !== null && comer.untilOn < gathering.untilOn ? comer.untilOn : gathering.untilOn;
  const hours = Math.min(gathering.dayHours, comer.hours ?? gathering.dayHours);
  return fromOn <= untilOn ? { fromOn, untilOn, hours } : null;
}
