import { type LogRow, noted } from '../log/index.ts';
import { dayWords, isDay } from '../platform/day.ts';

/** Words with people in them. People stand by their id: how they are named is looked up when it is read. */
export type Words = (string | { person: number })[];

/** Rows of one kind that are told in one line: those of one thing and, where it matters, of one person. */
export interface Told {
  row: LogRow;
  /** of the last of them */
  after: Record<string, unknown>;
  /** the quantity of all of them, with its unit: '12 pieces'; 'some' where none is known */
  amount: string;
}

/** How acts of a kind are told. */
export interface Telling {
  section: SectionKey;
  words(told: Told): Words;
  /** what goes together in one line; each row is a line of its own where this is not given */
  together?(row: LogRow): string;
  /** what a row adds to the quantity, in thousandths; its own where this is not given. Nothing is told of a sum of 0 */
  adds?(row: LogRow, after: Record<string, unknown>): number;
  /** rows that are not told, or are told elsewhere */
  without?(row: LogRow, after: Record<string, unknown>): boolean;
}

export const SECTIONS = [
  ['made', 'Made', 'Nothing was reported finished.'],
  ['arrived', 'Arrived', 'Nothing arrived.'],
  ['accepted', 'Inspected and accepted', 'Nothing was inspected.'],
  ['fitted', 'Fitted', 'Nothing was fitted.'],
  ['done', 'Done', 'No other work was finished.'],
  ['moved', 'Moved', 'Nothing was released, offered or posted.'],
  ['claimed', 'Taken on', 'Nothing was claimed.'],
  ['failed', 'Failed', 'Nothing failed that we know of.'],
  ['cured', 'Cured', 'Nothing was cured.'],
  ['decided', 'Decided', 'Nothing was decided.'],
] as const;

export type SectionKey = (typeof SECTIONS)[number][0];

export const job = (row: LogRow) => row.jobTitle ?? row.partName ?? 'a job';
export const part = (row: LogRow) => row.partName ?? 'A part';
/** Whose work it is: the maker somebody else wrote it down for, or who did it. */
export const maker = (row: LogRow): Words[number] => {
  const person = row.aboutId ?? row.personId;
  return person === null ? 'Somebody' : { person };
};
export const text = (value: unknown) =>
  typeof value === 'string' || typeof value === 'number' ? String(value) : '';
export const ofJob = (row: LogRow) => `job-${row.jobId}`;
export const ofJobAndMaker = (row: LogRow) => `job-${row.jobId}-${row.aboutId ?? row.personId}`;
export const ofThing = (row: LogRow) => `${row.thingType}-${row.thingId}`;
/** A sentence of somebody's words: with one full stop, or the mark it ends with. */
export const ended = (words: string) => (/[.!?…]$/.test(words) ? words : `${words}.`);
export const because = (after: Record<string, unknown>) =>
  text(after.reason) ? `: ${text(after.reason)}` : '';

export function dates(after: Record<string, unknown>): string {
  const [from, until] = [text(after.fromOn), text(after.untilOn)];
  if (!isDay(from) && !isDay(until)) return '';
  if (!isDay(until)) return `, from ${dayWords(from)}`;
  if (!isDay(from)) return `, to ${dayWords(until)}`;
  return from === until ? `, ${dayWords(from)}` : `, ${dayWords(from, until)} to ${dayWords(until)}`;
}

export const titled = (section: SectionKey, say: (title: string, told: Told) => string): Telling => ({
  section,
  words: (told) => [ended(say(text(told.after.title), told))],
});

export const CLAIMED: Telling = {
  section: 'claimed',
  together: ofJobAndMaker,
  words: ({ row, amount }) => [maker(row), ` makes ${amount} of ${job(row)}.`],
};
export const MADE: Telling = {
  section: 'made',
  together: ofJobAndMaker,
  without: (row) => !row.milli, // word without anything finished
  words: ({ row, amount }) => [maker(row), ` finished ${amount} of ${job(row)}.`],
};
export const ARRIVED: Telling = {
  section: 'arrived',
  together: ofJobAndMaker,
  words: ({ row, amount }) => ['A parcel from ', maker(row), ` came: ${amount} of ${job(row)}.`],
};
/** Takes back what was told in the same line: of claims handed back, of reports put right. */
export const less = (telling: Telling): Telling => ({ ...telling, adds: (row) => -(row.milli ?? 0) });
/** A count that differs from what was said to have come. */
export const counted: Telling = {
  ...ARRIVED,
  adds: (row, { shortMilli }) => {
    const { countedMilli } = noted(row.before);
    const milli = row.milli ?? 0;
    const said = typeof countedMilli === 'number' ? countedMilli : milli + Number(shortMilli ?? 0);
    return milli - said;
  },
};
