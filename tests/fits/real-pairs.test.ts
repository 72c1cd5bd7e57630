import { describe, expect, it } from 'vitest';
import { type RealUnit, realPairs } from '../../src/fits/real-pairs.ts';

const still = { expansion: 0, dry: 0, damp: 0 };
const at20 = { low: 20, high: 20 };
const units = (...sizes: number[]): RealUnit[] => sizes.map((mm) => ({ mm, unsure: 0.0005 }));
const plain = { holeMovement: still, shaftMovement: still, range: at20 };

describe('realPairs', () => {
  it('pairs a large hole with a thick shaft, and tells the clearance', () => {
    const found = realPairs(units(25.02, 25.002), units(24.983, 24.999), {
      ...plain,
      wanted: { min: 0.01, max: 0.03 },
    });
    expect(
      found.pairs.map(({ hole, shaft, clearances, margin }) => [hole, shaft, clearances, margin]),
    ).toEqual([
      [0, 1, [0.021], 0.009],
      [1, 0, [0.019], 0.009],
    ]);
    expect(found.worst).toBe(0.009);
    expect(found.leftOver).toEqual([]);
  });

  it('names who is left over, what would go with it, and what to take off', () => {
    const found = realPairs(units(25.005), units(24.98, 25.01), {
      ...plain,
      wanted: { min: 0.01, max: 0.03 },
    });
    expect(found.pairs).toHaveLength(1);
    expect(found.leftOver).toEqual([
      { side: 'shaft', unit: 1, wants: { lower: 25.02, upper: 25.04 }, cure: null },
    ]);
    const tight = realPairs(units(25.0), units(25.004), { ...plain, wanted: { min: 0.01, max: 0.03 } });
    expect(tight.pairs).toEqual([]);
    expect(tight.worst).toBeNull();
    // 25.014 is the smallest hole for that shaft, 24.99 the thickest shaft for that hole: 0.014 either way
    expect(tight.leftOver.map(({ cure }) => cure)).toEqual([
      { of: 'hole', unit: 0, with: 0, by: 0.014 },
      { of: 'shaft', unit: 0, with: 0, by: 0.014 },
    ]);
    // too loose: nothing can be put back on
    const loose = realPairs(units(25.1), units(25), { ...plain, wanted: { min: 0.01, max: 0.03 } });
    expect(loose.leftOver.map(({ cure }) => cure)).toEqual([null, null]);
  });

  it('looks at every temperature: aluminium about steel is tighter in the cold', () => {
    const holeMovement = { expansion: 23.4, dry: 0, damp: 0 };
    const shaftMovement = { expansion: 12, dry: 0, damp: 0 };
    const found = realPairs(units(25.01), units(25.0), {
      holeMovement,
      shaftMovement,
      wanted: { min: 0.007, max: 0.1 },
      range: { low: -10, high: 35 },
    });
    // at -10 °C: 25.01 (1 - 30 * 23.4e-6) - 25 (1 - 30 * 12e-6) = 0.00144..., less than 0.007
    expect(found.pairs).toEqual([]);
    const warm = realPairs(units(25.01), units(25.0), {
      holeMovement,
      shaftMovement,
      wanted: { min: 0.007, max: 0.1 },
      range: { low: 20, high: 35 },
    });
    expect(warm.pairs[0]?.clearances[1]).toBeCloseTo(25.01 * (1 + 15 * 23.4e-6) - 25 * (1 + 15 * 12e-6), 9);
    const unknown = realPairs(units(25.02), units(25.0), {
      holeMovement: { ...holeMovement, expansion: null },
      shaftMovement,
      wanted: { min: 0.007, max: 0.1 },
      range: { low: 0, high: 35 },
    });
    expect(unknown.pairs).toHaveLength(1);
    expect(unknown.notKnownAt).toEqual(['0 °C', '35 °C']);
  });

  it('marks a pair that has less to spare than the last digits may hide', () => {
    const rough = (mm: number): RealUnit => ({ mm, unsure: 0.005 });
    const margin = (hole: number) =>
      realPairs([rough(hole)], [rough(25)], { ...plain, wanted: { min: 0.01, max: 0.1 } }).pairs[0]!;
    expect(margin(25.015)).toMatchObject({ isUnsure: true, margin: 0.005 });
    expect(margin(25.03)).toMatchObject({ isUnsure: false, margin: 0.02 });
  });
});
