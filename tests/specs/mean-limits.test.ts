import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { comparison } from '../../src/specs/comparison.ts';
import { meanWithLimits } from '../../src/specs/mean-limits.ts';

fc.configureGlobal({ seed: 1952 });

describe('meanWithLimits', () => {
  it('has the heat flow of the NIST handbook', () => {
    // NIST/SEMATECH e-Handbook, 1.3.5.2 (ZARR13.DAT), from memory: 195 values, mean 9.261460, deviation 0.022789, limits
    // 9.258242 and 9.264679; values are made that have this mean and deviation
    const any = Array.from({ length: 195 }, (_, at) => Math.sin(5 * at));
    const middle = any.reduce((sum, value) => sum + value, 0) / 195;
    const spread = Math.sqrt(any.reduce((sum, value) => sum + (value - middle) ** 2, 0) / 194);
    const answer = meanWithLimits(any.map((value) => 9.26146 + ((value - middle) / spread) * 0.022789));
    expect(answer.mean).toBeCloseTo(9.26146, 9);
    expect(answer.deviation).toBeCloseTo(0.022789, 9);
    expect(answer.interval95?.low).toBeCloseTo(9.258242, 5);
    expect(answer.interval95?.high).toBeCloseTo(9.264679, 5);
  });

  it('has the mean of levels by energy, and the spread of close ones as it is', () => {
    expect(meanWithLimits([80, 90], true).mean).toBeCloseTo(87.4036, 4);
    const close = [60, 60.1, 59.9, 60.05, 59.95];
    const [levels, plain] = [meanWithLimits(close, true), meanWithLimits(close)];
    expect(levels.deviation).toBeCloseTo(plain.deviation ?? 0, 3);
    expect(levels.interval95?.high).toBeCloseTo(plain.interval95?.high ?? 0, 2);
    expect(meanWithLimits([5000, 5001], true).mean).toBeCloseTo(5000.53, 2);
  });

  it('agrees with the comparison, in means and standard error', () => {
    const list = fc.array(fc.integer({ min: -100, max: 100 }), { minLength: 2, maxLength: 15 });
    fc.assert(
      fc.property(list, list, fc.boolean(), (before, after, levels) => {
        fc.pre(new Set(before).size > 1 && new Set(after).size > 1);
        const answer = comparison({ before, after, levels });
        const [first, second] = [meanWithLimits(before, levels), meanWithLimits(after, levels)];
        expect(first.mean).toBeCloseTo(answer.beforeMean, 9);
        expect(second.mean).toBeCloseTo(answer.afterMean, 9);
        const error = Math.hypot(
          (first.deviation ?? 0) / Math.sqrt(before.length),
          (second.deviation ?? 0) / Math.sqrt(after.length),
        );
        expect(error / answer.standardError).toBeCloseTo(1, 6);
      }),
    );
  });

  it('has no limits for one value, and no mean for none', () => {
    expect(meanWithLimits([4])).toEqual({ mean: 4, deviation: null, interval95: null });
    expect(() => meanWithLimits([])).toThrow('no value given');
    expect(() => meanWithLimits([1e300, -1e300])).toThrow('too large');
  });
});
