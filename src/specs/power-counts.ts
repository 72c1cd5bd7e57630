import { binomialChance, poissonChance } from './chances.ts';
import { normalPlace } from './normal-place.ts';
import { leastRuns, MOST_RUNS, TEST_LEVEL } from './power-means.ts';

/** Chances of whole numbers in a row, from their peak outwards; what is next to nothing lies outside. */
interface Chances {
  from: number;
  values: Float64Array;
}

/** @param up  chance(x + 1) / chance(x) */
function chancesFrom(
  peak: number,
  top: number,
  from: number,
  to: number,
  up: (x: number) => number,
): Chances {
  const values = new Float64Array(Math.max(0, to - from + 1));
  values[peak - from] = top;
  for (let x = peak; x < to; x += 1) values[x + 1 - from] = (values[x - from] ?? 0) * up(x);
  for (let x = peak; x > from; x -= 1) values[x - 1 - from] = (values[x - from] ?? 0) / up(x - 1);
  return { from, values };
}

/** Chances that differ by no more than rounding are equal. */
const same = (one: number, other: number) => Math.abs(one - other) <= 1e-7 * Math.max(one, other);

/**
 * The chance that a test at 5 % by small p-values finds nothing: the sum of the real chances of those outcomes that it
 * lets pass.
 *
 * @param still  the chances were nothing changed
 * @param real   the chance of an outcome as it is
 */
function missed({ from: first, values }: Chances, real: (x: number) => number): number {
  let [from, to] = [0, values.length - 1];
  // the least likely first, from both ends inwards; equal ones together
  for (let sum = 0; from <= to; ) {
    const [low, high] = [values[from] ?? 0, values[to] ?? 0];
    const both = from !== to && same(low, high);
    sum += both ? low + high : Math.min(low, high);
    if (sum > TEST_LEVEL) break;
    if (both || low < high) from += 1;
    if (both || low >= high) to -= 1;
  }
  let chance = 0;
  for (let at = from; at <= to; at += 1) chance += real(first + at);
  return chance;
}

/**
 * Chance that Fisher's test at 5 % finds a real difference of two shares, by summing over every outcome.
 *
 * @param beforeRuns, afterRuns  whole, 1 or more; the work grows with the product
 *
 * Source: the definition of power.
 */
export function fisherPower(
  beforeShare: number,
  beforeRuns: number,
  afterShare: number,
  afterRuns: number,
): number {
  const [m, n] = [beforeRuns, afterRuns];
  const binomial = (share: number, runs: number) =>
    Float64Array.from({ length: runs + 1 }, (_, yes) => binomialChance(yes, runs, share));
  const [first, second] = [binomial(beforeShare, m), binomial(afterShare, n)];
  let chance = 0;
  for (let all = 0; all <= m + n; all += 1) {
    const [from, to] = [Math.max(0, all - n), Math.min(all, m)];
    const peak = Math.min(to, Math.max(from, Math.floor(((all + 1) * (m + 1)) / (m + n + 2))));
    const share = all / (m + n);
    const top =
      (binomialChance(peak, m, share) / binomialChance(all, m + n, share)) *
      binomialChance(all - peak, n, share);
    const still = chancesFrom(
      peak,
      top,
      from,
      to,
      (x) => ((m - x) * (all - x)) / ((x + 1) * (n - all + x + 1)),
    );
    chance += missed(still, (x) => (first[x] ?? 0) * (second[all - x] ?? 0));
  }
  return Math.max(0, 1 - chance);
}

/**
 * Values on a side for two shares by the normal approximation with the correction that brings it near Fisher's test.
 *
 * Source: J. L. Fleiss, A. Tytun and H. K. Ury (1980), in Fleiss, Statistical Methods for Rates and Proportions (1981),
 * chapter 3, formulas 3.14 and 3.15. Example: 0.5 and 0.75 with chance 0.9 -> 85
 */
export function fleissRuns(beforeShare: number, afterShare: number, chance: number): number {
  const difference = Math.abs(afterShare - beforeShare);
  const mean = (beforeShare + afterShare) / 2;
  const root =
    normalPlace(1 - TEST_LEVEL / 2) * Math.sqrt(2 * mean * (1 - mean)) +
    normalPlace(chance) * Math.sqrt(beforeShare * (1 - beforeShare) + afterShare * (1 - afterShare));
  const plain = (root / difference) ** 2;
  return Math.ceil((plain / 4) * (1 + Math.sqrt(1 + 4 / (plain * difference))) ** 2 - 1e-9);
}

/** Up to so many on a side the power of Fisher's test is summed over every outcome; above, by a formula. */
const SUMMED = 120;
/** More than this after alone is not looked for. */
const MOST_AFTER = 2000;

/**
 * How many on each side so that Fisher's test at 5 % finds a real difference of two shares with this chance.
 *
 * Up to about 120 on a side by summed power, the smallest number near Fleiss's that has it (power goes up in steps with
 * small falls between); above by Fleiss's formula.
 *
 * @param beforeShare, afterShare  from 0 to 1
 * @returns  1 or more; null when more than 10,000 would be needed
 * Example: 0.2 and 0.9 with chance 0.8 -> 9
 */
export function sharesRunsNeeded(beforeShare: number, afterShare: number, chance: number): number | null {
  if (beforeShare === afterShare) return null;
  const about = fleissRuns(beforeShare, afterShare, chance);
  if (about > MOST_RUNS) return null;
  if (about > SUMMED) return about;
  const holds = (runs: number) => fisherPower(beforeShare, runs, afterShare, runs) >= chance;
  let runs = about;
  while (runs > 1 && holds(runs - 1)) runs -= 1;
  while (!holds(runs)) runs += 1;
  return runs;
}

/**
 * The same where no more can be tried before.
 *
 * @param beforeRuns  how many there are
 * @returns  of those after; null when more than 2,000 would be needed, undefined when there are too many before to sum
 */
export function sharesRunsAfter(
  beforeShare: number,
  beforeRuns: number,
  afterShare: number,
  chance: number,
): number | null | undefined {
  if (beforeRuns > SUMMED) return undefined;
  return leastRuns(1, MOST_AFTER, (runs) => fisherPower(beforeShare, beforeRuns, afterShare, runs) >= chance);
}

/** Means up to which the power for two rates is summed; above, by a formula. */
const SUMMED_MEAN = 400;

/** Binomial chances within ten standard deviations of their peak. */
function binomialChances(n: number, p: number): Chances {
  const peak = Math.min(n, Math.max(0, Math.floor((n + 1) * p)));
  const reach = Math.ceil(10 * Math.sqrt(n * p * (1 - p)) + 10);
  const odds = p / (1 - p);
  return chancesFrom(
    peak,
    binomialChance(peak, n, p),
    Math.max(0, peak - reach),
    Math.min(n, peak + reach),
    (x) => ((n - x) / (x + 1)) * odds,
  );
}

/**
 * Chance that the exact conditional test at 5 % finds that two rates differ, by summing over every outcome.
 *
 * @param beforeMean, afterMean  counts to be expected on either side
 * @param runsShare              of all runs those after; a half for as many on both sides
 *
 * Source: the definition of power.
 */
export function ratesPower(beforeMean: number, afterMean: number, runsShare = 0.5): number {
  const mean = beforeMean + afterMean;
  if (mean === 0) return 0;
  const reach = 7 * Math.sqrt(mean) + 10;
  const share = afterMean / mean;
  let chance = 0;
  let whole = 0;
  for (let all = Math.max(0, Math.floor(mean - reach)); all <= mean + reach; all += 1) {
    const weight = poissonChance(all, mean);
    whole += weight;
    if (share === 0 || share === 1) {
      chance += weight * missed(binomialChances(all, runsShare), (x) => (x === share * all ? 1 : 0));
      continue;
    }
    const real = binomialChances(all, share);
    chance += weight * missed(binomialChances(all, runsShare), (x) => real.values[x - real.from] ?? 0);
  }
  return Math.min(1, Math.max(0, whole - chance));
}

/** The smallest size for which it holds, to one in 200, sought around a guess; it must go on holding above. */
function leastSize(about: number, holds: (size: number) => boolean): number {
  let [no, yes] = [about / 2, about * 1.5];
  while (!holds(yes)) yes *= 1.5;
  while (holds(no)) no /= 2;
  while (yes - no > 0.005 * yes) {
    const middle = (no + yes) / 2;
    if (holds(middle)) yes = middle;
    else no = middle;
  }
  return yes;
}

/**
 * In how many runs on each side the counts must be taken so that the exact test of two rates at 5 % finds a real
 * difference with this chance.
 *
 * @param beforeRate, afterRate  counts for one run
 * @returns  runs on a side, not whole; null when the rates are equal
 *
 * Source: summed power; where more than 400 counts are to be expected, square roots of counts as normal values, common
 * practice.
 */
export function ratesRunsNeeded(beforeRate: number, afterRate: number, chance: number): number | null {
  const apart = Math.abs(Math.sqrt(beforeRate) - Math.sqrt(afterRate));
  if (!(apart > 0)) return null;
  const about = (normalPlace(1 - TEST_LEVEL / 2) + normalPlace(chance)) ** 2 / (2 * apart * apart);
  if (about * Math.max(beforeRate, afterRate) > SUMMED_MEAN) return about;
  return leastSize(about, (runs) => ratesPower(runs * beforeRate, runs * afterRate) >= chance);
}

/**
 * The same where no more can be counted before.
 *
 * @param beforeRuns  in how many it was counted
 * @returns  runs after; null when no number of them does, undefined when there are too many counts to sum
 */
export function ratesRunsAfter(
  beforeRate: number,
  beforeRuns: number,
  afterRate: number,
  chance: number,
): number | null | undefined {
  const beforeMean = beforeRate * beforeRuns;
  // as many counts, or as many runs, as are worth summing
  const most = Math.min(1000 * beforeRuns, (2 * SUMMED_MEAN) / Math.max(afterRate, 1e-300));
  if (beforeMean > SUMMED_MEAN || most < beforeRuns) return undefined;
  const holds = (runs: number) =>
    ratesPower(beforeMean, runs * afterRate, runs / (beforeRuns + runs)) >= chance;
  if (!holds(most)) return null;
  let [no, yes] = [0, most];
  while (yes - no > 0.005 * yes) {
    // most answers are small
    const middle = no === 0 ? yes / 4 : (no + yes) / 2;
    if (middle < beforeRuns / 1000) break;
    if (holds(middle)) yes = middle;
    else no = middle;
  }
  return yes;
}
