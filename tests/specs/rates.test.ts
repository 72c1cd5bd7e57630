import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { rateComparison, rateDifferenceInterval, rateInterval } from '../../src/specs/rates.ts';

fc.configureGlobal({ seed: 1940 });

describe('rateComparison', () => {
  it('has the published example of 11 in 800 and 21 in 3011', () => {
    // Lehmann and Romano, Testing Statistical Hypotheses (1986), page 197; figures as R's manual of poisson.test prints
    // them: p-value 0.07967, rate ratio 1.971488, 0.8584264 to 4.2772659
    const answer = rateComparison({ count: 21, runs: 1083 + 1050 + 878 }, { count: 11, runs: 800 });
    expect(answer.pValue).toBeCloseTo(0.07967, 5);
    expect(answer.ratio).toBeCloseTo(1.971488, 6);
    expect(answer.interval95.low).toBeCloseTo(0.8584264, 6);
    expect(answer.interval95.high).toBeCloseTo(4.2772659, 6);
  });

  const counted = fc.record({
    count: fc.integer({ min: 0, max: 300 }),
    runs: fc.integer({ min: 1, max: 1000 }),
  });

  it('turns over when the sides change places, and does not care for the unit of the runs', () => {
    fc.assert(
      fc.property(counted, counted, fc.constantFrom(1e-9, 0.01, 60, 1e12), (before, after, times) => {
        const there = rateComparison(before, after);
        const back = rateComparison(after, before);
        expect(back.pValue).toBeCloseTo(there.pValue, 9);
        if (there.interval95.low && there.interval95.high) {
          expect((back.interval95.high ?? 0) * there.interval95.low).toBeCloseTo(1, 8);
          expect((back.ratio ?? 0) * (there.ratio ?? 0)).toBeCloseTo(1, 10);
          expect(there.interval95.low).toBeLessThanOrEqual(there.ratio ?? 0);
        }
        const scaled = rateComparison(
          { ...before, runs: before.runs * times },
          { ...after, runs: after.runs * times },
        );
        expect(scaled.pValue).toBeCloseTo(there.pValue, 9);
        if (there.ratio) expect((scaled.ratio ?? 0) / there.ratio).toBeCloseTo(1, 10);
      }),
    );
  });

  it('says what it can where one side, or both, counted none', () => {
    const none = rateComparison({ count: 0, runs: 10 }, { count: 0, runs: 20 });
    expect(none).toMatchObject({ ratio: null, pValue: 1, interval95: { low: null, high: null } });
    const fewer = rateComparison({ count: 6, runs: 10 }, { count: 0, runs: 10 });
    expect(fewer.ratio).toBe(0);
    expect(fewer.interval95.low).toBe(0);
    // 0 of 6: the upper limit is 1 - 0.025^(1/6)
    const share = 1 - 0.025 ** (1 / 6);
    expect(fewer.interval95.high).toBeCloseTo(share / (1 - share), 9);
    expect(fewer.pValue).toBeCloseTo(2 / 64, 12);
    const more = rateComparison({ count: 0, runs: 10 }, { count: 6, runs: 10 });
    expect(more.ratio).toBeNull();
    expect(more.interval95.high).toBeNull();
    expect(more.interval95.low).toBeCloseTo((1 - share) / share, 9);
  });

  it('takes a thousand million counts', () => {
    // scipy 1.17, binomtest
    const answer = rateComparison({ count: 1e9, runs: 1e9 }, { count: 1e9 + 60_000, runs: 1e9 });
    expect(answer.pValue).toBeCloseTo(0.179726277, 8);
    expect(answer.interval95.low).toBeLessThan(1);
    expect(answer.interval95.high).toBeGreaterThan(1.0001);
  });

  it.each([
    [{ count: 1.5, runs: 10 }, 'before: a count of 1.5'],
    [{ count: -1, runs: 10 }, 'before: a count of -1'],
    [{ count: 1, runs: 0 }, 'before: counted in 0 runs'],
    [{ count: 1, runs: Number.NaN }, 'before: counted in NaN runs'],
  ])('refuses %j', (before, sentence) => {
    expect(() => rateComparison(before, { count: 1, runs: 1 })).toThrow(sentence);
  });
});

describe('rateDifferenceInterval', () => {
  it('turns over with the sides, holds the difference, and is that of normal values where counts are large', () => {
    const counted = fc.record({
      count: fc.integer({ min: 0, max: 300 }),
      runs: fc.integer({ min: 1, max: 1000 }),
    });
    fc.assert(
      fc.property(counted, counted, (before, after) => {
        const there = rateDifferenceInterval(before, after);
        const back = rateDifferenceInterval(after, before);
        expect(back.low).toBeCloseTo(-there.high, 9);
        const difference = after.count / after.runs - before.count / before.runs;
        expect(there.low).toBeLessThanOrEqual(difference);
        expect(there.high).toBeGreaterThanOrEqual(difference);
      }),
    );
    const { low, high } = rateDifferenceInterval({ count: 90_000, runs: 100 }, { count: 100_000, runs: 100 });
    expect((high - low) / 2 / (1.96 * Math.sqrt(19))).toBeCloseTo(1, 2);
    expect(() => rateDifferenceInterval({ count: 1, runs: 0 }, { count: 1, runs: 1 })).toThrow('before');
  });
});

describe('rateInterval', () => {
  // Garwood's table as it stands in Pearson and Hartley, Biometrika Tables for Statisticians (1954), table 40: 95 %
  it.each([
    [0, 0, 3.689],
    [1, 0.0253, 5.572],
    [2, 0.242, 7.225],
    [5, 1.623, 11.67],
    [10, 4.795, 18.39],
    [50, 37.11, 65.92],
  ])('of a count of %d', (count, low, high) => {
    const limits = rateInterval({ count, runs: 1 });
    expect(Math.abs(limits.low - low)).toBeLessThanOrEqual(0.006 * Math.max(0.1, low / 5));
    expect(Math.abs(limits.high - high)).toBeLessThanOrEqual(0.006);
    const ten = rateInterval({ count, runs: 10 });
    expect(ten.high).toBeCloseTo(limits.high / 10, 10);
  });

  it('is exact to ten figures where counts are huge', () => {
    // scipy 1.17, gamma.ppf
    const { low, high } = rateInterval({ count: 1e9, runs: 1e9 });
    expect(low).toBeCloseTo(0.999938021443928, 10);
    expect(high).toBeCloseTo(1.00006198145041, 10);
  });
});
