import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { comparison } from '../../src/specs/comparison.ts';
import { seededChance } from '../../src/specs/comparison-bootstrap.ts';
import { studentCritical, studentTails } from '../../src/specs/comparison-student.ts';

fc.configureGlobal({ seed: 1947 });

describe("comparison is Welch's test", () => {
  // the worked examples of Rosetta Code, "Welch's t-test" (p-values by R); the first two with t, degrees of freedom
  // and p in the Wikipedia article of the same name
  const EXAMPLES = [
    {
      before: [27.5, 21.0, 19.0, 23.6, 17.0, 17.9, 16.9, 20.1, 21.9, 22.6, 23.1, 19.6, 19.0, 21.7, 21.4],
      after: [27.1, 22.0, 20.8, 23.4, 23.4, 23.5, 25.8, 22.0, 24.8, 20.2, 21.9, 22.1, 22.9, 20.5, 24.4],
      pValue: 0.021378001462867,
      t: 2.46,
      freedom: 25,
    },
    {
      before: [17.2, 20.9, 22.6, 18.1, 21.7, 21.4, 23.5, 24.2, 14.7, 21.8],
      after: [
        21.5, 22.8, 21.0, 23.0, 21.6, 23.6, 22.5, 20.7, 23.4, 21.8, 20.7, 21.7, 21.5, 22.5, 23.6, 21.5, 22.5,
        23.5, 21.5, 21.8,
      ],
      pValue: 0.148841696605327,
      t: 1.57,
      freedom: 9.9,
    },
    {
      before: [19.8, 20.4, 19.6, 17.8, 18.5, 18.9, 18.3, 18.9, 19.5, 22.0],
      after: [
        28.2, 26.6, 20.1, 23.3, 25.2, 22.1, 17.7, 27.6, 20.6, 13.7, 23.2, 17.5, 20.6, 18.0, 23.9, 21.6, 24.3,
        20.4, 24.0, 13.2,
      ],
      pValue: 0.0359722710297968,
      t: 2.22,
      freedom: 24.5,
    },
    {
      before: [30.02, 29.99, 30.11, 29.97, 30.01, 29.99],
      after: [29.89, 29.93, 29.72, 29.98, 30.02, 29.98],
      pValue: 0.090773324285671,
      t: 1.959,
      freedom: 7.03,
    },
    { before: [3, 4, 1, 2.1], after: [490.2, 340, 433.9], pValue: 0.010751561149785, t: 9.56, freedom: 2 },
  ];

  it.each(EXAMPLES.map((example) => [example.pValue, example] as const))('p = %d', (pValue, example) => {
    const answer = comparison(example);
    expect(answer.pValue).toBeCloseTo(pValue, 10);
    expect(Math.abs(answer.difference / answer.standardError)).toBeCloseTo(example.t, 2);
    expect(Math.abs(answer.degreesOfFreedom - example.freedom)).toBeLessThan(0.06);
  });

  it('gives the interval of a published example', () => {
    // https://www.statscodes.com/tests-and-intervals/welchs-two-sample-t-tests-in-r/: data_x minus data_y by R
    const answer = comparison({
      before: [1.5, 6.4, 3.3, 5.8, 4.8, 7.2, 5.6, 4.5],
      after: [5.1, 2.0, 4.1, 6.2, 7.1, 8.3],
    });
    expect(answer.difference / answer.standardError).toBeCloseTo(0.51703, 5);
    expect(answer.degreesOfFreedom).toBeCloseTo(9.48, 2);
    expect(answer.pValue).toBeCloseTo(0.617, 3);
    expect(answer.interval95.low).toBeCloseTo(-1.93542, 5);
    expect(answer.interval95.high).toBeCloseTo(3.093754, 5);
  });

  it('has the sleep of Cushny and Peebles (1905), as Student (1908) printed it', () => {
    // extra hours by two drugs, taken as two groups; R's manual of t.test: t -1.8608, df 17.776, p 0.07939,
    // -3.3654832 to 0.2054832
    const answer = comparison({
      before: [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4],
      after: [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0],
    });
    expect(answer.beforeMean).toBeCloseTo(2.33, 12);
    expect(answer.afterMean).toBeCloseTo(0.75, 12);
    expect(answer.degreesOfFreedom).toBeCloseTo(17.776, 3);
    expect(answer.pValue).toBeCloseTo(0.07939, 5);
    expect(answer.interval95.low).toBeCloseTo(-3.3654832, 6);
    expect(answer.interval95.high).toBeCloseTo(0.2054832, 6);
  });

  it('has the fuel of 32 cars by gearbox', () => {
    // Henderson and Velleman, Building multiple regression models interactively (1981), miles per gallon; the test as
    // many textbooks print it: t -3.7671, df 18.332, p 0.001374, -11.280194 to -3.209684
    const answer = comparison({
      before: [21, 21, 22.8, 32.4, 30.4, 33.9, 27.3, 26, 30.4, 15.8, 19.7, 15, 21.4],
      after: [
        21.4, 18.7, 18.1, 14.3, 24.4, 22.8, 19.2, 17.8, 16.4, 17.3, 15.2, 10.4, 10.4, 14.7, 21.5, 15.5, 15.2,
        13.3, 19.2,
      ],
    });
    expect(answer.difference / answer.standardError).toBeCloseTo(-3.7671, 4);
    expect(answer.degreesOfFreedom).toBeCloseTo(18.332, 3);
    expect(answer.pValue).toBeCloseTo(0.001374, 6);
    expect(answer.interval95.low).toBeCloseTo(-11.280194, 6);
    expect(answer.interval95.high).toBeCloseTo(-3.209684, 6);
  });

  it('has the times of assembly of the NIST handbook', () => {
    // NIST/SEMATECH e-Handbook, 7.3.1, from memory: new 36.0909 (4.9082, n 11), old 32.2222 (2.5386, n 9), t 2.269 with 15.5
    // degrees of freedom; values are made that have these means and deviations
    const made = (mean: number, deviation: number, size: number) => {
      const any = Array.from({ length: size }, (_, at) => Math.sin(7 * at) + at / 5);
      const middle = any.reduce((sum, value) => sum + value, 0) / size;
      const spread = Math.sqrt(any.reduce((sum, value) => sum + (value - middle) ** 2, 0) / (size - 1));
      return any.map((value) => mean + ((value - middle) / spread) * deviation);
    };
    const answer = comparison({ before: made(32.2222, 2.5386, 9), after: made(36.0909, 4.9082, 11) });
    expect(answer.difference / answer.standardError).toBeCloseTo(2.269, 3);
    expect(answer.degreesOfFreedom).toBeCloseTo(15.53, 2);
  });

  it('does not care for the unit', () => {
    const list = fc.array(fc.integer({ min: -1000, max: 1000 }), { minLength: 3, maxLength: 20 });
    fc.assert(
      fc.property(list, list, fc.constantFrom(1e-9, 25.4, 1e9), (before, after, unit) => {
        fc.pre(new Set(before).size > 1 && new Set(after).size > 1);
        const plain = comparison({ before, after });
        const scaled = comparison({
          before: before.map((value) => value * unit),
          after: after.map((value) => value * unit),
        });
        expect(scaled.pValue).toBeCloseTo(plain.pValue, 9);
        expect(scaled.interval95.low / unit).toBeCloseTo(plain.interval95.low, 6);
      }),
    );
  });

  it('changes sign, and nothing else, when before and after change places', () => {
    const list = fc.array(fc.integer({ min: -1000, max: 1000 }), { minLength: 2, maxLength: 20 });
    fc.assert(
      fc.property(list, list, (before, after) => {
        fc.pre(new Set(before).size > 1 || new Set(after).size > 1);
        const [there, back] = [comparison({ before, after }), comparison({ before: after, after: before })];
        expect(back.difference).toBeCloseTo(-there.difference, 9);
        expect(back.pValue).toBeCloseTo(there.pValue, 9);
        expect(back.interval95.low).toBeCloseTo(-there.interval95.high, 6);
        // the limits leave 0 out just when the p-value is under 5 %
        const outside = there.interval95.low > 0 || there.interval95.high < 0;
        if (Math.abs(there.pValue - 0.05) > 1e-9) expect(outside).toBe(there.pValue < 0.05);
      }),
    );
  });

  it.each([
    [{ before: [1], after: [1, 2] }, 'before: 1 value given, at least 2 are needed'],
    [{ before: [1, 2], after: [] }, 'after: 0 value'],
    [{ before: [1, 1], after: [2, 2] }, 'no spread'],
    [{ before: [0.1, 0.1, 0.1], after: [0.3, 0.3] }, 'no spread'],
    [{ before: [1e300, -1e300], after: [1, 2] }, 'too large'],
    [{ before: [60, 60], after: [60, 60], levels: true }, 'no spread'],
    [{ before: [60, 61], after: [9000, 9001], levels: true }, 'too far to compare'],
  ])('refuses %j', (question, sentence) => {
    expect(() => comparison(question)).toThrow(sentence);
  });
});

describe('comparison of sound levels', () => {
  it('has means by energy', () => {
    // 10 log10((10^8 + 10^9) / 2) = 87.4036; and three levels averaged at https://mathgpt.today/problems/acoustics/
    // sound-level-equivalent: 72.33 dB
    const answer = comparison({ before: [80, 90], after: [72.78, 71.26, 72.77], levels: true });
    expect(answer.beforeMean).toBeCloseTo(87.4036, 4);
    expect(answer.afterMean).toBeCloseTo(72.33, 2);
    expect(answer.difference).toBeCloseTo(answer.afterMean - answer.beforeMean, 12);
  });

  const before = [71.2, 70.8, 72.4, 71.9, 70.1, 71.5, 72.0, 71.1];
  const after = [68.9, 69.4, 67.8, 68.2, 69.9, 68.5, 69.1, 68.0];

  it('is the same at every call, and does not care for the reference of the levels', () => {
    const one = comparison({ before, after, levels: true });
    expect(comparison({ before, after, levels: true })).toEqual(one);
    const louder = (levels: number[]) => levels.map((level) => level + 400);
    const other = comparison({ before: louder(before), after: louder(after), levels: true });
    expect(other.difference).toBeCloseTo(one.difference, 9);
    expect(other.interval95.low).toBeCloseTo(one.interval95.low, 9);
    expect(other.pValue).toBeCloseTo(one.pValue, 9);
  });

  it('has limits about those of Welch on the levels where they lie close together', () => {
    const byEnergy = comparison({ before, after, levels: true });
    const plain = comparison({ before, after });
    expect(byEnergy.difference).toBeCloseTo(plain.difference, 1);
    expect(byEnergy.standardError).toBeCloseTo(plain.standardError, 1);
    expect(byEnergy.interval95.low).toBeLessThan(byEnergy.difference);
    expect(byEnergy.interval95.high).toBeGreaterThan(byEnergy.difference);
    const widths = [byEnergy, plain].map(({ interval95 }) => interval95.high - interval95.low);
    // the percentile bootstrap of eight values is known to be a little narrow
    expect((widths[0] ?? 0) / (widths[1] ?? 1)).toBeGreaterThan(0.75);
    expect((widths[0] ?? 0) / (widths[1] ?? 1)).toBeLessThan(1.1);
  });

  it('bootstraps 95 % limits that hold a standard deviation as they should in large samples', () => {
    const chance = seededChance(5);
    const noise = () => Array.from({ length: 400 }, () => 60 + 2 * (chance() + chance() + chance() - 1.5));
    const answer = comparison({ before: noise(), after: noise(), levels: true });
    const width = answer.interval95.high - answer.interval95.low;
    expect(width / answer.standardError / 2).toBeCloseTo(1.96, 1);
  });
});

describe("Student's t", () => {
  // percentage points of the t distribution, NIST/SEMATECH e-Handbook, 1.3.6.7.2 (one side)
  it.each([
    [0.025, 1, 12.706],
    [0.025, 2, 4.303],
    [0.025, 5, 2.571],
    [0.025, 10, 2.228],
    [0.005, 10, 3.169],
    [0.05, 20, 1.725],
    [0.025, 30, 2.042],
    [0.001, 60, 3.232],
    [0.025, 100, 1.984],
  ])('%d on one side with %d degrees of freedom', (side, freedom, t) => {
    expect(studentCritical(2 * side, freedom)).toBeCloseTo(t, 3);
    expect(Math.abs(studentTails(t, freedom) - 2 * side)).toBeLessThan(2e-4 * Math.max(1, side * 20));
  });

  it('has the closed forms of one, two and three degrees of freedom', () => {
    for (const t of [0.01, 0.5, 1, 2.5, 10, 1000]) {
      expect(studentTails(t, 1) / (1 - (2 / Math.PI) * Math.atan(t))).toBeCloseTo(1, 9);
      const two = 1 - t / Math.sqrt(2 + t * t);
      if (t < 100) expect(studentTails(t, 2) / two).toBeCloseTo(1, 9);
      const x = t / Math.sqrt(3);
      const three = 1 - (2 / Math.PI) * (Math.atan(x) + x / (1 + x * x));
      if (t < 100) expect(studentTails(t, 3) / three).toBeCloseTo(1, 9);
    }
  });

  it('is the integral of its density for degrees of freedom that are not whole', () => {
    for (const [t, freedom] of [
      [0.3, 1.7],
      [2.1, 3.7],
      [1.2, 9.48],
      [3, 136.875],
      [1, 4000.5],
    ] as const) {
      // with t = tan(angle) sqrt(freedom) the density is cos^(freedom - 1); Simpson's rule over both parts
      const part = (from: number, to: number) => {
        const steps = 40_000;
        const width = (to - from) / steps;
        let sum = 0;
        for (let step = 0; step <= steps; step += 1) {
          const value = Math.max(0, Math.cos(from + step * width)) ** (freedom - 1);
          sum += (step === 0 || step === steps ? 1 : step % 2 ? 4 : 2) * value;
        }
        return (sum * width) / 3;
      };
      const angle = Math.atan(t / Math.sqrt(freedom));
      const [inner, outer] = [part(0, angle), part(angle, Math.PI / 2)];
      const tolerance = freedom < 2 ? 5 : 9;
      expect(studentTails(t, freedom)).toBeCloseTo(outer / (inner + outer), tolerance);
    }
  });

  it('agrees with a library of reference', () => {
    // @stdlib/stats-base-dists-t-cdf and -t-quantile 0.3
    expect(studentCritical(0.05, 10)).toBeCloseTo(2.2281388519862744, 10);
    expect(studentCritical(0.05, 3.7)).toBeCloseTo(2.8675207071911895, 10);
    expect(studentTails(40, 3.3) / 2 / 0.000007529443640899686).toBeCloseTo(1, 9);
  });

  it('comes near to the normal distribution, and is 0 at the far end', () => {
    expect(studentCritical(0.05, 40_000)).toBeCloseTo(1.96, 3);
    expect(studentTails(0, 5)).toBe(1);
    expect(studentTails(Number.POSITIVE_INFINITY, 5)).toBe(0);
  });
});
