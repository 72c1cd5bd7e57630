import { type Day, daysBetween, dayWords } from '../platform/day.ts';

/** The job that waits for a decision, as the schedule dates it. */
export interface WaitingJob {
  id: number;
  title: string;
  /** finished, accepted or dropped */
  over: boolean;
  /** work on it has begun */
  begun: boolean;
  /** the day its next step can begin; null while the schedule can't tell */
  startOn: Day | null;
  /** working days it can slip without moving the finish */
  floatDays: number | null;
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
  /** where the day comes from: a sentence without its stop */
  because: string;
  /** what does not go together */
  warning: string | null;
}

const days = (count: number, kind = '') => `${count} ${kind}${count === 1 ? 'day' : 'days'}`;

/**
 * The day by which a decision must be taken: the day the job that waits for it can begin, by the schedule. Where no job
 * waits, the last day of the gathering it is kept for.
 */
export function decisionDate(
  { job, gathering }: { job: WaitingJob | null; gathering: KeptFor | null },
  today: Day,
): DecisionDate {
  const dated = (byOn: Day | null, because: string): DecisionDate => ({
    byOn,
    daysLeft: byOn === null ? null : daysBetween(today, byOn),
    because,
    warning: gathering && gatheringWarning(gathering, byOn, today),
  });
  if (job && !job.over) {
    const name = `Job ${job.id}, ${job.title},`;
    if (job.begun) return dated(today, `${name} has begun without it`);
    if (job.startOn === null) return dated(null, `The schedule can’t date job ${job.id}, ${job.title}, yet`);
    const float =
      job.floatDays === null
        ? ''
        : job.floatDays > 0
          ? `; it can wait ${days(job.floatDays, 'working ')} more before the finish moves`
          : '; it drives the finish';
    return dated(job.startOn, `${name} can begin then${float}`);
  }
  if (gathering && !gathering.off) return dated(gathering.untilOn, `Kept for ${gathering.title}`);
  return dated(null, job ? `Job ${job.id} is over: nothing waits for it any more` : 'No job waits for it');
}

function gatheringWarning(gathering: KeptFor, byOn: Day | null, today: Day): string | null {
  if (gathering.off) return `${gathering.title} is called off: take it before, or elsewhere.`;
  if (gathering.untilOn < today) return `${gathering.title} is over, and it was not taken there.`;
  if (byOn === null || gathering.fromOn <= byOn) return null;
  const late = daysBetween(byOn, gathering.fromOn);
  return `${gathering.title} begins on ${dayWords(gathering.fromOn, today)}, ${days(late)} after that: what waits would stand still.`;
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
