import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type ChainQuestion, type Contributor, chain } from '../../src/specs/chain.ts';
import { normalChance, normalChanceBetween } from '../../src/specs/chain-normal.ts';
import { seededChance } from '../../src/specs/comparison-bootstrap.ts';
import published from '../checks/tolerance/stackups.json' with { type: 'json' };

fc.configureGlobal({ seed: 3 });

describe('chain gives the published figures', () => {
  it.each(published.chains.map((row) => [row.name, row] as const))('%s', (_name, row) => {
    const answer = chain({
      contributors: row.contributors as Contributor[],
      wanted: 'wanted' in row ? (row.wanted as ChainQuestion['wanted']) : undefined,
    });
    const { expected } = row;
    const figures = [
      [answer.nominal, expected.nominal],
      [answer.middle, expected.middle],
      [answer.worstCase.min, expected.worstCaseMin],
      [answer.worstCase.max, expected.worstCaseMax],
      [answer.rootSumSquare.min, expected.rssMin],
      [answer.rootSumSquare.max, expected.rssMax],
      [answer.standardDeviation, expected.standardDeviation],
    ] as const;
    for (const [given, wanted] of figures) expect(given).toBeCloseTo(wanted, 6);
    if (expected.chanceInside === null) expect(answer.chanceInside).toBeNull();
    else expect(answer.chanceInside).toBeCloseTo(expected.chanceInside ?? Number.NaN, 6);
    expect(answer.shares.map((share) => share.label)).toEqual(expected.shares.map((share) => share.label));
    for (const [index, share] of expected.shares.entries()) {
      expect(answer.shares[index]?.share).toBeCloseTo(share.share, 6);
    }
  });
});

describe('chain', () => {
  const contributor = fc.record({
    nominal: fc.integer({ min: 0, max: 100_000 }).map((value) => value / 1000),
    plus: fc.integer({ min: 0, max: 500 }).map((value) => value / 1000),
    minus: fc.integer({ min: 0, max: 500 }).map((value) => value / 1000),
    direction: fc.constantFrom(1 as const, -1 as const),
  });

  it('has shares that add to 1, and root sum square inside the worst case', () => {
    fc.assert(
      fc.property(fc.array(contributor, { minLength: 1, maxLength: 12 }), (contributors) => {
        const answer = chain({ contributors });
        const sum = answer.shares.reduce((total, { share }) => total + share, 0);
        const loose = contributors.some(({ plus, minus }) => plus + minus > 0);
        expect(sum).toBeCloseTo(loose ? 1 : 0, 12);
        expect(answer.rootSumSquare.min).toBeGreaterThanOrEqual(answer.worstCase.min - 1e-9);
        expect(answer.rootSumSquare.max).toBeLessThanOrEqual(answer.worstCase.max + 1e-9);
      }),
    );
  });

  it('has the worst case that trying every corner finds', () => {
    fc.assert(
      fc.property(fc.array(contributor, { minLength: 1, maxLength: 8 }), (contributors) => {
        let [min, max] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
        for (let corner = 0; corner < 2 ** contributors.length; corner += 1) {
          let gap = 0;
          for (const [index, one] of contributors.entries()) {
            gap += one.direction * (one.nominal + ((corner >> index) & 1 ? one.plus : -one.minus));
          }
          [min, max] = [Math.min(min, gap), Math.max(max, gap)];
        }
        const { worstCase } = chain({ contributors });
        expect(worstCase.min).toBeCloseTo(min, 9);
        expect(worstCase.max).toBeCloseTo(max, 9);
      }),
      { numRuns: 50 },
    );
  });

  it.each(published.chains.map((row) => [row.name, row] as const))(
    '%s: agrees with 100,000 gaps drawn',
    (_name, row) => {
      const uniform = seededChance(7);
      const normal = () => Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform());
      const runs = 100_000;
      let [sum, squares, inside] = [0, 0, 0];
      const wanted = 'wanted' in row ? (row.wanted as { min: number; max: number }) : { min: 0.9, max: 1.2 };
      for (let run = 0; run < runs; run += 1) {
        let gap = 0;
        for (const { nominal, plus, minus, direction } of row.contributors) {
          gap += direction * (nominal + (plus - minus) / 2 + (normal() * (plus + minus)) / 6);
        }
        sum += gap;
        squares += gap * gap;
        if (gap >= wanted.min && gap <= wanted.max) inside += 1;
      }
      const answer = chain({ contributors: row.contributors as Contributor[], wanted });
      const mean = sum / runs;
      const { standardErrorOfMeanAt100000: ofMean, standardErrorOfStandardDeviationAt100000: ofDeviation } =
        row.monteCarlo;
      expect(Math.abs(mean - answer.middle)).toBeLessThan(4 * ofMean);
      const deviation = Math.sqrt(squares / runs - mean * mean);
      expect(Math.abs(deviation - answer.standardDeviation)).toBeLessThan(4 * ofDeviation);
      const chance = answer.chanceInside ?? Number.NaN;
      expect(Math.abs(inside / runs - chance)).toBeLessThan(
        4 * Math.sqrt((chance * (1 - chance)) / runs) + 1e-4,
      );
    },
  );

  it('calls a contributor without a label by its place', () => {
    const answer = chain({ contributors: [{ nominal: 1, plus: 0.1, minus: 0.1, direction: 1 }] });
    expect(answer.shares).toEqual([{ label: 'contributor 1', share: 1 }]);
  });

  it('says yes or no where nothing has a tolerance', () => {
    const contributors = [{ nominal: 0.3, plus: 0, minus: 0, direction: 1 as const }];
    expect(chain({ contributors, wanted: { min: 0.3, max: 1 } }).chanceInside).toBe(1);
    expect(chain({ contributors, wanted: { min: 0.4, max: 1 } }).chanceInside).toBe(0);
  });

  it.each([
    [{ contributors: [] }, 'at least one contributor'],
    [
      {
        contributors: [{ nominal: 1, plus: 0.1, minus: 0.1, direction: 1 as const }],
        wanted: { min: 2, max: 1 },
      },
      'wanted: min 2 mm lies above max 1 mm',
    ],
    [
      { contributors: [{ label: 'rod', nominal: 1, plus: -0.1, minus: 0, direction: 1 as const }] },
      'rod: plus -0.1',
    ],
    [{ contributors: [{ nominal: 1, plus: 1e200, minus: 0, direction: 1 as const }] }, 'too large'],
  ])('refuses %j', (question, sentence) => {
    expect(() => chain(question)).toThrow(sentence);
  });
});

describe('normalChance', () => {
  // Abramowitz and Stegun (1964), table 26.1, to 15 places; the tails table 26.2 (-log Q), from memory
  it.each([
    [0, 0.5],
    [1, 0.841344746068543],
    [-1, 0.158655253931457],
    [2, 0.977249868051821],
    [3, 0.99865010196837],
    [-3, 0.00134989803163],
    [1.96, 0.97500210485178],
  ])('of %d', (z, chance) => {
    expect(Math.abs(normalChance(z) - chance)).toBeLessThan(2e-15);
  });

  it('is the integral of the density, in the middle and in the tail', () => {
    for (const z of [-8, -5, -3.2, -2.9, -1.5, -0.3, 0.7, 2.5, 4]) {
      // Simpson's rule from far below
      const [from, steps] = [z - 12, 20_000];
      const width = (z - from) / steps;
      let sum = 0;
      for (let step = 0; step <= steps; step += 1) {
        const x = from + step * width;
        sum += (step === 0 || step === steps ? 1 : step % 2 ? 4 : 2) * Math.exp((-x * x) / 2);
      }
      const integral = (sum * width) / 3 / Math.sqrt(2 * Math.PI);
      expect(normalChance(z) / integral).toBeCloseTo(1, 10);
    }
  });

  it('keeps small chances between two limits far out', () => {
    expect(normalChanceBetween(0, 1, 9, 10)).toBeGreaterThan(1e-19);
    expect(normalChanceBetween(0, 1, 9, 10)).toBeLessThan(1.2e-19);
    expect(normalChance(Number.NEGATIVE_INFINITY)).toBe(0);
    expect(normalChance(Number.POSITIVE_INFINITY)).toBe(1);
  });
});
