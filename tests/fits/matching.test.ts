import { describe, expect, it } from 'vitest';
import { bestPairs, mostPairs } from '../../src/fits/matching.ts';
import { seededChance } from '../../src/specs/index.ts';

/** Every way to pair, one after the other: the slow and plain way. */
function bruteForce(margins: readonly (readonly number[])[], rights: number) {
  let best = { size: 0, worst: Number.POSITIVE_INFINITY };
  const taken = new Set<number>();
  const go = (left: number, size: number, worst: number) => {
    if (left === margins.length) {
      if (size > best.size || (size === best.size && worst > best.worst)) best = { size, worst };
      return;
    }
    go(left + 1, size, worst);
    for (let right = 0; right < rights; right += 1) {
      const margin = margins[left]![right]!;
      if (margin < 0 || taken.has(right)) continue;
      taken.add(right);
      go(left + 1, size + 1, Math.min(worst, margin));
      taken.delete(right);
    }
  };
  go(0, 0, Number.POSITIVE_INFINITY);
  return best;
}

describe('mostPairs', () => {
  it('goes back on an earlier choice where that makes room', () => {
    // the first come would take 0 and leave the second without
    expect(mostPairs([[0, 1], [0]], 2).size).toBe(2);
    // a long alternating path: each has to move on by one
    const chain = Array.from({ length: 40 }, (_, left) => (left === 39 ? [0] : [left, left + 1]));
    expect(mostPairs(chain, 40).size).toBe(40);
  });

  it('takes empty lists, and those who may go with nobody', () => {
    expect(mostPairs([], 3).size).toBe(0);
    expect([...mostPairs([[], [1]], 2).partner]).toEqual([-1, 1]);
  });

  it('needs as many as Koenig says: a set of three that know two only', () => {
    expect(mostPairs([[0, 1], [0, 1], [0, 1], [2]], 3).size).toBe(3);
  });
});

describe('bestPairs', () => {
  it('prefers one more pair to a better margin, and of equals the better worst', () => {
    const { partner, worst, size } = bestPairs(
      [
        [0.01, 0.002],
        [0.006, -0.004],
      ],
      2,
    );
    expect([[...partner], worst, size]).toEqual([[1, 0], 0.002, 2]);
    expect(
      bestPairs(
        [
          [0.01, 0.008],
          [0.006, 0.001],
        ],
        2,
      ).worst,
    ).toBe(0.006);
  });

  it('says so where no pair goes; a margin of nothing is still one', () => {
    expect(bestPairs([[-1, -2]], 2)).toMatchObject({ size: 0, worst: null });
    expect(bestPairs([[0]], 1)).toMatchObject({ size: 1, worst: 0 });
    expect(bestPairs([], 0)).toMatchObject({ size: 0, worst: null });
  });

  it('agrees with trying every pairing, on 1500 random tables up to 6 by 6', () => {
    const chance = seededChance(41);
    for (let run = 0; run < 1500; run += 1) {
      const [lefts, rights] = [Math.floor(chance() * 7), Math.floor(chance() * 7)];
      // few different margins, so that equal ones come about, and about as many that go as do not
      const margins = Array.from({ length: lefts }, () =>
        Array.from({ length: rights }, () => Math.floor(chance() * 9 - 4) / 1000),
      );
      const found = bestPairs(margins, rights);
      const slow = bruteForce(margins, rights);
      expect([run, found.size]).toEqual([run, slow.size]);
      if (found.size > 0) expect([run, found.worst]).toEqual([run, slow.worst]);
      const used = [...found.partner].filter((right) => right !== -1);
      expect(new Set(used).size).toBe(used.length);
      expect(used.length).toBe(found.size);
      const worst = Math.min(...[...found.partner].map((r, l) => (r === -1 ? Infinity : margins[l]![r]!)));
      if (found.size > 0) expect(worst).toBe(found.worst);
    }
  });

  it('pairs 200 with 200 as they lie in order, where only that gives every pair the same to spare', () => {
    const holes = Array.from({ length: 200 }, (_, index) => 25 + index / 10_000);
    const margins = holes.map((hole) =>
      holes.map((other) => {
        const clearance = hole - (other - 0.02);
        return Math.min(clearance - 0.015, 0.025 - clearance);
      }),
    );
    const { size, worst } = bestPairs(margins, 200);
    expect(size).toBe(200);
    expect(worst).toBeCloseTo(0.005, 9);
  });
});
