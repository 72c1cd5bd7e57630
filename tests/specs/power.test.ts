import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { binomialChance, poissonChance } from '../../src/specs/chances.ts';
import { comparison } from '../../src/specs/comparison.ts';
import { seededChance } from '../../src/specs/comparison-bootstrap.ts';
import { binomialTest, fisherTest } from '../../src/specs/exact-test.ts';
import { normalPlace } from '../../src/specs/normal-place.ts';
import {
  fisherPower,
  fleissRuns,
  ratesPower,
  ratesRunsAfter,
  ratesRunsNeeded,
  sharesRunsAfter,
  sharesRunsNeeded,
} from '../../src/specs/power-counts.ts';
import { MOST_RUNS, meansPower, meansRunsNeeded, shiftedStudentBeyond } from '../../src/specs/power-means.ts';

fc.configureGlobal({ seed: 1988 });

const alike = (difference: number) => ({ difference, beforeDeviation: 1, afterDeviation: 1 });

describe('meansRunsNeeded', () => {
  // Cohen, Statistical Power Analysis for the Behavioral Sciences (1988), table 2.4.1, two-sided 5 %: 393, 64, 26 for
  // 0.80 and 526, 85, 34 for 0.90; his approximation lies one below the exact value in the large ones
  it.each([
    [0.2, 0.8, 393],
    [0.5, 0.8, 64],
    [0.8, 0.8, 26],
    [0.2, 0.9, 526],
    [0.5, 0.9, 85],
    [0.8, 0.9, 34],
  ])('a difference of %d deviations with chance %d', (difference, chance, table) => {
    const needed = meansRunsNeeded(alike(difference), chance) ?? 0;
    expect(needed).toBeGreaterThanOrEqual(table);
    expect(needed).toBeLessThanOrEqual(table + 1);
    expect(meansPower(alike(difference), needed, needed)).toBeGreaterThanOrEqual(chance);
    expect(meansPower(alike(difference), needed - 1, needed - 1)).toBeLessThan(chance);
  });

  it('has the power and the size of a published worked example', () => {
    // R's manual of power.t.test: n 20, delta 1, sd 1 -> 0.8689528; power 0.90, delta 1 -> n 22.02110
    expect(meansPower(alike(1), 20, 20)).toBeCloseTo(0.8689528, 6);
    expect(meansRunsNeeded(alike(1), 0.9)).toBe(23);
  });

  it('does not care for the unit, grows as the difference shrinks, and gives up in the end', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.1, max: 5, noNaN: true }), fc.constantFrom(1e-6, 3, 1e6), (d, unit) => {
        const needed = meansRunsNeeded(alike(d), 0.8);
        const scaled = { difference: -d * unit, beforeDeviation: unit, afterDeviation: unit };
        expect(meansRunsNeeded(scaled, 0.8)).toBe(needed);
        expect(meansRunsNeeded(alike(d / 1.2), 0.8)).toBeGreaterThanOrEqual(needed ?? 0);
      }),
      { numRuns: 30 },
    );
    expect(meansRunsNeeded(alike(0), 0.8)).toBeNull();
    expect(meansRunsNeeded(alike(0.01), 0.8)).toBeNull();
    expect(meansPower(alike(0.01), MOST_RUNS, MOST_RUNS)).toBeLessThan(0.8);
  });

  it('knows that the values after alone may never do', () => {
    const sides = { difference: 1, beforeDeviation: 1, afterDeviation: 2 };
    expect(meansRunsNeeded(sides, 0.8, 5)).toBeNull();
    expect(meansRunsNeeded(sides, 0.8, 20)).toBeGreaterThan(meansRunsNeeded(sides, 0.8) ?? 0);
  });

  it('is borne out by trials drawn at random', () => {
    const chance = seededChance(11);
    const draw = () => normalPlace(Math.min(1 - 1e-12, Math.max(1e-12, chance())));
    const sides = { difference: 1.4, beforeDeviation: 1, afterDeviation: 2 };
    const runs = 400;
    let found = 0;
    for (let run = 0; run < runs; run += 1) {
      const before = Array.from({ length: 12 }, draw);
      const after = Array.from({ length: 12 }, () => 1.4 + 2 * draw());
      if (comparison({ before, after }).pValue < 0.05) found += 1;
    }
    // within three standard errors
    expect(Math.abs(found / runs - meansPower(sides, 12, 12))).toBeLessThan(0.075);
  });

  it('shifts Student’s t as a library of reference does', () => {
    // scipy 1.17, nct.sf + nct.cdf
    expect(shiftedStudentBeyond(2, 1, 1)).toBeCloseTo(0.40897691709801365, 6);
    expect(shiftedStudentBeyond(2, 1, 1.5)).toBeCloseTo(0.3462352401004246, 5);
    expect(shiftedStudentBeyond(8, 1.5, 1.28)).toBeCloseTo(0.10726065050212882, 5);
    expect(shiftedStudentBeyond(2.2, 3, 3.7)).toBeCloseTo(0.7736128737770434, 6);
    expect(shiftedStudentBeyond(1.96, 2.8, 5000)).toBeCloseTo(0.799529030462855, 9);
  });
});

describe('sharesRunsNeeded', () => {
  it('has Fleiss’s size of a published example', () => {
    // Fleiss, Statistical Methods for Rates and Proportions (1981), table A.3 (from memory): 0.50 and 0.75, 5 %, 0.90 -> 85;
    // R's manual of power.prop.test has 76.7 for the same before the correction
    expect(fleissRuns(0.5, 0.75, 0.9)).toBe(85);
  });

  it('sums the power that counting every outcome gives', () => {
    for (const [first, second, runs] of [
      [0.2, 0.9, 10],
      [0.7, 1, 20],
      [0.3, 0.3, 15],
      [0.05, 0.4, 23],
    ] as const) {
      let power = 0;
      for (let a = 0; a <= runs; a += 1) {
        for (let b = 0; b <= runs; b += 1) {
          if (fisherTest({ yes: a, of: runs }, { yes: b, of: runs }) <= 0.05) {
            power += binomialChance(a, runs, first) * binomialChance(b, runs, second);
          }
        }
      }
      expect(fisherPower(first, runs, second, runs)).toBeCloseTo(power, 10);
    }
  });

  it('gives a number that has the chance, near Fleiss’s', () => {
    const share = fc.integer({ min: 0, max: 20 }).map((twentieths) => twentieths / 20);
    fc.assert(
      fc.property(share, share, (first, second) => {
        fc.pre(Math.abs(first - second) > 0.24);
        const needed = sharesRunsNeeded(first, second, 0.8) ?? 0;
        expect(fisherPower(first, needed, second, needed)).toBeGreaterThanOrEqual(0.8);
        expect(Math.abs(needed - fleissRuns(first, second, 0.8))).toBeLessThanOrEqual(8);
        expect(sharesRunsNeeded(second, first, 0.8)).toBe(needed);
      }),
      { numRuns: 60 },
    );
    expect(sharesRunsNeeded(0.4, 0.4, 0.8)).toBeNull();
    expect(sharesRunsNeeded(0.5, 0.501, 0.8)).toBeNull();
    expect(sharesRunsNeeded(0, 1, 0.9)).toBe(4);
  });
});

describe('sharesRunsAfter', () => {
  it('sums the power that counting every outcome gives, with unlike numbers', () => {
    for (const [first, before, second, after] of [
      [0.6, 10, 1, 16],
      [0.2, 7, 0.5, 30],
    ] as const) {
      let power = 0;
      for (let a = 0; a <= before; a += 1) {
        for (let b = 0; b <= after; b += 1) {
          if (fisherTest({ yes: a, of: before }, { yes: b, of: after }) <= 0.05) {
            power += binomialChance(a, before, first) * binomialChance(b, after, second);
          }
        }
      }
      expect(fisherPower(first, before, second, after)).toBeCloseTo(power, 10);
    }
  });

  it('is enough, and says when no number is', () => {
    const runs = sharesRunsAfter(0.6, 10, 1, 0.8) ?? 0;
    expect(fisherPower(0.6, 10, 1, runs)).toBeGreaterThanOrEqual(0.8);
    expect(sharesRunsAfter(0.6, 10, 0.9, 0.8)).toBeNull();
    expect(sharesRunsAfter(0.6, 1000, 0.9, 0.8)).toBeUndefined();
  });
});

describe('ratesRunsNeeded', () => {
  it('sums the power that counting every outcome gives', () => {
    for (const [before, after] of [
      [5, 20],
      [12, 3],
      [9, 0],
    ] as const) {
      let power = 0;
      for (let a = 0; a < 60; a += 1) {
        for (let b = 0; b < 60; b += 1) {
          if (a + b > 0 && binomialTest(b, a + b, 0.5) <= 0.05) {
            power += poissonChance(a, before) * poissonChance(b, after);
          }
        }
      }
      expect(ratesPower(before, after)).toBeCloseTo(power, 9);
      expect(ratesPower(after, before)).toBeCloseTo(power, 9);
    }
  });

  it('gives runs that have the chance, and joins the formula for large counts', () => {
    for (const [before, after] of [
      [0.035, 0.01],
      [1, 2],
      [3, 0],
    ] as const) {
      const runs = ratesRunsNeeded(before, after, 0.8) ?? 0;
      expect(ratesPower(before * runs, after * runs)).toBeGreaterThanOrEqual(0.8);
      expect(ratesPower(before * runs * 0.98, after * runs * 0.98)).toBeLessThan(0.8);
    }
    // (1.96 + 0.8416)^2 / (2 (sqrt 110 - sqrt 100)^2)
    expect(ratesRunsNeeded(100, 110, 0.8)).toBeCloseTo(16.47, 2);
    expect(ratesPower(100 * 16.47, 110 * 16.47)).toBeCloseTo(0.8, 2);
    expect(ratesRunsNeeded(2, 2, 0.8)).toBeNull();
    expect(ratesRunsNeeded(0, 0, 0.8)).toBeNull();
  });
});

describe('ratesRunsAfter', () => {
  it('sums the power that counting every outcome gives, with unlike runs', () => {
    const [beforeMean, afterMean, share] = [9, 1.5, 80 / 140];
    let power = 0;
    for (let a = 0; a < 50; a += 1) {
      for (let b = 0; b < 50; b += 1) {
        if (a + b > 0 && binomialTest(b, a + b, share) <= 0.05) {
          power += poissonChance(a, beforeMean) * poissonChance(b, afterMean);
        }
      }
    }
    expect(ratesPower(beforeMean, afterMean, share)).toBeCloseTo(power, 9);
  });

  it('is enough, and says when no number is', () => {
    const runs = ratesRunsAfter(0.15, 60, 0.0125, 0.8) ?? 0;
    expect(ratesPower(9, 0.0125 * runs, runs / (60 + runs))).toBeGreaterThanOrEqual(0.8);
    expect(ratesPower(9, 0.0125 * runs * 0.9, (0.9 * runs) / (60 + 0.9 * runs))).toBeLessThan(0.82);
    expect(ratesRunsAfter(0.15, 60, 0.1, 0.8)).toBeNull();
    expect(ratesRunsAfter(100, 60, 0.1, 0.8)).toBeUndefined();
    expect(ratesRunsAfter(0, 20, 1, 0.8)).toBeLessThan(6);
  });
});
