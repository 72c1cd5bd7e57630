import type { ClaimFacts, JobFacts } from '../jobs/index.ts';
import type { PartRow } from '../parts/index.ts';
import { type Day, dayIn, dayWords } from '../platform/day.ts';
import type { BuildFacts } from './build-facts.ts';
import type { WorkingCalendar } from './calendar.ts';
import { DEFAULTS } from './defaults.ts';
import type { Duration } from './steps.ts';

/** What every duration is told from. */
export interface Telling {
  facts: BuildFacts;
  calendar: WorkingCalendar;
}

export function count(n: number, word: string): string {
  return `${n} ${word}${n === 1 ? '' : 's'}`;
}

function workingDays(n: number): string {
  return count(n, 'working day');
}

/** The moment of the day on which something was written down (ISO text). */
export function momentIn({ facts, calendar }: Telling, instant: string): number {
  return calendar.momentOf(dayIn(facts.timeZone, new Date(instant)));
}

function words(telling: Telling, moment: number): string {
  return dayWords(telling.calendar.dayAt(moment), telling.facts.today);
}

/** A stated default: `days` of it, with the sentence that says what for. */
export function byDefault(days: number, working: boolean, what: string): Duration {
  const unit = working ? 'working day' : 'day';
  return { days, working, because: `${what} ${count(days, unit)}`, late: false };
}

/** The defaults that hang on nothing, made once. */
export const INSPECTION = byDefault(DEFAULTS.inspectDays, true, 'inspection usually takes');
const ORDERING = byDefault(DEFAULTS.orderDays, true, 'ordering usually takes');
const ORDERING_WITHOUT_JOB = byDefault(DEFAULTS.orderDays, true, 'no job yet; ordering usually takes');
const FINDING = byDefault(DEFAULTS.findDays, false, 'not offered yet; finding a maker usually takes');
const MAKING = byDefault(DEFAULTS.makeDays, false, 'no maker and no days given:');
const POST_FROM_ANYWHERE = byDefault(DEFAULTS.postDays, false, 'post from a maker not yet found:');
const FITTING = byDefault(DEFAULTS.fitUpDays, true, 'no job and no days given:');

/** What is left of calendar days that began running at a moment; late when they are over. */
function leftOf(telling: Telling, days: number, since: number, what: string): Duration {
  const left = days + since;
  const begun = words(telling, since);
  if (left >= DEFAULTS.leastDays) {
    const because =
      since === 0 ? `${what}, from today` : `${what}, since ${begun}: ${count(left, 'day')} left`;
    return { days: left, working: false, because, late: false };
  }
  return {
    days: DEFAULTS.leastDays,
    working: false,
    because: `${what}, since ${begun}: over since ${words(telling, days + since)}, ${count(DEFAULTS.leastDays, 'day')} taken from today`,
    late: left < 0,
  };
}

/** What is left of work that takes so many working days, begun or not. */
function workLeft(telling: Telling, days: number, startedAt: string | null, what: string): Duration {
  if (!startedAt) return { days, working: true, because: what, late: false };
  const since = Math.min(0, momentIn(telling, startedAt));
  const left = days + telling.calendar.workingBefore(since);
  const begun = `begun on ${words(telling, since)}`;
  return left >= DEFAULTS.leastDays
    ? { days: left, working: true, because: `${what}, ${begun}: ${workingDays(left)} left`, late: false }
    : {
        days: DEFAULTS.leastDays,
        working: true,
        because: `${what}, ${begun}: that is over, ${workingDays(DEFAULTS.leastDays)} taken`,
        late: left < 0,
      };
}

/** Whole working days that so many hours fill, at so many hours a week. */
export function daysOfHours(hours: number, weeklyHours: number, perWeek: number): number {
  if (weeklyHours <= 0) return Math.max(1, Math.ceil(hours));
  // A hair less, so that 10 h at 10 h a week are five days and not six by rounding.
  return Math.max(1, Math.ceil((hours * perWeek) / weeklyHours - 1e-9));
}

function ofHours({ facts, calendar }: Telling, hours: number, personId: number | null): [number, string] {
  const person = personId === null ? undefined : facts.people.get(personId);
  const weekly = person && person.role !== 'lead' ? person.weeklyHours : facts.leadWeeklyHours;
  const days = daysOfHours(hours, weekly, calendar.perWeek);
  return [days, `${hours} h at ${weekly} h a week, ${workingDays(days)}`];
}

/** Drawing a part, with or without a job for it. */
export function designDuration(telling: Telling, part: PartRow | null, job: JobFacts | null): Duration {
  if (job && job.days !== null) {
    return workLeft(telling, job.days, job.startedAt, `the job says ${workingDays(job.days)}`);
  }
  const given = job?.hours ?? part?.designHours ?? null;
  const [days, what] = ofHours(telling, given ?? DEFAULTS.designHours, job?.personId ?? null);
  return workLeft(
    telling,
    days,
    job?.startedAt ?? null,
    given === null ? `no hours estimated: ${what}` : `drawing: ${what}`,
  );
}

/** Work at the machine or the bench: fit-up, trial, other. */
export function workDuration(telling: Telling, job: JobFacts, part: PartRow | null): Duration {
  const { days, hours, startedAt } = job;
  if (days !== null) return workLeft(telling, days, startedAt, `the job says ${workingDays(days)}`);
  if (hours !== null) {
    const [filled, what] = ofHours(telling, hours, job.personId);
    return workLeft(telling, filled, startedAt, what);
  }
  if (job.kind === 'fit-up' && part && part.makeDays !== null) {
    return workLeft(telling, part.makeDays, startedAt, `the part says ${workingDays(part.makeDays)} to fit`);
  }
  const usual =
    job.kind === 'fit-up'
      ? DEFAULTS.fitUpDays
      : job.kind === 'trial'
        ? DEFAULTS.trialDays
        : DEFAULTS.otherDays;
  return workLeft(telling, usual, startedAt, `no days given: ${workingDays(usual)} taken`);
}

/** Fitting an assembly for which there is no job yet. */
export function fitUpDuration(part: PartRow | null): Duration {
  const days = part?.makeDays ?? null;
  return days === null ? FITTING : byDefault(days, true, 'no job yet; the part says');
}

/** Placing an order. */
export function orderDuration(job: JobFacts | null): Duration {
  return job ? ORDERING : ORDERING_WITHOUT_JOB;
}

/** Finding a maker for what nobody has claimed. */
export function findDuration(telling: Telling, job: JobFacts | null): Duration {
  if (!job?.offeredAt) return FINDING;
  const since = Math.min(0, momentIn(telling, job.offeredAt));
  const left = DEFAULTS.findDays + since;
  const offered = `offered on ${words(telling, since)}`;
  return left >= DEFAULTS.leastDays
    ? {
        days: left,
        working: false,
        because: `${offered}; of ${DEFAULTS.findDays} days for finding a maker ${left} are left`,
        late: false,
      }
    : {
        days: DEFAULTS.leastDays,
        working: false,
        because: `${offered} and still open; ${count(DEFAULTS.leastDays, 'day')} taken`,
        late: left < 0,
      };
}

/** Making what nobody has claimed. */
export function makeDuration(job: JobFacts | null, part: PartRow | null): Duration {
  if (job && job.days !== null) return byDefault(job.days, true, 'the job says');
  if (part && part.makeDays !== null) return byDefault(part.makeDays, true, 'the part says');
  return MAKING;
}

/** What is left of a maker's promise, which runs in calendar days from the claim to the posting. */
export function promiseDuration(telling: Telling, claim: ClaimFacts): Duration {
  const who = telling.facts.people.get(claim.personId)?.name ?? 'the maker';
  if (claim.doneMilli >= claim.milli - claim.backMilli) {
    return byDefault(DEFAULTS.packDays, false, `finished by ${who}, not posted yet:`);
  }
  const since = Math.min(0, momentIn(telling, claim.claimedAt));
  const promised = since + claim.likelyDays;
  const promise = `${who} promised ${words(telling, promised)}`;
  if (promised >= DEFAULTS.leastDays) {
    const because = `${promise}: ${count(claim.likelyDays, 'day')} from ${words(telling, since)}`;
    return { days: promised, working: false, because, late: false };
  }
  return {
    days: DEFAULTS.leastDays,
    working: false,
    because:
      promised < 0
        ? `${promise}, ${count(-promised, 'day')} ago: counted as tomorrow`
        : `${promise}: today, counted as tomorrow`,
    late: promised < 0,
  };
}

/** Days in the post from a country, '' where it is not known, to the build's. */
function postDays(telling: Telling, country: string): [number, string] {
  const home = telling.facts.country;
  if (country === '') return [DEFAULTS.postDays, `post from a place not known: ${DEFAULTS.postDays} days`];
  if (country === home)
    return [DEFAULTS.domesticPostDays, `post within ${home}: ${DEFAULTS.domesticPostDays} days`];
  return [DEFAULTS.postDays, `post from ${country} to ${home}: ${DEFAULTS.postDays} days`];
}

/** The post from a maker, or from one not yet found. */
export function postDuration(telling: Telling, personId: number | null): Duration {
  if (personId === null) return POST_FROM_ANYWHERE;
  const [days, because] = postDays(telling, telling.facts.people.get(personId)?.country ?? '');
  return { days, working: false, because, late: false };
}

/** What is left of the way of parcels already sent. */
export function travelDuration(telling: Telling, claim: ClaimFacts): Duration {
  const [days, what] = postDays(telling, telling.facts.people.get(claim.personId)?.country ?? '');
  if (!claim.lastSentAt) return { days, working: false, because: what, late: false };
  return leftOf(telling, days, Math.min(0, momentIn(telling, claim.lastSentAt)), what);
}

/** The delivery of what is ordered, or is still to be. */
export function deliveryDuration(telling: Telling, job: JobFacts | null, part: PartRow | null): Duration {
  const given = part?.leadDays ?? null;
  const usual = given ?? DEFAULTS.deliveryDays;
  const what =
    given === null ? `no lead time given: ${count(usual, 'day')}` : `lead time ${count(usual, 'day')}`;
  if (!job?.orderedAt) return { days: usual, working: false, because: what, late: false };
  const since = Math.min(0, momentIn(telling, job.orderedAt));
  if (job.promisedOn === null) return leftOf(telling, usual, since, what);
  const due = telling.calendar.momentOf(job.promisedOn as Day);
  const named = `delivery named for ${words(telling, due)}`;
  return due >= DEFAULTS.leastDays
    ? { days: due, working: false, because: named, late: false }
    : {
        days: DEFAULTS.leastDays,
        working: false,
        because:
          due < 0
            ? `${named}, ${count(-due, 'day')} ago: counted as tomorrow`
            : `${named}: today, counted as tomorrow`,
        late: due < 0,
      };
}
