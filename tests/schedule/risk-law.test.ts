import { describe, expect, it } from 'vitest';
import { durationLaws, type RiskDistribution } from '../../src/schedule/risk-law.ts';
import { fillUniform } from '../../src/schedule/risk-random.ts';

const law = (distribution: RiskDistribution, optimistic: number, likely: number, pessimistic: number) => {
  const fill = durationLaws()(distribution, optimistic, likely, pessimistic);
  return (...probabilities: number[]) => {
    const days = new Float64Array(probabilities.length);
    fill(
      Uint32Array.from(probabilities, (probability) => Math.floor(probability * 2 ** 32)),
      days,
    );
    return days;
  };
};

describe('durationLaws, betaPert', () => {
  const probabilities = [1e-6, 1e-4, 0.01, 0.1, 0.25, 0.5, 0.75, 0.9, 0.99, 0.9999, 1 - 1e-6];

  // inverse of Beta(a, 6 - a) at these probabilities: computed with SciPy 1.17.1, scipy.stats.beta.ppf
  it.each<[number, number[]]>([
    [
      1,
      [
        0.0000002, 0.00002, 0.00200805, 0.02085164, 0.05591249, 0.12944944, 0.24214172, 0.36904266,
        0.60189283, 0.84151068, 0.93690427,
      ],
    ],
    [
      1.4,
      [
        0.00001262, 0.00033874, 0.00920914, 0.05079278, 0.10640532, 0.20266485, 0.33100396, 0.46232975,
        0.68203902, 0.88522208, 0.95805729,
      ],
    ],
    [
      2,
      [
        0.00031633, 0.00317233, 0.03268211, 0.11223496, 0.19376361, 0.31381017, 0.45418056, 0.58389037,
        0.77792772, 0.93218692, 0.97876178,
      ],
    ],
    [
      3,
      [
        0.00465242, 0.0217821, 0.10563984, 0.24663645, 0.35943616, 0.5, 0.64056384, 0.75336355, 0.89436016,
        0.9782179, 0.99534758,
      ],
    ],
    [
      3.7,
      [
        0.01437019, 0.05040145, 0.18213477, 0.36140555, 0.4876734, 0.63039198, 0.75884037, 0.85124117,
        0.94981446, 0.993465, 0.99912165,
      ],
    ],
    [
      4.25,
      [
        0.02858327, 0.08518913, 0.25915813, 0.46458957, 0.59592296, 0.73260153, 0.84397734, 0.91540939,
        0.97898412, 0.9985222, 0.99989382,
      ],
    ],
    [
      5,
      [
        0.06309573, 0.15848932, 0.39810717, 0.63095734, 0.75785828, 0.87055056, 0.94408751, 0.97914836,
        0.99799195, 0.99998, 0.9999998,
      ],
    ],
  ])('is the inverse of Beta(%d, 6 - it)', (alpha, expected) => {
    const peak = (alpha - 1) / 4;
    const days = law('betaPert', 0, peak, 1)(...probabilities);
    for (const [k, value] of days.entries()) {
      const probability = probabilities[k]!;
      const isTail = Math.min(probability, 1 - probability) < 2 ** -13;
      expect(Math.abs(value - expected[k]!), `at ${probability}`).toBeLessThan(isTail ? 5e-5 : 1e-6);
    }
  });

  it.each([0, 0.03, 0.25, 0.5, 0.77, 1])(
    'has its mean and variance with likely at %d of the range',
    (peak) => {
      const count = 2 ** 16;
      const days = law(
        'betaPert',
        10,
        10 + 20 * peak,
        30,
      )(...Array.from({ length: count }, (_, k) => (k + 0.5) / count));
      const mean = days.reduce((sum, value) => sum + value, 0) / count;
      const variance = days.reduce((sum, value) => sum + (value - mean) ** 2, 0) / count;
      const expected = (10 + 4 * (10 + 20 * peak) + 30) / 6;
      expect(mean).toBeCloseTo(expected, 3);
      expect(variance).toBeCloseTo(((expected - 10) * (30 - expected)) / 7, 2);
    },
  );

  it.each([0, 1e-9, 0.2, 0.5, 0.999, 1])(
    'rises with its number over all of the range, likely at %d',
    (peak) => {
      const probabilities = Array.from({ length: 20_001 }, (_, k) => Math.min(k / 20_000, 1 - 2 ** -32));
      const ends = Array.from({ length: 40 }, (_, k) => 2 ** -(32 - k / 2));
      const all = [...probabilities, ...ends, ...ends.map((end) => 1 - end)].sort(
        (one, other) => one - other,
      );
      const days = law('betaPert', 0, peak, 1)(...all);
      for (let k = 1; k < days.length; k++) expect(days[k]! - days[k - 1]!).toBeGreaterThanOrEqual(0);
      expect(days[0]).toBeGreaterThanOrEqual(0);
      expect(days.at(-1)).toBeLessThanOrEqual(1);
    },
  );
});

describe('durationLaws, triangular', () => {
  it('is the inverse of the triangular law', () => {
    // F(x) = (x - a)^2 / ((b - a) (m - a)) below the peak, 1 - (b - x)^2 / ((b - a) (b - m)) above it
    const [a, m, b] = [2, 5, 11];
    const at = (x: number) =>
      x <= m ? (x - a) ** 2 / ((b - a) * (m - a)) : 1 - (b - x) ** 2 / ((b - a) * (b - m));
    const wanted = [2.1, 3, 4.9, 5, 5.1, 8, 10.9];
    const days = law('triangular', a, m, b)(...wanted.map(at));
    for (const [k, value] of days.entries()) expect(value).toBeCloseTo(wanted[k]!, 6);
  });

  it.each([
    [3, 3, 9],
    [3, 9, 9],
    [0, 4, 6],
  ])('has its mean and variance for %d, %d, %d', (a, m, b) => {
    const count = 2 ** 16;
    const days = law('triangular', a, m, b)(...Array.from({ length: count }, (_, k) => (k + 0.5) / count));
    const mean = days.reduce((sum, value) => sum + value, 0) / count;
    const variance = days.reduce((sum, value) => sum + (value - mean) ** 2, 0) / count;
    expect(mean).toBeCloseTo((a + m + b) / 3, 4);
    expect(variance).toBeCloseTo((a * a + m * m + b * b - a * m - a * b - m * b) / 18, 4);
  });
});

it.each(['betaPert', 'triangular'] as const)(
  'durationLaws, %s, gives the one duration there is',
  (distribution) => {
    expect([...law(distribution, 4, 4, 4)(0, 0.3, 1 - 2 ** -32)]).toEqual([4, 4, 4]);
  },
);

describe('fillUniform', () => {
  const stream = (seed: number, activity: number, block: number, length = 4096) => {
    const numbers = new Uint32Array(length);
    fillUniform(numbers, seed, activity, block);
    return Float64Array.from(numbers, (number) => (number + 0.5) / 2 ** 32);
  };
  const correlation = (one: Float64Array, other: Float64Array) => {
    const products = one.reduce((sum, value, k) => sum + (value - 0.5) * (other[k]! - 0.5), 0);
    return (12 * products) / one.length;
  };

  it('gives the same numbers for the same stream, however many are asked for', () => {
    expect(stream(1, 2, 3, 100)).toEqual(stream(1, 2, 3).slice(0, 100));
  });

  it('spreads evenly: 64 parts by chi-square, for many streams together', () => {
    const parts = new Float64Array(64);
    for (let activity = 0; activity < 100; activity++) {
      for (const value of stream(1, activity, 0)) parts[Math.floor(value * 64)]!++;
    }
    const expected = (100 * 4096) / 64;
    const chiSquare = parts.reduce((sum, count) => sum + (count - expected) ** 2 / expected, 0);
    // 63 degrees of freedom: 0.1 % lie above 103.4 and 0.1 % below 32.9 (chi-square table, from memory)
    expect(chiSquare).toBeGreaterThan(32.9);
    expect(chiSquare).toBeLessThan(103.4);
  });

  it('has neighbouring seeds, activities and blocks unlike one another', () => {
    const base = stream(1, 5, 7);
    for (const other of [
      stream(2, 5, 7),
      stream(1, 6, 7),
      stream(1, 5, 8),
      stream(1, 7, 5),
      stream(5, 1, 7),
    ]) {
      // standard error of a correlation of 4,096 values: 0.0156
      expect(Math.abs(correlation(base, other))).toBeLessThan(0.06);
    }
    const later = stream(1, 5, 7, 4097).slice(1);
    expect(Math.abs(correlation(base, later))).toBeLessThan(0.06);
  });
});
