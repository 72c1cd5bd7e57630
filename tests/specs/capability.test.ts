import { describe, expect, it } from 'vitest';
import { capability, FEWEST_VALUES, placeWithin } from '../../src/specs/capability.ts';
import { AMPLIFIERS } from '../checks/capability.ts';

/** Values with exactly this mean and standard deviation: half of them one step below, half one step above. */
function valuesWith(mean: number, deviation: number, count: number): number[] {
  const step = deviation * Math.sqrt((count - 1) / count);
  return Array.from({ length: count }, (_, index) => mean + (index % 2 ? step : -step));
}

describe('capability', () => {
  it('gives the published Cpk interval of 75 amplifiers', () => {
    const answer = capability({ values: AMPLIFIERS, lower: 4, upper: 6, confidence: 0.9 })!;
    expect(answer.count).toBe(75);
    expect(answer.interval!.low).toBeCloseTo(0.328, 3);
    expect(answer.interval!.high).toBeCloseTo(0.496, 3);
    expect(answer.outside).toBe(AMPLIFIERS.filter((value) => value < 4 || value > 6).length);
  });

  it('gives Cp, Cpk and k of the example in the NIST/SEMATECH e-Handbook, 6.1.6 (figures from memory)', () => {
    // limits 8 and 20, mean 16, standard deviation 2: Cp is 1, k a third, Cpk 0.6667
    const answer = capability({ values: valuesWith(16, 2, 50), lower: 8, upper: 20 })!;
    expect(answer.mean).toBeCloseTo(16, 10);
    expect(answer.deviation).toBeCloseTo(2, 10);
    expect(answer.cp).toBeCloseTo(1, 10);
    expect(answer.cpk).toBeCloseTo(0.6667, 4);
    expect(answer.shift).toBeCloseTo(2, 10);
    expect(answer.shiftShare).toBeCloseTo(1 / 3, 10);
  });

  it('takes limits on one side alone, without a middle', () => {
    const values = valuesWith(5, 1, 20);
    expect(capability({ values, lower: null, upper: 8 })).toMatchObject({
      cp: null,
      shift: null,
      shiftShare: null,
    });
    expect(capability({ values, lower: null, upper: 8 })!.cpk).toBeCloseTo(1, 10);
    expect(capability({ values, lower: 2, upper: null })!.cpk).toBeCloseTo(1, 10);
  });

  it('is below zero when the mean lies outside', () => {
    expect(capability({ values: valuesWith(11, 1, 10), lower: 0, upper: 10 })!.cpk).toBeCloseTo(-1 / 3, 10);
  });

  it('says nothing under eight values, and no Cpk where all are alike', () => {
    expect(FEWEST_VALUES).toBe(8);
    expect(capability({ values: valuesWith(5, 1, 7), lower: 0, upper: 10 })).toBeNull();
    expect(capability({ values: [], lower: 0, upper: 10 })).toBeNull();
    expect(capability({ values: Array(9).fill(25.01), lower: 25, upper: 25.021 })).toMatchObject({
      cp: null,
      cpk: null,
      interval: null,
      deviation: 0,
      outside: 0,
    });
  });

  it('is the same in another unit and around another middle', () => {
    const values = AMPLIFIERS.map((value) => value * 25.4 + 1000);
    const one = capability({ values: AMPLIFIERS, lower: 4, upper: 6 })!;
    const other = capability({ values, lower: 4 * 25.4 + 1000, upper: 6 * 25.4 + 1000 })!;
    expect(other.cpk).toBeCloseTo(one.cpk!, 9);
    expect(other.shiftShare).toBeCloseTo(one.shiftShare!, 9);
  });

  it('narrows with more values and widens with more confidence', () => {
    const width = (count: number, confidence: number) => {
      const { low, high } = capability({ values: valuesWith(5, 1, count), lower: 0, upper: 10, confidence })!
        .interval!;
      return high - low;
    };
    expect(width(100, 0.95)).toBeLessThan(width(10, 0.95));
    expect(width(10, 0.99)).toBeGreaterThan(width(10, 0.95));
    // z of 0.95 is 1.959964 (any table of the normal distribution)
    const cpk = 5 / 3;
    expect(width(10, 0.95) / 2).toBeCloseTo(1.959964 * Math.sqrt(1 / 90 + cpk ** 2 / 18), 5);
  });

  it('refuses what makes no sense', () => {
    const values = valuesWith(5, 1, 8);
    expect(() => capability({ values, lower: null, upper: null })).toThrow('a limit on one side');
    expect(() => capability({ values, lower: 5, upper: 5 })).toThrow('not below');
    expect(() => capability({ values: [...values, Number.NaN], lower: 0, upper: 1 })).toThrow('a number');
    expect(() => capability({ values, lower: 0, upper: 1, confidence: 1 })).toThrow('between 0 and 1');
  });
});

describe('placeWithin', () => {
  it('is -1 on the lower limit, 0 in the middle, 1 on the upper one', () => {
    const limits = { lowerLimit: 25, upperLimit: 25.02 };
    expect([25, 25.01, 25.02].map((value) => placeWithin(value, limits))).toEqual([
      expect.closeTo(-1, 9),
      expect.closeTo(0, 9),
      expect.closeTo(1, 9),
    ]);
  });
});
