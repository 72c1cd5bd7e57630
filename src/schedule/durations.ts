import type { JobFacts } from '../jobs/index.ts';
import type { PartRow } from '../parts/index.ts';
import { type Day, dayIn, dayWords } from '../platform/day.ts';
import type { BuildFacts } from './build-facts.ts';
import type { WorkingCalendar } from './calendar.ts';
import { DEFAULTS } from './defaults.ts';
import {
  count,
  designEstimate,
  type Estimate,
  isLength,
  workEstimate,
  workingDays,
} from './durations-estimate.ts';
import type { History, Learnt } from './history.ts';
import type { Known } from './history-records.ts';
import { LawSpread, usualSpread } from './history-spread.ts';
import type { Duration } from './steps.ts';

export { count };

/** What every duration is told from. */
export interface Telling {
  facts: BuildFacts;
  calendar: WorkingCalendar;
  history: History;
}

/** A duration that hangs on what the key names alone: made once, and the same one for every step. */
export function alike({ history: { alike: kept } }: Telling, key: string, make: () => Duration): Duration {
  let duration = kept.get(key);
  if (!duration) {
    duration = make();
    kept.set(key, duration);
  }
  return duration;
}

/** What is said of many steps alike. */
export function said({ history: { said: kept } }: Telling, key: string, make: () => string): string {
  let words = kept.get(key);
  if (words === undefined) {
    words = make();
    kept.set(key, words);
  }
  return words;
}

/** The moment of the day on which something was written down (ISO text). */
export function momentIn({ facts, calendar }: Pick<Telling, 'facts' | 'calendar'>, instant: string): number {
  return calendar.momentOf(dayIn(facts.timeZone, new Date(instant)));
}

export function wordsOf(telling: Telling, moment: number): string {
  return dayWords(telling.calendar.dayAt(moment), telling.facts.today);
}

/** A stated figure: `days` of it, with the sentence that says what for. */
export function byDefault(days: number, working: boolean, what: string): Duration {
  const unit = working ? 'working day' : 'day';
  return {
    days,
    working,
    because: `${what} ${count(days, unit)}`,
    late: false,
    spread: usualSpread(days),
  };
}

/** The defaults that hang on nothing, made once. */
export const INSPECTION = byDefault(DEFAULTS.inspectDays, true, 'inspection usually takes');
const ORDERING = byDefault(DEFAULTS.orderDays, true, 'ordering usually takes');
const ORDERING_WITHOUT_JOB = byDefault(DEFAULTS.orderDays, true, 'no job yet; ordering usually takes');
const FITTING = byDefault(DEFAULTS.fitUpDays, true, 'no job and no days given:');

/** What a law gives for something begun or not. */
export interface Lasting {
  /** whole days left, at least DEFAULTS.leastDays */
  days: number;
  /** days until half of such are over, from their beginning, given the time taken */
  half: number;
  /** days it has been going on beyond what was said or usual; not above 0 while it is not late */
  over: number;
  spread: LawSpread;
}

/**
 * How long something lasts by what is learnt of it: the middle of its law; without history the figure itself, as long
 * as that is not used up.
 *
 * @param figure   days said, or the stated default
 * @param scale    days for each unit of the law
 * @param elapsed  days it has taken already, 0 where it has not begun
 */
export function lastingBy(
  { law, isKnown }: Learnt,
  figure: number,
  scale: number,
  elapsed: number,
  personId = 0,
): Lasting {
  const half = law.at(0.5, elapsed / scale) * scale;
  const isAsSaid = !isKnown && figure - elapsed >= DEFAULTS.leastDays;
  return {
    days: isAsSaid ? figure - elapsed : Math.max(DEFAULTS.leastDays, Math.round(half - elapsed)),
    half,
    over: elapsed - figure,
    spread: new LawSpread(law, scale, elapsed / scale, personId),
  };
}

/** How the observations of a history are called. */
export interface Naming {
  /** one of them */
  noun: string;
  /** what makes some of them one's own, and the others others */
  own: string;
  others: string;
  /** what those are that had not come yet */
  open: string;
}

/** How much history there is, in words: '9 promises of theirs and 31 of others (4 still open)'. */
export function amountOf(
  { own, others }: Known,
  naming: Naming,
  /** of the own ones still open, those that are told of anyway */
  without = 0,
): string {
  const { noun } = naming;
  const mine = own.finished + own.open - without;
  const theirs = others.finished + others.open;
  const open = own.open + others.open - without;
  const what = (n: number, of: string) => `${count(n, noun)}${of ? ` ${of}` : ''}`;
  const all =
    mine === 0
      ? what(theirs, naming.others)
      : theirs === 0
        ? what(mine, naming.own)
        : `${what(mine, naming.own)} and ${theirs} ${naming.others}`;
  return open === 0 ? all : `${all} (${open} ${naming.open})`;
}

/** '1.4 times', to one place. */
export function times(ratio: number): string {
  return `${ratio.toFixed(1)} times`;
}

/** What is left of calendar days that began running at a moment; late when they are over. */
export function leftOf(
  telling: Telling,
  what: string,
  learnt: Learnt,
  figure: number,
  scale: number,
  since: number,
): Duration {
  const { days, over, spread } = lastingBy(learnt, figure, scale, -since);
  const begun = wordsOf(telling, since);
  const isLate = learnt.isKnown && scale === 1 ? -since > learnt.law.at(0.5) : over > 0;
  let because: string;
  if (learnt.isKnown) {
    const taken = since === 0 ? 'from today' : `since ${begun}`;
    because = `${what}; ${taken}${isLate ? ', longer than most' : ''}: ${count(days, 'day')} left`;
  } else if (over <= -DEFAULTS.leastDays) {
    because = since === 0 ? `${what}, from today` : `${what}, since ${begun}: ${count(days, 'day')} left`;
  } else {
    because = `${what}, since ${begun}: over since ${wordsOf(telling, figure + since)}, ${count(days, 'day')} taken from today`;
  }
  return { days, working: false, because, late: isLate, spread };
}

/** What is left of work that was estimated, begun or not. */
function workLeft(telling: Telling, kind: string, estimate: Estimate, startedAt: string | null): Duration {
  if (startedAt) return workUnderWay(telling, kind, estimate, startedAt);
  const { days: figure, given, words } = estimate;
  return alike(telling, `${kind} ${words}`, () => {
    const learnt = telling.history.work(kind, given);
    const { days, spread } = lastingBy(learnt, figure, figure, 0);
    const because = learnt.isKnown
      ? `${words}; ${halfOfWork(learnt, given, 0)}: ${workingDays(days)}`
      : words;
    return { days, working: true, because, late: false, spread };
  });
}

function workUnderWay(
  telling: Telling,
  kind: string,
  { days: figure, given, words }: Estimate,
  startedAt: string,
): Duration {
  const learnt = telling.history.work(kind, given);
  const since = Math.min(0, momentIn(telling, startedAt));
  const { days, over, spread } = lastingBy(learnt, figure, figure, -telling.calendar.workingBefore(since));
  const history = learnt.isKnown ? `; ${halfOfWork(learnt, given, 1)}` : '';
  const left =
    over > -DEFAULTS.leastDays && !learnt.isKnown
      ? `that is over, ${workingDays(days)} taken`
      : `${workingDays(days)} left`;
  const because = `${words}${history}, begun on ${wordsOf(telling, since)}: ${left}`;
  return { days, working: true, because, late: over > 0, spread };
}

/** What history says of work, without the one under way that is told of. */
function halfOfWork({ known, law }: Learnt, given: boolean, without: number): string {
  const naming = {
    noun: 'job',
    own: `of this kind ${given ? 'with' : 'without'} an estimate`,
    others: 'of other kinds',
    open: 'under way',
  };
  return `by ${amountOf(known, naming, without)} half take ${times(law.at(0.5))} that`;
}

/** Drawing a part, with or without a job for it. */
export function designDuration(telling: Telling, part: PartRow | null, job: JobFacts | null): Duration {
  const estimate = designEstimate(telling.facts, telling.calendar.perWeek, part, job);
  return workLeft(telling, 'design', estimate, job?.startedAt ?? null);
}

/** Work at the machine or the bench: fit-up, trial, other. */
export function workDuration(telling: Telling, job: JobFacts, part: PartRow | null): Duration {
  const estimate = workEstimate(telling.facts, telling.calendar.perWeek, part, job);
  return workLeft(telling, job.kind, estimate, job.startedAt);
}

/** Fitting an assembly for which there is no job yet. */
export function fitUpDuration(telling: Telling, part: PartRow | null): Duration {
  const days = part?.makeDays;
  if (!isLength(days)) return FITTING;
  const words = `no job yet; the part says ${workingDays(days)}`;
  return workLeft(telling, 'fit-up', { days, given: true, words }, null);
}

/** Placing an order. */
export function orderDuration(job: JobFacts | null): Duration {
  return job ? ORDERING : ORDERING_WITHOUT_JOB;
}

/** The delivery of what is ordered, or is still to be. */
export function deliveryDuration(telling: Telling, job: JobFacts | null, part: PartRow | null): Duration {
  const { calendar, history } = telling;
  const since = job?.orderedAt ? Math.min(0, momentIn(telling, job.orderedAt)) : null;
  const due = job?.promisedOn ? calendar.momentOf(job.promisedOn as Day) : Number.NaN;
  if (since !== null && isLength(due - since)) return namedDelivery(telling, due, since);
  const lead = isLength(part?.leadDays) ? part.leadDays : null;
  const figure = lead ?? DEFAULTS.deliveryDays;
  const learnt = lead === null ? history.plainOrder() : history.order('lead');
  const scale = lead ?? 1;
  const what = (without: number) => {
    const figureSaid = lead === null ? 'no lead time given' : `lead time ${count(lead, 'day')}`;
    if (!learnt.isKnown) return lead === null ? `${figureSaid}: ${count(figure, 'day')}` : figureSaid;
    const known = said(telling, `order ${lead === null} ${without}`, () => {
      const half = learnt.law.at(0.5);
      const came = lead === null ? `within ${count(Math.round(half), 'day')}` : `by ${times(half)} theirs`;
      return `of ${ordersOf(learnt, 'with a lead time', without)} half came ${came}`;
    });
    return `${figureSaid}; ${known}`;
  };
  if (since !== null) return leftOf(telling, what(1), learnt, figure, scale, since);
  return alike(telling, `delivery ${lead}`, () => {
    const { days, spread } = lastingBy(learnt, figure, scale, 0);
    const because = learnt.isKnown && lead !== null ? `${what(0)}: ${count(days, 'day')}` : what(0);
    return { days, working: false, because, late: false, spread };
  });
}

function ordersOf({ known }: Learnt, own: string, without: number): string {
  const isAlone = known.others.finished + known.others.open === 0;
  const others = own === 'with a lead time' ? 'with a day named' : 'with a lead time';
  return amountOf(known, { noun: 'order', own: isAlone ? '' : own, others, open: 'not here yet' }, without);
}

/** A delivery for which a day was named, as a moment. */
function namedDelivery(telling: Telling, due: number, since: number): Duration {
  const learnt = telling.history.order('named');
  const figure = due - since;
  const { days, over, spread } = lastingBy(learnt, figure, figure, -since);
  const ago = over > 0 ? `, ${count(over, 'day')} ago` : over === 0 ? ', today' : '';
  const named = `delivery named for ${wordsOf(telling, due)}${ago}`;
  const counted = days === 1 ? 'tomorrow' : wordsOf(telling, days);
  const because = learnt.isKnown
    ? `${named}; of ${ordersOf(learnt, 'with a day named', 1)} half came by ${times(learnt.law.at(0.5))} the days named: counted as ${counted}`
    : over > -DEFAULTS.leastDays
      ? `${named}: counted as ${counted}`
      : named;
  return { days, working: false, because, late: over > 0, spread };
}
