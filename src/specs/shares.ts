import { binomialAtLeast, placeOf } from './chances.ts';
import { checkShare, fisherTest, type Share } from './exact-test.ts';

/** The value that a normal one leaves with 2.5 % on either side. */
export const Z_95 = 1.959963984540054;

export interface Interval {
  low: number;
  high: number;
}

/**
 * 95 % limits of a share by the score method, from 0 to 1.
 *
 * @throws NotComputable  counts that are no share
 *
 * Source: E. B. Wilson, Probable inference, the law of succession, and statistical inference (1927).
 * Example: wilsonInterval({ yes: 81, of: 263 }) -> 0.2553 to 0.3662
 */
export function wilsonInterval(share: Share): Interval {
  checkShare('a share', share);
  const { yes, of } = share;
  const square = Z_95 ** 2;
  const middle = 2 * yes + square;
  const reach = Z_95 * Math.sqrt(square + (4 * yes * (of - yes)) / of);
  const whole = 2 * (of + square);
  return {
    low: yes === 0 ? 0 : (middle - reach) / whole,
    high: yes === of ? 1 : (middle + reach) / whole,
  };
}

/**
 * Exact 95 % limits of a share, from 0 to 1: those that leave 2.5 % at most on either side.
 *
 * Counts up to 1e9 and more.
 *
 * @throws NotComputable  counts that are no share
 *
 * Source: C. J. Clopper and E. S. Pearson, The use of confidence or fiducial limits illustrated in the case of the
 * binomial (1934).
 * Example: clopperPearson({ yes: 81, of: 263 }) -> 0.2527 to 0.3676
 */
export function clopperPearson(share: Share): Interval {
  checkShare('a share', share);
  const { yes, of } = share;
  // the chance of so many or more grows with the share; on the way up to the share seen its sum is short
  const lowest = (count: number) => {
    const seen = count / of;
    const near = Math.max(0, seen - 8 * Math.sqrt((seen * (1 - seen)) / of) - 30 / of);
    return placeOf(0.025, near, seen, (p) => (p <= 0 ? 0 : p >= 1 ? 1 : binomialAtLeast(count, of, p)));
  };
  return {
    low: yes === 0 ? 0 : lowest(yes),
    high: yes === of ? 1 : 1 - lowest(of - yes),
  };
}

/** Shares from 0 to 1; difference is after minus before. */
export interface ShareComparison {
  beforeShare: number;
  afterShare: number;
  difference: number;
  interval95: Interval;
  pValue: number;
  source: string;
}

/**
 * Whether a share changed: the difference with its 95 % limits, and how likely chance alone would make one as large.
 *
 * The limits are Newcombe's hybrid of Wilson's limits for either share; the p-value is Fisher's. They follow different
 * rules, so that near 5 % one may leave out no difference and the other not.
 *
 * @throws NotComputable  counts that are no shares
 *
 * Source: R. G. Newcombe, Interval estimation for the difference between independent proportions (1998), method 10.
 * Example: 56 of 70 and 48 of 80 -> before minus after 0.2, 0.0524 to 0.3339
 */
export function shareComparison(before: Share, after: Share): ShareComparison {
  const pValue = fisherTest(before, after);
  const [first, second] = [wilsonInterval(before), wilsonInterval(after)];
  const [beforeShare, afterShare] = [before.yes / before.of, after.yes / after.of];
  const difference = afterShare - beforeShare;
  return {
    beforeShare,
    afterShare,
    difference,
    interval95: {
      low: difference - Math.hypot(afterShare - second.low, first.high - beforeShare),
      high: difference + Math.hypot(second.high - afterShare, beforeShare - first.low),
    },
    pValue,
    source:
      'Fisher’s exact test, two-sided by small p-values; interval by Newcombe (1998), method 10, from Wilson’s limits',
  };
}
