import { NotComputable } from '../platform/not-computable.ts';
import { placeOf, poissonAtLeast, poissonAtMost } from './chances.ts';
import { binomialTest } from './exact-test.ts';
import { clopperPearson, type Interval } from './shares.ts';

/** How often something happened in so many runs, hours or pieces. */
export interface Counted {
  count: number;
  runs: number;
}

/** @throws NotComputable  unless the count is whole, 0 or more, and the runs are more than 0 */
function checkCounted(name: string, { count, runs }: Counted): void {
  if (!Number.isSafeInteger(count) || count < 0) {
    throw new NotComputable(`${name}: a count of ${count} is none; a whole number of 0 or more is needed`);
  }
  if (!(runs > 0 && Number.isFinite(runs))) {
    throw new NotComputable(`${name}: counted in ${runs} runs; more than 0 are needed`);
  }
}

/**
 * Exact 95 % limits of a rate, in counts for one run.
 *
 * @throws NotComputable  a count that is none
 *
 * Source: F. Garwood, Fiducial limits for the Poisson distribution (1936).
 * Example: rateInterval({ count: 10, runs: 1 }) -> 4.795 to 18.39
 */
export function rateInterval(counted: Counted): Interval {
  checkCounted('a rate', counted);
  const { count, runs } = counted;
  const reach = 8 * Math.sqrt(count + 1) + 30;
  const low =
    count === 0
      ? 0
      : placeOf(0.025, Math.max(0, count - reach), count, (mean) => poissonAtLeast(count, mean));
  // the chance of so few falls with the mean
  const high = placeOf(-0.025, count, count + reach, (mean) => -poissonAtMost(count, mean));
  return { low: low / runs, high: high / runs };
}

/** Rates in counts for one run. */
export interface RateComparison {
  beforeRate: number;
  afterRate: number;
  /** after over before; null where there were none before */
  ratio: number | null;
  /** of the ratio; high is null where no limit can be given, both where nothing was counted */
  interval95: { low: number | null; high: number | null };
  pValue: number;
  source: string;
}

/**
 * Whether something happens more or less often: the ratio of two rates with exact 95 % limits, and how likely chance
 * alone would make one as far from 1.
 *
 * Given how many were counted in all, those after the change are binomial: each falls there with the chance that the
 * runs after have of all runs.
 *
 * @throws NotComputable  counts that are none, runs that are not more than 0
 *
 * Source: J. Przyborowski and H. Wilenski, Homogeneity of results in testing samples from Poisson series (1940), two-sided
 * by small p-values; limits of the ratio from those of Clopper and Pearson (1934).
 * Example: 11 in 800 and 21 in 3011 -> p 0.0797, before over after 1.971, 0.858 to 4.277
 */
export function rateComparison(before: Counted, after: Counted): RateComparison {
  checkCounted('before', before);
  checkCounted('after', after);
  const all = before.count + after.count;
  const [beforeRate, afterRate] = [before.count / before.runs, after.count / after.runs];
  // shares of the runs, by their ratio so that the sum of huge runs is never taken
  const [p, rest] = [1 / (1 + before.runs / after.runs), 1 / (1 + after.runs / before.runs)];
  const limits = all === 0 ? null : clopperPearson({ yes: after.count, of: all });
  const ratioAt = (share: number) => (share / (1 - share)) * (before.runs / after.runs);
  return {
    beforeRate,
    afterRate,
    ratio: before.count === 0 ? null : afterRate / beforeRate,
    interval95: {
      low: limits && ratioAt(limits.low),
      high: limits && before.count > 0 ? ratioAt(limits.high) : null,
    },
    pValue: all === 0 ? 1 : binomialTest(after.count, all, p, rest),
    source:
      'exact conditional test of two Poisson rates, two-sided by small p-values; interval of the ratio from Clopper and Pearson’s limits',
  };
}

/**
 * 95 % limits of the difference of two rates, after minus before, in counts for one run.
 *
 * @throws NotComputable  as rateComparison
 *
 * Source: G. Y. Zou and A. Donner, Construction of confidence limits about effect measures (2008), from the limits of
 * either rate (from memory); for shares the same is Newcombe's.
 */
export function rateDifferenceInterval(before: Counted, after: Counted): Interval {
  checkCounted('before', before);
  checkCounted('after', after);
  const [first, second] = [rateInterval(before), rateInterval(after)];
  const [beforeRate, afterRate] = [before.count / before.runs, after.count / after.runs];
  const difference = afterRate - beforeRate;
  return {
    low: difference - Math.hypot(afterRate - second.low, first.high - beforeRate),
    high: difference + Math.hypot(second.high - afterRate, beforeRate - first.low),
  };
}
