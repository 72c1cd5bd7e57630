import type { JobFacts } from '../jobs/index.ts';
import type { PartRow } from '../parts/index.ts';
import type { BuildFacts } from './build-facts.ts';
import { DEFAULTS } from './defaults.ts';

/** How long work should take by what was said of it beforehand, in working days. */
export interface Estimate {
  days: number;
  /** false: nobody said; it is the stated default */
  given: boolean;
  words: string;
}

/** A number with its word, in the plural where it is not one. */
export function count(n: number, word: string): string {
  return `${n} ${word}${n === 1 ? '' : 's'}`;
}

export function workingDays(n: number): string {
  return count(n, 'working day');
}

/** Whether a number can be the length of something: none, and one of 0 or less, can't. */
export function isLength(days: number | null | undefined): days is number {
  return typeof days === 'number' && Number.isFinite(days) && days > 0;
}

/** Whole working days that so many hours fill, at so many hours a week. */
export function daysOfHours(hours: number, weeklyHours: number, perWeek: number): number {
  if (!(weeklyHours > 0)) return Math.max(1, Math.ceil(hours));
  // A hair less, so that 10 h at 10 h a week are five days and not six by rounding.
  return Math.max(1, Math.ceil((hours * perWeek) / weeklyHours - 1e-9));
}

function ofHours(
  facts: BuildFacts,
  perWeek: number,
  hours: number,
  personId: number | null,
): [number, string] {
  const person = personId === null ? undefined : facts.people.get(personId);
  const weekly = person && person.role !== 'lead' ? person.weeklyHours : facts.leadWeeklyHours;
  const days = daysOfHours(hours, weekly, perWeek);
  const pace = weekly > 0 ? `at ${weekly} h a week` : 'at an hour a day, as no hours a week are given';
  return [days, `${hours} h ${pace}, ${workingDays(days)}`];
}

/** What is told of a length that can't be one, before what is taken for it. */
function oddly(job: JobFacts | null): string {
  const days = job?.days ?? null;
  if (days === null || isLength(days)) return '';
  const said = Number.isFinite(days) ? `${days} days` : 'no number of days';
  return `the job says ${said}, which is no length: `;
}

/** Drawing a part, with or without a job for it. */
export function designEstimate(
  facts: BuildFacts,
  perWeek: number,
  part: PartRow | null,
  job: JobFacts | null,
): Estimate {
  if (job && isLength(job.days)) {
    return { days: job.days, given: true, words: `the job says ${workingDays(job.days)}` };
  }
  const hours = [job?.hours, part?.designHours].find(isLength);
  const [days, what] = ofHours(facts, perWeek, hours ?? DEFAULTS.designHours, job?.personId ?? null);
  const given = hours !== undefined;
  return { days, given, words: `${oddly(job)}${given ? 'drawing' : 'no hours estimated'}: ${what}` };
}

/** Work at the machine or the bench: fit-up, trial, other. */
export function workEstimate(
  facts: BuildFacts,
  perWeek: number,
  part: PartRow | null,
  job: JobFacts,
): Estimate {
  if (isLength(job.days)) {
    return { days: job.days, given: true, words: `the job says ${workingDays(job.days)}` };
  }
  const odd = oddly(job);
  if (isLength(job.hours)) {
    const [days, what] = ofHours(facts, perWeek, job.hours, job.personId);
    return { days, given: true, words: `${odd}${what}` };
  }
  if (job.kind === 'fit-up' && isLength(part?.makeDays)) {
    const days = part.makeDays;
    return { days, given: true, words: `${odd}the part says ${workingDays(days)} to fit` };
  }
  const days =
    job.kind === 'fit-up'
      ? DEFAULTS.fitUpDays
      : job.kind === 'trial'
        ? DEFAULTS.trialDays
        : DEFAULTS.otherDays;
  return { days, given: false, words: `${odd || 'no days given: '}${workingDays(days)} taken` };
}

/** What should be drawn, fitted, tried or done, by its kind. */
export function estimateOf(
  facts: BuildFacts,
  perWeek: number,
  part: PartRow | null,
  job: JobFacts,
): Estimate {
  return job.kind === 'design'
    ? designEstimate(facts, perWeek, part, job)
    : workEstimate(facts, perWeek, part, job);
}
