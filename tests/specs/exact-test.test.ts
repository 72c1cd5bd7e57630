import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { binomialChance, poissonAtLeast, poissonAtMost, poissonChance } from '../../src/specs/chances.ts';
import { binomialTest, fisherTest } from '../../src/specs/exact-test.ts';
import { clopperPearson, shareComparison, wilsonInterval } from '../../src/specs/shares.ts';

fc.configureGlobal({ seed: 1935 });

const factorials = (upTo: number) => {
  const all = [1n];
  for (let n = 1n; n <= BigInt(upTo); n += 1n) all.push((all.at(-1) ?? 1n) * n);
  return all;
};
const FACTORIALS = factorials(120);
const choose = (n: number, k: number) =>
  (FACTORIALS[n] ?? 0n) / ((FACTORIALS[k] ?? 1n) * (FACTORIALS[n - k] ?? 1n));

/** The slow second way: every table with these sums, counted in whole numbers. */
function fisherByCounting(a: number, m: number, b: number, n: number): number {
  const k = a + b;
  const ways = (x: number) => choose(m, x) * choose(n, k - x);
  let [as, all] = [0n, 0n];
  for (let x = Math.max(0, k - n); x <= Math.min(k, m); x += 1) {
    all += ways(x);
    if (ways(x) <= ways(a)) as += ways(x);
  }
  return Number((as * 10n ** 20n) / all) / 1e20;
}

describe('fisherTest', () => {
  it('has the lady tasting tea: three of four and one of four', () => {
    // Fisher, The Design of Experiments (1935): of the 70 ways to pick four cups 1 + 16 on either side are as unlikely
    expect(fisherTest({ yes: 3, of: 4 }, { yes: 1, of: 4 })).toBeCloseTo(34 / 70, 12);
    expect(fisherTest({ yes: 4, of: 4 }, { yes: 0, of: 4 })).toBeCloseTo(2 / 70, 12);
  });

  it('has Fisher’s convicted twins', () => {
    // Fisher (1962), data of Lange: 10 of 13 and 2 of 17; the two-sided p-value as R's manual of fisher.test prints it
    expect(fisherTest({ yes: 10, of: 13 }, { yes: 2, of: 17 })).toBeCloseTo(0.0005367, 7);
  });

  const share = (most: number) =>
    fc
      .integer({ min: 1, max: most })
      .chain((of) => fc.record({ yes: fc.integer({ min: 0, max: of }), of: fc.constant(of) }));

  it('is what counting every table gives', () => {
    fc.assert(
      fc.property(share(60), share(60), (first, second) => {
        const counted = fisherByCounting(first.yes, first.of, second.yes, second.of);
        expect(fisherTest(first, second)).toBeCloseTo(counted, 10);
      }),
      { numRuns: 300 },
    );
  });

  it('does not change when sides or yes and no change places', () => {
    fc.assert(
      fc.property(share(100_000), share(100_000), (first, second) => {
        const p = fisherTest(first, second);
        const no = (one: { yes: number; of: number }) => ({ yes: one.of - one.yes, of: one.of });
        expect(p).toBeGreaterThanOrEqual(0);
        expect(p).toBeLessThanOrEqual(1);
        expect(fisherTest(second, first)).toBeCloseTo(p, 9);
        expect(fisherTest(no(first), no(second))).toBeCloseTo(p, 9);
      }),
    );
  });

  it('takes a thousand million on a side', () => {
    // so many that the normal approximation holds to six figures: z 0.9759, p 0.329119; scipy 1.17, norm.sf
    const first = { yes: 300_000_000, of: 1e9 };
    expect(fisherTest(first, { yes: 300_020_000, of: 1e9 })).toBeCloseTo(0.329119, 4);
    expect(fisherTest(first, { ...first })).toBe(1);
    expect(fisherTest(first, { yes: 310_000_000, of: 1e9 })).toBe(0);
  });

  it('refuses what is no share', () => {
    for (const bad of [
      { yes: 3, of: 2 },
      { yes: -1, of: 2 },
      { yes: 0, of: 0 },
      { yes: 0.5, of: 2 },
      { yes: Number.NaN, of: 2 },
    ]) {
      expect(() => fisherTest({ yes: 1, of: 2 }, bad)).toThrow('after: ');
      expect(() => wilsonInterval(bad)).toThrow('is no share');
      expect(() => clopperPearson(bad)).toThrow('is no share');
    }
  });
});

describe('binomialTest', () => {
  it('has Mendel’s giant plants', () => {
    // Conover, Practical Nonparametric Statistics (1971): 682 of 925 against 3/4; p as R's manual of binom.test prints it
    expect(binomialTest(682, 925, 0.75)).toBeCloseTo(0.3825, 4);
  });

  it('is what summing every outcome gives', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 60 }),
        fc.nat(),
        fc.integer({ min: 1, max: 99 }),
        (n, any, percent) => {
          const [x, p] = [any % (n + 1), percent / 100];
          const chance = (k: number) => Number(choose(n, k)) * p ** k * (1 - p) ** (n - k);
          let sum = 0;
          for (let k = 0; k <= n; k += 1) if (chance(k) <= chance(x) * (1 + 1e-7)) sum += chance(k);
          expect(binomialTest(x, n, p)).toBeCloseTo(Math.min(1, sum), 10);
        },
      ),
      { numRuns: 300 },
    );
  });
});

describe('chances', () => {
  it('add up to one, and keep their figures where counts are huge', () => {
    let sum = 0;
    for (let x = 0; x <= 50; x += 1) sum += binomialChance(x, 50, 0.13);
    expect(sum).toBeCloseTo(1, 13);
    // next to its mean a chance is 1 / sqrt(2 pi n p q), less 1/12 (1/np + 1/nq - 1/n) of it
    const height = 1 / Math.sqrt(2 * Math.PI * 1e9 * 0.21);
    expect(binomialChance(3e8, 1e9, 0.3) / height).toBeCloseTo(1, 8);
    expect(poissonChance(1e9, 1e9) * Math.sqrt(2 * Math.PI * 1e9)).toBeCloseTo(1, 9);
    expect(binomialChance(0, 1e9, 1e-9)).toBeCloseTo(Math.exp(-1), 9);
    expect([binomialChance(-1, 5, 0.5), binomialChance(6, 5, 0.5), binomialChance(0, 5, 0)]).toEqual([
      0, 0, 1,
    ]);
    expect(poissonAtLeast(7, 4.4) + poissonAtMost(6, 4.4)).toBeCloseTo(1, 13);
  });
});

describe('limits of a share', () => {
  // R. G. Newcombe, Two-sided confidence intervals for the single proportion (1998), table I: score method without
  // correction, and Clopper and Pearson
  it.each([
    [81, 263, 0.2553, 0.3662, 0.2527, 0.3676],
    [15, 148, 0.0624, 0.1605, 0.0578, 0.1617],
    [0, 20, 0, 0.1611, 0, 0.1684],
    [1, 29, 0.0061, 0.1718, 0.0009, 0.1776],
  ])('%d of %d', (yes, of, low, high, exactLow, exactHigh) => {
    const [wilson, exact] = [wilsonInterval({ yes, of }), clopperPearson({ yes, of })];
    expect(wilson.low).toBeCloseTo(low, 4);
    expect(wilson.high).toBeCloseTo(high, 4);
    expect(exact.low).toBeCloseTo(exactLow, 4);
    expect(exact.high).toBeCloseTo(exactHigh, 4);
  });

  it('are exact to ten figures where counts are huge', () => {
    // scipy 1.17, beta.ppf
    const exact = clopperPearson({ yes: 3e8, of: 1e9 });
    expect(exact.low).toBeCloseTo(0.2999715975023966, 11);
    expect(exact.high).toBeCloseTo(0.30002840365535277, 11);
    const rare = clopperPearson({ yes: 1, of: 1e9 });
    expect(rare.low / 2.531780798396938e-11).toBeCloseTo(1, 6);
    expect(rare.high / 5.571643429123389e-9).toBeCloseTo(1, 6);
  });

  it('leave 2.5 % on either side, and turn over with yes and no', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 500 }), fc.nat(), (of, any) => {
        const yes = any % (of + 1);
        const { low, high } = clopperPearson({ yes, of });
        const other = clopperPearson({ yes: of - yes, of });
        expect(low).toBeCloseTo(1 - other.high, 10);
        let tail = 0;
        for (let k = yes; k <= of; k += 1) tail += binomialChance(k, of, low);
        if (yes > 0) expect(tail).toBeCloseTo(0.025, 9);
        expect(high).toBeGreaterThanOrEqual(yes / of);
      }),
    );
  });
});

describe('shareComparison', () => {
  // R. G. Newcombe, Interval estimation for the difference between independent proportions (1998), table II, method 10
  it.each([
    [56, 70, 48, 80, 0.0524, 0.3339],
    [9, 10, 3, 10, 0.1705, 0.809],
    [6, 7, 2, 7, 0.0582, 0.8062],
    [5, 56, 0, 29, -0.0381, 0.1926],
    [0, 10, 0, 20, -0.1611, 0.2775],
    [0, 10, 0, 10, -0.2775, 0.2775],
    [10, 10, 0, 20, 0.6791, 1],
    [10, 10, 0, 10, 0.6075, 1],
  ])('has the limits of %d of %d less %d of %d', (a, m, b, n, low, high) => {
    const { interval95, difference } = shareComparison({ yes: b, of: n }, { yes: a, of: m });
    expect(difference).toBeCloseTo(a / m - b / n, 12);
    expect(interval95.low).toBeCloseTo(low, 4);
    expect(interval95.high).toBeCloseTo(high, 4);
    const back = shareComparison({ yes: a, of: m }, { yes: b, of: n });
    expect(back.interval95.low).toBeCloseTo(-interval95.high, 12);
  });
});
