import { type Day, daysBetween, dayWords } from '../platform/day.ts';

/** What waits for a decision, as the schedule dates it: a job, or the work on a part. */
export interface Waiting {
  /** 'Job 7, Moon arm', 'The work on OR-0208, Lay shaft' */
  name: string;
  /** finished, accepted or dropped; of a part: nothing is left to do */
  over: boolean;
  /** work on it has begun */
  begun: boolean;
  /** the day its next step can begin; null while the schedule can't tell */
  startOn: Day | null;
  /** the day by which its next step must begin, if the finish is not to move */
  lateStartOn: Day | null;
}

/** The gathering a decision is kept for. */
export interface KeptFor {
  title: string;
  fromOn: Day;
  untilOn: Day;
  off: boolean;
}

export interface DecisionDate {
  /** the day it must be taken by; null when no date follows from what waits */
  byOn: Day | null;
  /** calendar days from today; below zero is past */
  daysLeft: number | null;
  /** the day from which an answer is of use: what waits can begin then; null where no date follows */
  usefulOn: Day | null;
  /** where the day comes from: a sentence without its stop */
  because: string;
  /** what does not go together */
  warning: string | null;
}

const days = (count: number) => `${count} ${count === 1 ? 'day' : 'days'}`;

/**
 * The day by which a decision must be taken: the latest day on which what waits for it may begin without moving the
 * finish (the late start of the network). Where nothing waits, the last day of the gathering it is kept for.
 */
export function decisionDate(
  { waiting, gathering }: { waiting: Waiting | null; gathering: KeptFor | null },
  today: Day,
): DecisionDate {
  const dated = (byOn: Day | null, usefulOn: Day | null, because: string): DecisionDate => ({
    byOn,
    daysLeft: byOn === null ? null : daysBetween(today, byOn),
    usefulOn,
    because,
    warning: gathering && gatheringWarning(gathering, byOn, today),
  });
  if (waiting && !waiting.over) {
    const { name, begun, startOn, lateStartOn } = waiting;
    if (begun) return dated(today, today, `${name}, has begun without it`);
    if (startOn === null || lateStartOn === null) {
      return dated(null, null, `${name}, waits for it; the schedule can’t date that yet`);
    }
    const because =
      lateStartOn > startOn
        ? `${name}, can begin on ${dayWords(startOn, today)} and must begin by ${dayWords(lateStartOn, today)}, or the finish moves`
        : `${name}, can begin then and drives the finish`;
    return dated(lateStartOn, startOn, because);
  }
  if (gathering && !gathering.off) return dated(gathering.untilOn, null, `Kept for ${gathering.title}`);
  return dated(
    null,
    null,
    waiting
      ? `${waiting.name}, is over: nothing waits for it any more`
      : 'Nothing is named that waits for it',
  );
}

function gatheringWarning(gathering: KeptFor, byOn: Day | null, today: Day): string | null {
  if (gathering.off) return `${gathering.title} is called off: take it before, or elsewhere.`;
  if (gathering.untilOn < today) return `${gathering.title} is over, and it was not taken there.`;
  if (byOn === null || gathering.fromOn <= byOn) return null;
  const late = daysBetween(byOn, gathering.fromOn);
  return `${gathering.title} begins on ${dayWords(gathering.fromOn, today)}, ${days(late)} after that: the finish would move.`;
}

/** How long there is, in words: 'today', '3 days', '2 days past'. */
export function daysLeftWords(daysLeft: number | null): string {
  if (daysLeft === null) return 'no date';
  if (daysLeft === 0) return 'today';
  return daysLeft > 0 ? days(daysLeft) : `${days(-daysLeft)} past`;
}

/** The order in which decisions press: those with a date first, the nearest on top. */
export function byDate(a: { byOn: Day | null; id: number }, b: { byOn: Day | null; id: number }): number {
  if (a.byOn === b.byOn) return a.id - b.id;
  if (a.byOn === null || b.byOn === null) return a.byOn === null ? 1 : -1;
  return a.byOn < b.byOn ? -1 : 1;
}
