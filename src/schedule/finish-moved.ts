import type { Day } from '../platform/day.ts';

/** Words with people in them. People stand by their id: how they are named is looked up when it is read. */
export type MovedWords = (string | { person: number })[];

/** One thing that moved the finish. */
export interface MovedBy {
  /** stays the same while the fact does: a line is left out by it */
  key: string;
  /** calendar days it put the finish back by; below 0: brought it nearer. Never 0. */
  days: number;
  /** one plain sentence, with the days and the full stop */
  words: MovedWords;
}

/** Why the finish is where it is, and not where it was a week ago. */
export interface WhyMoved {
  /** the finish as it is computed; null when nothing is left to do */
  finishOn: Day | null;
  /** the finish as it was stored before the week; null where none was */
  before: { day: Day; finishOn: Day } | null;
  /** calendar days from the one to the other: + later, - sooner; null where one of them is missing */
  movedDays: number | null;
  /** what was done in the week: each by computing the finish without it. Those of a day and more, the largest first */
  facts: MovedBy[];
  /** what should have gone on in the week and did not, likewise */
  waits: MovedBy[];
  /** how far these go together, what is left over, and what could not be tried: sentences, honest ones */
  remarks: string[];
}

/** What is known of a week: the answer, or that it is being found out. A week that only the records know is null. */
export type WhyMovedTold = { state: 'ready'; why: WhyMoved | null } | { state: 'computing' };
