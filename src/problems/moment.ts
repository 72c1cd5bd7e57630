import type { Context } from '../platform/context.ts';
import type { Database } from '../platform/database.ts';
import { type Day, dayIn, dayWords } from '../platform/day.ts';

/** Today where the build is, and how its days are written. */
export interface Moment {
  today: Day;
  timeZone: string;
  /** the calendar day of a stored moment */
  dayOf(at: Date): Day;
  /** the same for people: '9 Jan' */
  words(at: Date): string;
}

export function readMoment({ db, clock }: Pick<Context, 'db' | 'clock'>): Moment {
  return momentOf(db, dayIn(readZone(db), clock.now()));
}

/** The same where somebody else knows which day it is. */
export function momentOf(db: Pick<Database, 'hot'>, today: Day): Moment {
  const timeZone = readZone(db);
  const dayOf = (at: Date) => dayIn(timeZone, at);
  return { today, timeZone, dayOf, words: (at) => dayWords(dayOf(at), today) };
}

function readZone({ hot }: Pick<Database, 'hot'>): string {
  return hot.prepare<[], string>('SELECT timeZone FROM Build WHERE id = 1').pluck().get() ?? 'UTC';
}

/** Days from one to another for people: '14 to 16 Mar', '30 Mar to 2 Apr', '14 Mar'. */
export function spanWords(fromOn: Day, untilOn: Day, near: Day): string {
  if (fromOn === untilOn) return dayWords(fromOn, near);
  const until = dayWords(untilOn, near);
  return fromOn.slice(0, 7) === untilOn.slice(0, 7)
    ? `${Number(fromOn.slice(8))} to ${until}`
    : `${dayWords(fromOn, fromOn.slice(0, 4) === untilOn.slice(0, 4) ? fromOn : near)} to ${until}`;
}
