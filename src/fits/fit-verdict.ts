import { clearance, type FitCharacter, normalChanceBetween, withoutDust } from '../specs/index.ts';
import {
  type Condition,
  conditionsFor,
  conditionWords,
  growth,
  type Movement,
  REFERENCE,
  type TemperatureRange,
} from './conditions.ts';
import type { Size } from './size.ts';
import type { Gap } from './wanted.ts';

/** What there is to say of a fit or a chain, from best to worst; see `verdictOf`. */
export const VERDICTS = ['fits', 'may fail', 'does not fit', 'not known'] as const;

export type Verdict = (typeof VERDICTS)[number];

/** One side: its limits at 20 °C, and how it moves. */
export interface MovingSize {
  size: Size;
  movement: Movement;
}

/** The clearance in one condition, in mm. */
export interface FitAt extends Gap {
  condition: Condition;
  character: FitCharacter;
  chanceOfInterference: number;
  /** chance that a pair taken at random has the wanted clearance */
  chanceInside: number;
  /** what is to spare at the tight end and at the loose end; below 0 it is not met */
  spareTight: number;
  spareLoose: number;
}

export interface FitVerdict {
  verdict: Verdict;
  /** the least there is to spare, in mm, below 0 what is missing; null when not known at all */
  margin: number | null;
  /** where the margin is: too tight or too loose, and in which condition */
  worst: { end: 'tight' | 'loose'; at: Condition } | null;
  rows: FitAt[];
  /** conditions that could not be looked at, in words */
  notKnownAt: string[];
}

/** Three standard deviations either way: of 1000 pairs, fewer than 3 are outside. */
export const RARE = 0.9973;

function fitAt(hole: MovingSize, shaft: MovingSize, wanted: Gap, condition: Condition): FitAt | null {
  const [holeGrowth, shaftGrowth] = [growth(hole.movement, condition), growth(shaft.movement, condition)];
  if (holeGrowth === null || shaftGrowth === null) return null;
  const grown = ({ lower, upper }: Size, factor: number) => ({
    lowerLimit: lower * factor,
    upperLimit: upper * factor,
  });
  const [holeNow, shaftNow] = [grown(hole.size, holeGrowth), grown(shaft.size, shaftGrowth)];
  const { minClearance: min, maxClearance: max, ...rest } = clearance(holeNow, shaftNow);
  const deviation =
    Math.hypot(holeNow.upperLimit - holeNow.lowerLimit, shaftNow.upperLimit - shaftNow.lowerLimit) / 6;
  return {
    condition,
    min,
    max,
    ...rest,
    chanceInside: normalChanceBetween((min + max) / 2, deviation, wanted.min, wanted.max),
    spareTight: withoutDust(min - wanted.min),
    spareLoose: withoutDust(wanted.max - max),
  };
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

/**
 * Whether a shaft goes with a hole as wanted, at 20 °C and wherever the machine will stand.
 *
 * Both parts have the same temperature and stand in the same air. Chances take each size as normal about the middle of
 * its limits, with six standard deviations across them.
 *
 * @param wanted  clearance in mm
 * @param range   temperatures the machine will see, in °C
 * @throws NotComputable  below absolute zero
 *
 * Source: ISO 286-1:2010 for clearance and interference, ISO 1 for 20 °C; linear expansion and the six standard
 * deviations are common practice, no source.
 * Example: 25 H7 in aluminium (23.4), 25 g6 in steel (12), sliding, 5 to 35 °C -> fits, 0.0027 mm to spare at 5 °C
 */
export function fitVerdict(
  hole: MovingSize,
  shaft: MovingSize,
  wanted: Gap,
  range: TemperatureRange,
): FitVerdict {
  const conditions = conditionsFor(range, [hole.movement, shaft.movement]);
  const rows: FitAt[] = [];
  const notKnownAt: string[] = [];
  for (const condition of conditions) {
    const row = fitAt(hole, shaft, wanted, condition);
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

/** The clearance at 20 °C, as drawn. */
export function atReference(verdict: FitVerdict): FitAt | null {
  return (
    verdict.rows.find(
      ({ condition }) => condition.celsius === REFERENCE.celsius && condition.air === REFERENCE.air,
    ) ?? null
  );
}
