import { binomialChance, poissonChance, tailFrom } from './chances.ts';
import { normalPlace } from './normal-place.ts';
import { MOST_RUNS, TEST_LEVEL } from './power-means.ts';

/** Up to so many on a side the power of the exact test is summed over every outcome; above, by a formula. */
const SUMMED = 120;

/**
 * Chance that Fisher's test at 5 % finds a real difference of two shares, by summing over every outcome.
 *
 * @param runs  on either side, whole, 1 or more; the work grows with its square
 *
 * Source: the definition of power.
 */
export function fisherPower(beforeShare: number, afterShare: number, runs: number): number {
  const chances = (share: number) =>
    Float64Array.from({ length: runs + 1 }, (_, yes) => binomialChance(yes, runs, share));
  const [first, second] = [chances(beforeShare), chances(afterShare)];
  const cell = (yes: number, all: number) => (first[yes] ?? 0) * (second[all - yes] ?? 0);
  let power = 0;
  for (let all = 1; all < 2 * runs; all += 1) {
    // with as many on both sides the test is even: a p-value is twice its tail, summed from the end inwards
    let yes = Math.max(0, all - runs);
    const split = (at: number) => binomialChance(at, runs, all / (2 * runs));
    let chance = (split(yes) * split(all - yes)) / binomialChance(all, 2 * runs, all / (2 * runs));
    for (let tail = chance; 2 * yes < all && 2 * tail <= TEST_LEVEL; tail += chance) {
      power += cell(yes, all) + cell(all - yes, all);
      chance *= ((runs - yes) * (all - yes)) / ((yes + 1) * (runs - all + yes + 1));
      yes += 1;
    }
  }
  return power;
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
  const holds = (runs: number) => fisherPower(beforeShare, afterShare, runs) >= chance;
  let runs = about;
  while (runs > 1 && holds(runs - 1)) runs -= 1;
  while (!holds(runs)) runs += 1;
  return runs;
}

/** Means up to which the power for two rates is summed; above, by a formula. */
const SUMMED_MEAN = 400;

/**
 * Chance that the exact conditional test at 5 % finds that two rates differ, by summing over every outcome.
 *
 * @param beforeMean, afterMean  counts to be expected on either side, in equally many runs
 *
 * Source: the definition of power.
 */
export function ratesPower(beforeMean: number, afterMean: number): number {
  const mean = beforeMean + afterMean;
  if (mean === 0) return 0;
  const reach = 8 * Math.sqrt(mean) + 10;
  const share = afterMean / mean;
  const odds = afterMean / beforeMean;
  let power = 0;
  for (let all = Math.max(1, Math.floor(mean - reach)); all <= mean + reach; all += 1) {
    const limit = lowestFound(all);
    if (limit < 0) continue;
    if (beforeMean === 0 || afterMean === 0) {
      power += poissonChance(all, mean);
      continue;
    }
    // from the limit outwards on both sides
    const below = tailFrom(
      binomialChance(limit, all, share),
      (i) => (limit - i) / (all - limit + i + 1) / odds,
    );
    const above = tailFrom(
      binomialChance(all - limit, all, share),
      (i) => ((limit - i) / (all - limit + i + 1)) * odds,
    );
    power += poissonChance(all, mean) * (below + above);
  }
  return Math.min(1, power);
}

/** The largest count of the smaller side that the exact test at even odds calls a difference; -1 for none. */
function lowestFound(all: number): number {
  // what lies further out than 20 standard deviations is nothing, and would be lost as such
  let count = Math.max(0, Math.floor(all / 2 - 10 * Math.sqrt(all)));
  let chance = binomialChance(count, all, 0.5);
  // even odds: a p-value is twice its tail
  for (let tail = chance; 2 * count < all && 2 * tail <= TEST_LEVEL; tail += chance) {
    chance *= (all - count) / (count + 1);
    count += 1;
  }
  return count - 1;
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
  let [no, yes] = [about / 2, about * 1.5];
  while (ratesPower(yes * beforeRate, yes * afterRate) < chance) yes *= 1.5;
  while (ratesPower(no * beforeRate, no * afterRate) >= chance) no /= 2;
  while (yes - no > 0.002 * yes) {
    const middle = (no + yes) / 2;
    if (ratesPower(middle * beforeRate, middle * afterRate) >= chance) yes = middle;
    else no = middle;
  }
  return yes;
}
