import { NotComputable } from '../platform/not-computable.ts';
import { normalChance } from './chain-normal.ts';
import { logGamma } from './chances.ts';
import { studentCritical } from './comparison-student.ts';

/** The test that is planned for calls a difference real where chance alone would make it this seldom. */
export const TEST_LEVEL = 0.05;
/** More values on a side than this are not asked of anybody. */
export const MOST_RUNS = 10_000;

/** Two sides of a planned test: so many values each, with these standard deviations. */
export interface PlannedSides {
  /** the difference of the means that is to be found, in the unit of the deviations */
  difference: number;
  beforeDeviation: number;
  afterDeviation: number;
}

const STEPS = 160;

/**
 * Chance that Student's t with a mean shifted by `shift` lies beyond the critical value on either side.
 *
 * Error under 1e-7 from 2 degrees of freedom on, under 1e-5 below.
 *
 * @param shift     the difference over its standard error (the noncentrality)
 * @param freedom   degrees of freedom, 1 or more
 *
 * Source: the noncentral t as a normal value over the square root of a chi-square one over its degrees of freedom,
 * integrated over the latter by Simpson's rule; the definition, no source.
 */
export function shiftedStudentBeyond(critical: number, shift: number, freedom: number): number {
  const reach = 9 / Math.sqrt(2 * freedom);
  // over the root of the spread: with less than 2 degrees of freedom the density itself rises too steeply from 0
  const [from, to] = [Math.sqrt(Math.max(0, 1 - reach)), Math.sqrt(1 + reach)];
  const width = (to - from) / STEPS;
  const scale = Math.LN2 + (freedom / 2) * Math.log(freedom / 2) - logGamma(freedom / 2);
  let sum = 0;
  for (let step = 0; step <= STEPS; step += 1) {
    const root = from + step * width;
    const spread = root * root;
    const density =
      spread === 0
        ? 0
        : 2 * root * Math.exp(scale + (freedom - 1) * Math.log(spread) - (freedom * spread * spread) / 2);
    const beyond = normalChance(shift - critical * spread) + normalChance(-shift - critical * spread);
    sum += (step === 0 || step === STEPS ? 1 : step % 2 ? 4 : 2) * density * beyond;
  }
  return Math.min(1, (sum * width) / 3);
}

/**
 * Chance that Welch's test at 5 %, two-sided, finds a real difference with so many values on either side.
 *
 * @param beforeRuns, afterRuns  values on either side, 2 or more
 *
 * Source: noncentral t with Welch and Satterthwaite's degrees of freedom, common practice; with equal deviations and
 * numbers it is that of Cohen, Statistical Power Analysis (1988), chapter 2.
 * Example: difference 1, deviations 1, 20 values a side -> 0.869
 */
export function meansPower(
  { difference, beforeDeviation, afterDeviation }: PlannedSides,
  beforeRuns: number,
  afterRuns: number,
): number {
  const [first, second] = [beforeDeviation ** 2 / beforeRuns, afterDeviation ** 2 / afterRuns];
  const variance = first + second;
  if (variance === 0) return difference === 0 ? 0 : 1;
  const freedom = variance ** 2 / (first ** 2 / (beforeRuns - 1) + second ** 2 / (afterRuns - 1));
  return shiftedStudentBeyond(
    studentCritical(TEST_LEVEL, freedom),
    difference / Math.sqrt(variance),
    freedom,
  );
}

/** The smallest whole number from low to high for which it holds, or null; it must go on holding above. */
export function leastRuns(low: number, high: number, holds: (runs: number) => boolean): number | null {
  if (!holds(high)) return null;
  let [no, yes] = [low - 1, high];
  // most answers are small: doubling from below first
  for (let at = low; at < high; at *= 2) {
    if (holds(at)) {
      yes = at;
      break;
    }
    no = at;
  }
  while (yes - no > 1) {
    const middle = Math.floor((no + yes) / 2);
    if (holds(middle)) yes = middle;
    else no = middle;
  }
  return yes;
}

/**
 * How many values each side needs so that Welch's test at 5 % finds a real difference with this chance.
 *
 * @param chance      such as 0.8
 * @param beforeRuns  where no more can be measured before: how many there are; then only those after are asked for
 * @returns           values on a side, 2 or more; null when more than 10,000 would be needed
 * @throws NotComputable  a deviation below 0
 *
 * Source: as meansPower. Example: difference 1, deviations 1, chance 0.9 -> 23 (22.02 by the usual tables, rounded up)
 */
export function meansRunsNeeded(sides: PlannedSides, chance: number, beforeRuns?: number): number | null {
  const { difference, beforeDeviation, afterDeviation } = sides;
  if (!(beforeDeviation >= 0 && afterDeviation >= 0)) {
    throw new NotComputable(`deviations of ${beforeDeviation} and ${afterDeviation}: 0 or more are needed`);
  }
  if (difference === 0) return null;
  return leastRuns(2, MOST_RUNS, (runs) => meansPower(sides, beforeRuns ?? runs, runs) >= chance);
}
