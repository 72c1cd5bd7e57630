import type { ClaimFacts, JobFacts } from '../jobs/index.ts';
import type { PartRow } from '../parts/index.ts';
import type { DayRange } from './build-facts.ts';
import { DEFAULTS } from './defaults.ts';
import {
  alike,
  amountOf,
  byDefault,
  lastingBy,
  leftOf,
  momentIn,
  said,
  type Telling,
  times,
  wordsOf,
} from './durations.ts';
import { count, isLength, workingDays } from './durations-estimate.ts';
import type { Learnt, LearntPromise } from './history.ts';
import { LawSpread } from './history-spread.ts';
import type { Duration } from './steps.ts';

/** Finding a maker for what nobody has claimed. */
export function findDuration(telling: Telling, job: JobFacts | null): Duration {
  const learnt = telling.history.finding();
  const { findDays } = DEFAULTS;
  const of = (without: number) => {
    const amount = amountOf(learnt.known, { noun: 'offer', own: '', others: '', open: 'still out' }, without);
    return `of ${amount} half were claimed within ${count(Math.round(learnt.law.at(0.5)), 'day')}`;
  };
  if (!job?.offeredAt) {
    return alike(telling, 'find', () => {
      const { days, spread } = lastingBy(learnt, findDays, 1, 0);
      const because = learnt.isKnown
        ? `not offered yet; ${of(0)}`
        : `not offered yet; finding a maker usually takes ${count(findDays, 'day')}`;
      return { days, working: false, because, late: false, spread };
    });
  }
  const since = Math.min(0, momentIn(telling, job.offeredAt));
  const { days, over, spread } = lastingBy(learnt, findDays, 1, -since);
  const offered = `offered on ${wordsOf(telling, since)}`;
  if (learnt.isKnown) {
    const late = -since > learnt.law.at(0.5);
    const because = `${offered}${late ? ' and still open' : ''}; ${of(job.claims.length === 0 ? 1 : 0)}: ${count(days, 'day')} left`;
    return { days, working: false, because, late, spread };
  }
  const because =
    over <= -DEFAULTS.leastDays
      ? `${offered}; of ${findDays} days for finding a maker ${days} are left`
      : `${offered} and still open; ${count(days, 'day')} taken`;
  return { days, working: false, because, late: over > 0, spread };
}

/** Making what nobody has claimed. */
export function makeDuration(telling: Telling, job: JobFacts | null, part: PartRow | null): Duration {
  if (isLength(job?.days)) return makingByFigure(telling, job.days, 'the job says');
  if (isLength(part?.makeDays)) return makingByFigure(telling, part.makeDays, 'the part says');
  const processId = processOf(telling, job, part);
  return alike(telling, `make ${processId}`, () => {
    const learnt = telling.history.making(processId);
    const { days, spread } = lastingBy(learnt, DEFAULTS.makeDays, 1, 0);
    if (!learnt.isKnown) {
      const because = `no maker and no days given: ${count(days, 'day')}`;
      return { days, working: false, because, late: false, spread };
    }
    const process = telling.facts.processes.get(processId);
    const amount = amountOf(learnt.known, {
      noun: 'claim',
      own: process ? `of work by ${process}` : 'of work without a process',
      others: 'by other ways',
      open: 'still open',
    });
    const because = `no maker and no days given; of ${amount} half were posted within ${count(days, 'day')}`;
    return { days, working: false, because, late: false, spread };
  });
}

/** Making that somebody has given working days for. */
function makingByFigure(telling: Telling, figure: number, says: string): Duration {
  return alike(telling, `${says} ${figure}`, () => {
    const learnt = telling.history.given();
    const { days, spread } = lastingBy(learnt, figure, figure, 0);
    const said = `${says} ${workingDays(figure)}`;
    if (!learnt.isKnown) return { days, working: true, because: said, late: false, spread };
    const amount = amountOf(learnt.known, {
      noun: 'claim',
      own: 'of work with days given',
      others: 'by the days promised',
      open: 'still open',
    });
    const because = `${said}; of ${amount} half took ${times(learnt.law.at(0.5))} that: ${workingDays(days)}`;
    return { days, working: true, because, late: false, spread };
  });
}

/** The process of the revision a job is for, or of the part's newest; 0 where none is named. */
function processOf({ facts }: Telling, job: JobFacts | null, part: PartRow | null): number {
  const partId = job?.partId ?? part?.id;
  const revisions = (partId === undefined ? undefined : facts.revisions.get(partId)) ?? [];
  const own = job?.revisionId ? revisions.find(({ id }) => id === job.revisionId) : undefined;
  return (own ?? revisions.findLast(({ processId }) => processId !== null))?.processId ?? 0;
}

/** What is left of a maker's promise, which runs in calendar days from the claim to the posting. */
export function promiseDuration(telling: Telling, claim: ClaimFacts): Duration {
  const { facts, history } = telling;
  const who = facts.people.get(claim.personId)?.name ?? 'the maker';
  if (claim.doneMilli >= claim.milli - claim.backMilli) {
    return byDefault(DEFAULTS.packDays, false, `finished by ${who}, not posted yet:`);
  }
  const learnt = history.promise(claim);
  const { isKnown, promised } = learnt;
  const since = Math.min(0, momentIn(telling, claim.claimedAt));
  const likely = promised[1];
  const due = since + likely;
  const { days, half, over } = lastingBy(learnt, likely, 1, -since);
  const back = backFrom(telling, claim.personId);
  const counted = back ? back(days) : days;
  let because = `${who} promised ${wordsOf(telling, due)}`;
  if (over > 0) because += `, ${count(over, 'day')} ago`;
  if (isKnown) because += `; ${told(learnt, likely, half, over)}: counted as ${wordsOf(telling, days)}`;
  else if (over > -DEFAULTS.leastDays) {
    if (days > 1) because += `, ${wordsOf(telling, since + promised[2])} at the latest`;
    const day = days === 1 ? 'tomorrow' : `${wordsOf(telling, days)} by the time it has taken`;
    because += `${over === 0 ? ': today,' : ':'} counted as ${day}`;
  } else because += `: ${count(likely, 'day')} from ${wordsOf(telling, since)}; no history yet`;
  because += odd(telling, claim, learnt);
  if (counted !== days) because += `; ${who} is away then: counted as ${wordsOf(telling, counted)}`;
  return {
    days: counted,
    working: false,
    because,
    late: over > 0,
    spread: new LawSpread(() => history.promise(claim).law, 1, -since, claim.personId, back),
  };
}

/** What history says of a promise. */
function told({ known }: LearntPromise, likely: number, half: number, over: number): string {
  const amount = amountOf(
    known,
    { noun: 'promise', own: 'of theirs', others: 'of others', open: 'still open' },
    known.own.open > 0 ? 1 : 0,
  );
  const given = over > 0 ? ' of those that took as long' : '';
  return `by ${amount} half${given} come by ${times(half / Math.max(1, likely))} the days promised`;
}

/** What is unusual in how the promise was given. */
function odd(telling: Telling, claim: ClaimFacts, { promised, wasOrdered }: LearntPromise): string {
  let words = '';
  const first = telling.facts.firstPromises.get(claim.id);
  if (first) {
    const since = momentIn(telling, claim.claimedAt);
    words += `; promised for ${wordsOf(telling, since + first.likelyDays)} at first`;
  }
  if (wasOrdered) words += `; its days were out of order, taken as ${promised.join(', ')}`;
  return words;
}

/** Where days come to for a maker with days away ahead: what would be posted on one is posted on the day after. */
function backFrom({ facts, calendar }: Telling, personId: number): ((days: number) => number) | null {
  const ranges = (facts.away.get(personId) ?? [])
    .map(({ fromOn, untilOn }: DayRange) => [calendar.momentOf(fromOn), calendar.momentOf(untilOn)] as const)
    .filter(([from, until]) => until >= 1 && from <= until)
    .sort((one, other) => one[0] - other[0]);
  if (ranges.length === 0) return null;
  return (days) => {
    let moment = days;
    for (const [from, until] of ranges) {
      // A day and its parts: what lies within the last day away is away as well.
      if (moment >= from && moment < until + 1) moment = until + 1;
    }
    return moment;
  };
}

function parcelsOf(learnt: Learnt, country: string | null, home: string, without: number): string {
  const own = country === null ? '' : `from ${country || 'a place not known'}`;
  const others = country === home ? 'from elsewhere in the country' : 'from other countries';
  return amountOf(learnt.known, { noun: 'parcel', own, others, open: 'on the way' }, without);
}

/** The way of a parcel in words: figure, or history. */
function wayOf(telling: Telling, learnt: Learnt, country: string, isTravelling: boolean): string {
  const home = telling.facts.country;
  const way =
    country === ''
      ? 'post from a place not known'
      : country === home
        ? `post within ${home}`
        : `post from ${country} to ${home}`;
  if (!learnt.isKnown) return `${way}: ${usualPost(country, home)} days`;
  return said(telling, `way ${country} ${isTravelling}`, () => {
    const half = count(Math.round(learnt.law.at(0.5)), 'day');
    return `${way}; of ${parcelsOf(learnt, country, home, isTravelling ? 1 : 0)} half took ${half} or less`;
  });
}

function usualPost(country: string, home: string): number {
  return country === home ? DEFAULTS.domesticPostDays : DEFAULTS.postDays;
}

/** The post from a maker, or from one not yet found. */
export function postDuration(telling: Telling, personId: number | null): Duration {
  const { facts, history } = telling;
  const country = personId === null ? null : (facts.people.get(personId)?.country ?? '');
  return alike(telling, `post ${country}`, () => {
    const learnt = history.post(country);
    const figure = country === null ? DEFAULTS.postDays : usualPost(country, facts.country);
    const { days, spread } = lastingBy(learnt, figure, 1, 0);
    let because: string;
    if (country !== null) because = wayOf(telling, learnt, country, false);
    else if (!learnt.isKnown) because = `post from a maker not yet found: ${count(figure, 'day')}`;
    else {
      because = `post from a maker not yet found; of all ${parcelsOf(learnt, null, facts.country, 0)} half took ${count(days, 'day')} or less`;
    }
    return { days, working: false, because, late: false, spread };
  });
}

/** What is left of the way of parcels already sent. */
export function travelDuration(telling: Telling, claim: ClaimFacts): Duration {
  const { facts, history } = telling;
  const country = facts.people.get(claim.personId)?.country ?? '';
  const learnt = history.post(country);
  const figure = usualPost(country, facts.country);
  const what = wayOf(telling, learnt, country, true);
  if (claim.lastSentAt) {
    return leftOf(telling, what, learnt, figure, 1, Math.min(0, momentIn(telling, claim.lastSentAt)));
  }
  const { days, spread } = lastingBy(learnt, figure, 1, 0);
  return { days, working: false, because: what, late: false, spread };
}
