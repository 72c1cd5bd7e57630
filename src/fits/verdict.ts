import { type Condition, conditionWords } from './conditions.ts';

/** What there is to say of a fit or a chain, from best to worst; see `verdictOf`. */
export const VERDICTS = ['fits', 'may fail', 'does not fit', 'not known'] as const;

export type Verdict = (typeof VERDICTS)[number];

/** Three standard deviations either way: of 1000 pairs, fewer than 3 are outside. */
export const RARE = 0.9973;

/** What the figures of a fit or of a chain come to, over all conditions. */
export interface VerdictOver<Row> {
  verdict: Verdict;
  /** the least there is to spare, in mm, below 0 what is missing; null when not known at all */
  margin: number | null;
  /** where the margin is: too tight or too loose, and in which condition */
  worst: { end: 'tight' | 'loose'; at: Condition } | null;
  rows: Row[];
  /** conditions that could not be looked at, in words */
  notKnownAt: string[];
}

interface Spare {
  condition: Condition;
  spareTight: number;
  spareLoose: number;
  chanceInside: number;
}

/**
 * The verdict that rows of figures give: `fits` when the worst case is met in every condition; `may fail` when it is
 * not, but in every condition at least 9973 of 10,000 are inside; else `does not fit`. A condition that could not be
 * looked at makes `fits` and `may fail` into `not known`.
 */
export function verdictOf(
  rows: readonly { chanceInside: number; spareTight: number; spareLoose: number }[],
  notKnown: boolean,
): Verdict {
  const met = rows.every(({ spareTight, spareLoose }) => Math.min(spareTight, spareLoose) >= 0);
  const rare = rows.every(({ chanceInside }) => chanceInside >= RARE);
  if (!met && !rare) return 'does not fit';
  if (notKnown) return 'not known';
  return met ? 'fits' : 'may fail';
}

/** The row and the end that has least to spare. */
export function leastSpare<T extends { condition: Condition; spareTight: number; spareLoose: number }>(
  rows: readonly T[],
): { margin: number; end: 'tight' | 'loose'; at: Condition } | null {
  let least: { margin: number; end: 'tight' | 'loose'; at: Condition } | null = null;
  for (const { condition, spareTight, spareLoose } of rows) {
    if (!least || spareTight < least.margin) least = { margin: spareTight, end: 'tight', at: condition };
    if (spareLoose < least.margin) least = { margin: spareLoose, end: 'loose', at: condition };
  }
  return least;
}

/** Looks at each condition. @param at  the figures in one; null where they cannot be known */
export function verdictOver<Row extends Spare>(
  conditions: readonly Condition[],
  at: (condition: Condition) => Row | null,
): VerdictOver<Row> {
  const rows: Row[] = [];
  const notKnownAt: string[] = [];
  for (const condition of conditions) {
    const row = at(condition);
    if (row) rows.push(row);
    else notKnownAt.push(conditionWords(condition));
  }
  const least = leastSpare(rows);
  return {
    verdict: verdictOf(rows, notKnownAt.length > 0),
    margin: least?.margin ?? null,
    worst: least && { end: least.end, at: least.at },
    rows,
    notKnownAt,
  };
}
