import { NotComputable } from '../platform/not-computable.ts';
import { binomialChance, tailFrom } from './chances.ts';

/** Chances that ought to be equal differ by rounding: those up to this much above the observed one count as equal. */
const SAME = 1 + 1e-7;

/** A distribution over whole numbers with one peak. */
interface OnePeak {
  from: number;
  to: number;
  peak: number;
  chance(x: number): number;
  /** chance(x + 1) / chance(x) */
  up(x: number): number;
}

/** The sum of all chances that are no larger than that of what was observed. */
function smallChances({ from, to, peak, chance, up }: OnePeak, observed: number): number {
  const least = chance(observed) * SAME;
  if (chance(peak) <= least) return 1;
  const upwards = (x: number) => (x > to ? 0 : tailFrom(chance(x), (i) => (x + i >= to ? 0 : up(x + i))));
  const downwards = (x: number) =>
    x < from ? 0 : tailFrom(chance(x), (i) => (x - i <= from ? 0 : 1 / up(x - i - 1)));
  // on the far side of the peak: the one nearest to it that is as unlikely
  let [inner, outer] = observed > peak ? [peak, from - 1] : [peak, to + 1];
  while (Math.abs(outer - inner) > 1) {
    const middle = Math.floor((inner + outer) / 2);
    if (chance(middle) <= least) outer = middle;
    else inner = middle;
  }
  const sum = observed > peak ? upwards(observed) + downwards(outer) : downwards(observed) + upwards(outer);
  return Math.min(1, sum);
}

/**
 * Two-sided p-value of x of n against a given chance: the sum of all outcomes no more likely than the observed one.
 *
 * @param rest  1 - p, given apart where it is known more exactly
 *
 * Source: the exact binomial test by the method of small p-values, common practice.
 * Example: binomialTest(682, 925, 0.75) -> 0.3825
 */
export function binomialTest(x: number, n: number, p: number, rest = 1 - p): number {
  const peak = Math.min(n, Math.max(0, Math.floor((n + 1) * p)));
  return smallChances(
    {
      from: 0,
      to: n,
      peak,
      chance: (at) => binomialChance(at, n, p, rest),
      up: (at) => ((n - at) / (at + 1)) * (p / rest),
    },
    x,
  );
}

/** So many of so many. */
export interface Share {
  yes: number;
  of: number;
}

/** @throws NotComputable  unless it is whole numbers, 0 <= yes <= of, of >= 1 */
export function checkShare(name: string, { yes, of }: Share): void {
  if (!Number.isSafeInteger(yes) || !Number.isSafeInteger(of) || of < 1 || yes < 0 || yes > of) {
    throw new NotComputable(
      `${name}: ${yes} of ${of} is no share; whole numbers are needed, 0 or more of 1 or more`,
    );
  }
}

/**
 * Two-sided p-value that two shares are the same, by Fisher's exact test.
 *
 * Given how many were yes in all, the sum of all outcomes no more likely than the observed one (the method of small
 * p-values). Counts up to 1e9 and more.
 *
 * @throws NotComputable  counts that are no shares
 *
 * Source: R. A. Fisher, The Design of Experiments (1935), chapter 2; two sides by small p-values, Fisher (1935) and
 * Freeman and Halton (1951).
 * Example: fisherTest({ yes: 3, of: 4 }, { yes: 1, of: 4 }) -> 34/70 = 0.4857
 */
export function fisherTest(first: Share, second: Share): number {
  checkShare('before', first);
  checkShare('after', second);
  const [m, n] = [first.of, second.of];
  const k = first.yes + second.yes;
  const all = m + n;
  if (k === 0 || k === all) return 1;
  const [p, rest] = [k / all, (all - k) / all];
  const whole = binomialChance(k, all, p, rest);
  const [from, to] = [Math.max(0, k - n), Math.min(k, m)];
  return smallChances(
    {
      from,
      to,
      peak: Math.min(to, Math.max(from, Math.floor(((k + 1) * (m + 1)) / (all + 2)))),
      // any p gives the same; this one keeps the factors large
      chance: (x) => (binomialChance(x, m, p, rest) / whole) * binomialChance(k - x, n, p, rest),
      up: (x) => ((m - x) * (k - x)) / ((x + 1) * (n - k + x + 1)),
    },
    first.yes,
  );
}
