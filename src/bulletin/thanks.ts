import type { LogRow } from '../log/index.ts';
import { KINDS } from './acts-told.ts';
import type { Thank } from './draft.ts';

/** What the lead says of thanks beside what the log does. */
export type ThanksChange =
  /** not thanked, and why: for the lead to remember, never shown */
  | { person: number; why: string }
  /** thanked for what the log does not know, in these words */
  | { person: number; for: string };

/** A person of the build, as far as thanks go. */
export interface Thankable {
  id: number;
  role?: string;
}

/** Somebody in the week's log who is not thanked, and why not. */
export interface NotThanked {
  person: number;
  why: string;
  /** taken off by the lead, who may take that back */
  byLead: boolean;
}

export interface Thanks {
  thanks: Thank[];
  notThanked: NotThanked[];
}

/**
 * Whom the week's log thanks, and for what. Whoever stands in it, as who did something or as whom it concerns, is found
 * in one of the two lists: nobody is forgotten.
 *
 * @param rows     the log of the week, oldest first
 * @param came     who was at a gathering that was held in the week
 * @param people   everyone by id
 * @param changes  the lead's: taken off, and thanked by hand
 */
export function thanksOfWeek(
  rows: readonly LogRow[],
  came: readonly { person: number; title: string }[],
  people: ReadonlyMap<number, Thankable>,
  changes: readonly ThanksChange[],
): Thanks {
  const reasons = new Map<number, Set<string>>();
  const concerned = new Set<number>();
  const add = (person: number, reason: string) => {
    const known = reasons.get(person);
    if (known) known.add(reason);
    else reasons.set(person, new Set([reason]));
  };
  for (const row of rows) {
    const kind = KINDS[row.kind];
    const helps = kind ? kind.thanks : 'helping'; // a kind nobody has put into the table yet still thanks
    for (const person of [row.personId, row.aboutId]) if (person !== null) concerned.add(person);
    if (row.personId !== null && helps) add(row.personId, helps);
    if (row.aboutId !== null && kind?.aboutThanks) add(row.aboutId, kind.aboutThanks);
  }
  for (const { person, title } of came) {
    concerned.add(person);
    add(person, `coming to ${title}`);
  }
  const off = new Map(changes.flatMap((one) => ('why' in one ? [[one.person, one.why] as const] : [])));
  const byHand = changes.flatMap((one) => ('for' in one ? [one] : []));
  const isLead = (person: number) => people.get(person)?.role === 'lead';
  const thanks: Thank[] = [];
  for (const [person, done] of reasons) {
    if (isLead(person) || off.has(person)) continue;
    const hand = byHand.find((one) => one.person === person);
    thanks.push({ person, for: hand?.for ?? listed([...done]) });
  }
  for (const one of byHand) {
    if (!off.has(one.person) && !thanks.some(({ person }) => person === one.person) && people.has(one.person))
      thanks.push({ person: one.person, for: one.for });
  }
  const thanked = new Set(thanks.map(({ person }) => person));
  const notThanked = [...concerned]
    .filter((person) => !thanked.has(person))
    .map((person): NotThanked => {
      const why = off.get(person);
      if (why !== undefined) return { person, why: why || 'taken off by you', byLead: true };
      if (isLead(person)) return { person, why: 'is the lead, who says the thanks', byLead: false };
      return {
        person,
        why: rows.some(({ personId }) => personId === person)
          ? 'did nothing but their own affairs'
          : 'only stands in what others did',
        byLead: false,
      };
    });
  return { thanks, notThanked };
}

/** 'making, posting and asking' */
export function listed(words: readonly string[]): string {
  if (words.length < 2) return words[0] ?? '';
  return `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;
}

/** Reads the stored column `passedOver`. */
export function readThanksChanges(text: string | undefined): ThanksChange[] {
  return JSON.parse(text ?? '[]') as ThanksChange[];
}
