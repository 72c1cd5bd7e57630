import { type Day, daysBetween, dayWords } from '../platform/day.ts';
import type { Draft } from './draft.ts';
import type { Correction } from './frozen.ts';
import { publicName, publicWords, type ThankedPerson } from './public-names.ts';
import { daysOf } from './week.ts';

/** A bulletin with people named as they wish to be: what the page, the feed, the letter and the script are made of. */
export interface ToldBulletin {
  title: string;
  /** '2 Mar to 8 Mar 2026' */
  span: string;
  /** the lead's Markdown */
  opening: string;
  closing: string;
  finish: string;
  sections: ToldSection[];
  thanks: { name: string; reason: string }[];
  /** how many are thanked who would rather not be named, and who have left */
  unnamed: number;
  left: number;
  corrections: { on: string; words: string }[];
}

export interface ToldSection {
  key: string;
  title: string;
  absent: string;
  /** the lead's Markdown to it */
  own: string;
  lines: ToldLine[];
}

export interface ToldLine {
  key: string;
  text: string;
  /** a public page of this build, and what the link to it says */
  href: string | null;
  link: string;
}

/** The days of a week in words; the year once where both are of one. */
export function spanWords({ from, until }: { from: Day; until: Day }): string {
  return `${dayWords(from, until)} to ${dayWords(until)}`;
}

const counted = (days: number) => `${days} ${days === 1 ? 'day' : 'days'}`;

/**
 * When the finish is expected, and how that moved; nothing where it is not known.
 *
 * @param near  the day that years are left out beside
 * @param days  how long the week is: shorter where its closing weekday was changed
 */
export function finishWords(
  { finishOn, finishBefore }: Pick<Draft, 'finishOn' | 'finishBefore'>,
  near: string,
  days = 7,
): string {
  if (!finishOn) return '';
  const on = `The finish is expected on ${dayWords(finishOn, near)}`;
  if (!finishBefore) return `${on}.`;
  const before = days === 7 ? 'a week before' : `${counted(days)} before`;
  const moved = daysBetween(finishBefore, finishOn);
  if (moved === 0) return `${on}, as ${before}.`;
  const by = `${counted(Math.abs(moved))} ${moved > 0 ? 'later' : 'sooner'}`;
  return `${on}, ${by} than ${before} (${dayWords(finishBefore, near)}).`;
}

/**
 * A draft, or a frozen bulletin, as the public reads it.
 *
 * @param words    the lead's own, and the corrections since
 * @param people   everyone, by id: how they wish to be named now
 */
export function toldBulletin(
  draft: Draft,
  words: { title: string; opening: string; closing: string; corrections: readonly Correction[] },
  week: { from: Day; until: Day },
  people: ReadonlyMap<number, ThankedPerson>,
): ToldBulletin {
  const thanked = draft.thanks.map(({ person, for: reason }) => {
    const one = people.get(person);
    return { name: publicName(one), reason, hasLeft: !one || one.forgottenAt !== null };
  });
  return {
    title: words.title || `The week to ${dayWords(week.until)}`,
    span: spanWords(week),
    opening: words.opening,
    closing: words.closing,
    finish: finishWords(draft, week.until, daysOf(week)),
    sections: draft.sections.map(({ key, title, absent, own, lines }) => ({
      key,
      title,
      absent,
      own: own ?? '',
      lines: lines.map((line) => ({
        key: line.key,
        text: publicWords(line.words, people),
        href: line.href ?? null,
        link: linkWords(line.href),
      })),
    })),
    thanks: thanked.flatMap(({ name, reason }) => (name === null ? [] : [{ name, reason }])),
    unnamed: thanked.filter(({ name, hasLeft }) => name === null && !hasLeft).length,
    left: thanked.filter(({ hasLeft }) => hasLeft).length,
    corrections: words.corrections.map((one) => ({ on: dayWords(one.on), words: one.words })),
  };
}

/** What the link behind a line says: 'Offer 12'. */
export function linkWords(href: string | undefined): string {
  const offer = /^\/offers\/(\d+)$/.exec(href ?? '');
  return offer ? `Offer ${offer[1]}` : href ? 'All offers' : '';
}

/** Those thanked who are not named, a line each: '2 more who would rather not be named', '1 who has left'. */
export function unnamedLines({
  thanks,
  unnamed,
  left,
}: Pick<ToldBulletin, 'thanks' | 'unnamed' | 'left'>): string[] {
  const more = (count: number) => `${count}${thanks.length ? ' more' : ''}`;
  return [
    ...(unnamed ? [`${more(unnamed)} who would rather not be named`] : []),
    ...(left ? [`${more(left)} who ${left === 1 ? 'has' : 'have'} left`] : []),
  ];
}

/** Whether anything was done in the week: what is late, needed and next is none of that, nor what only waited. */
export function anythingHappened(
  sections: readonly { key: string; lines: readonly { key: string }[] }[],
): boolean {
  return sections.some(
    ({ key, lines }) =>
      !AHEAD.has(key) && lines.some((line) => key !== 'finish' || !/^(waited|moved-remark)-/.test(line.key)),
  );
}

const AHEAD = new Set(['late', 'next', 'needed']);

/** Whether it tells of anything in the week, by the log or in the lead's words. */
export function saysAnything(told: ToldBulletin): boolean {
  return (
    told.opening !== '' ||
    told.closing !== '' ||
    told.sections.some(({ own }) => own !== '') ||
    anythingHappened(told.sections)
  );
}

/** Said of a week in which nothing happened that the audience would hear of. */
export const EMPTY_WEEK = 'Nothing happened in this week that there would be to tell of.';
