import { type Day, daysBetween, dayWords } from '../platform/day.ts';
import { type NamedJob, oneLine, type ReminderLine } from './letter-text.ts';

/** Something in a maker's hand that is not wholly posted. */
export interface ClaimToRemind {
  claimId: number;
  personId: number;
  job: NamedJob;
  /** the day promised as likely for posting */
  promisedOn: Day;
  /** the day it must be posted by; null while nothing tells */
  needByOn: Day | null;
  lastWordOn: Day;
  /** whether any piece is reported finished */
  begunToFinish: boolean;
  onHold: boolean;
}

/** A new revision that its maker has not answered about. */
export interface NoticeToRemind {
  noticeId: number;
  personId: number;
  job: NamedJob;
  partNumber: string;
  letter: string;
  toldOn: Day;
}

export interface GatheringToRemind {
  gatheringId: number;
  title: string;
  fromOn: Day;
  untilOn: Day;
  comers: readonly number[];
}

export interface ReminderFacts {
  today: Day;
  silentAfterDays: number;
  claims: readonly ClaimToRemind[];
  notices: readonly NoticeToRemind[];
  gatherings: readonly GatheringToRemind[];
}

/** One thing that one person is reminded of, once. */
export interface Reminder extends ReminderLine {
  personId: number;
  /** what it reminds of: the same is not said twice to a person */
  item: string;
}

/** A promise is reminded of so many days ahead; so long after it, should the program have stood still that day. */
const PROMISE_AHEAD_DAYS = 3;
const PROMISE_AFTER_DAYS = 3;
/** Who sent word so lately is left alone. */
const QUIET_DAYS = 3;
const NEED_AHEAD_DAYS = 7;
/** A new revision that is not answered about is asked for again each week, and silence each time its span is over. */
const NOTICE_AFTER_DAYS = 7;
const MOST_TIMES = 3;
export const GATHERING_AHEAD_DAYS = 7;

/**
 * What people are reminded of today. Days are those where the build is; figures are our own, but for the span of
 * silence, which the lead sets.
 *
 * @param told  the items each person was reminded of before
 */
export function remindersDue(
  facts: ReminderFacts,
  told: (personId: number, item: string) => boolean,
): Reminder[] {
  const { today } = facts;
  const due: Reminder[] = [];
  for (const claim of facts.claims) {
    const first = claimReminders(claim, facts).find(({ item }) => !told(claim.personId, item));
    // One thing a day about one claim.
    if (first) due.push({ personId: claim.personId, path: `/jobs/${claim.job.id}`, ...first });
  }
  for (const notice of facts.notices) {
    const times = Math.floor(daysBetween(notice.toldOn, today) / NOTICE_AFTER_DAYS);
    if (times < 1 || times > MOST_TIMES) continue;
    due.push({
      personId: notice.personId,
      item: `notice.${notice.noticeId}.${times}`,
      words: `${oneLine(notice.partNumber)} has revision ${oneLine(notice.letter)} since ${dayWords(notice.toldOn, today)}. Say whether you take it up: ${named(notice.job)}.`,
      path: `/jobs/${notice.job.id}`,
    });
  }
  for (const gathering of facts.gatherings) {
    const ahead = daysBetween(today, gathering.fromOn);
    if (ahead < 1 || ahead > GATHERING_AHEAD_DAYS) continue;
    for (const personId of gathering.comers) {
      due.push({
        personId,
        item: `gathering.${gathering.gatheringId}.${gathering.fromOn}`,
        words: `${oneLine(gathering.title)} begins on ${dayWords(gathering.fromOn, today)}, in ${dayCount(ahead)}. Its page says where, and what to bring.`,
        path: `/gatherings/${gathering.gatheringId}`,
      });
    }
  }
  return due.filter(({ personId, item }) => !told(personId, item));
}

/** What could be said about a claim today, the most pressing first. */
function claimReminders(
  claim: ClaimToRemind,
  { today, silentAfterDays }: ReminderFacts,
): { item: string; words: string }[] {
  if (claim.onHold) return [];
  const { claimId, promisedOn, needByOn, lastWordOn } = claim;
  const said: { item: string; words: string }[] = [];
  const silentDays = daysBetween(lastWordOn, today);
  const toPromise = daysBetween(today, promisedOn);
  const quiet = silentDays < QUIET_DAYS;
  const need = needByOn ? ` It is needed in the post by ${dayWords(needByOn, today)}.` : '';
  if (!quiet && !claim.begunToFinish && toPromise <= PROMISE_AHEAD_DAYS && toPromise >= -PROMISE_AFTER_DAYS) {
    const when =
      toPromise > 0 ? `in ${dayCount(toPromise)}` : toPromise === 0 ? 'today' : `${dayCount(-toPromise)} ago`;
    said.push({
      item: `due.${claimId}.${promisedOn}`,
      words: `Your promise for ${named(claim.job)} falls on ${dayWords(promisedOn, today)}, ${when}. Nothing is reported finished yet: say how far you are, or promise anew.${need}`,
    });
  }
  const toNeed = needByOn ? daysBetween(today, needByOn) : Number.POSITIVE_INFINITY;
  if (!quiet && toNeed >= 0 && toNeed <= NEED_AHEAD_DAYS) {
    said.push({
      // The day moves with the schedule: it is said once for each promise.
      item: `need.${claimId}.${promisedOn}`,
      words: `What you have of ${named(claim.job)} is needed in the post by ${dayWords(needByOn!, today)}, or the machine is finished later. If that can't be, say so: then somebody can help.`,
    });
  }
  const times = Math.floor(silentDays / silentAfterDays);
  if (times >= 1 && times <= MOST_TIMES) {
    said.push({
      item: `silent.${claimId}.${lastWordOn}.${times}`,
      words: `Nothing was heard of ${named(claim.job)} for ${dayCount(silentDays)}. A word on how it goes is enough; if you can't do it any more, hand it back without a reason.`,
    });
  }
  return said;
}

const named = ({ id, title }: NamedJob) => `job ${id}, ${oneLine(title)}`;
const dayCount = (days: number) => (days === 1 ? '1 day' : `${days} days`);

const KEY = 'reminder';

/** The key of a letter with reminders: to whom, the day, and what it says. */
export function reminderKey(personId: number, day: Day, items: readonly string[]): string {
  return `${KEY}:${personId}:${day}:${items.join('+')}`;
}

/** Reads reminderKey's keys: what each person was reminded of, and on which days. */
export function toldIn(keys: Iterable<string>): {
  told(personId: number, item: string): boolean;
  toldOn(personId: number, day: Day): boolean;
} {
  const items = new Set<string>();
  const days = new Set<string>();
  for (const key of keys) {
    const [kind, personId, day, list = ''] = key.split(':');
    if (kind !== KEY) continue;
    days.add(`${personId} ${day}`);
    for (const item of list.split('+')) items.add(`${personId} ${item}`);
  }
  return {
    told: (personId, item) => items.has(`${personId} ${item}`),
    toldOn: (personId, day) => days.has(`${personId} ${day}`),
  };
}
