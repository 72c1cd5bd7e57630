import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { clearance, fit as fitOf, limitsAt } from '../../src/specs/fit.ts';
import { zoneDeviations } from '../../src/specs/iso286.ts';
import { expansionFactor } from '../../src/specs/temperature.ts';
import materials from '../checks/materials.json' with { type: 'json' };

fc.configureGlobal({ seed: 286 });

describe('fit', () => {
  it('25 H7/g6 is a clearance fit of 0.007 to 0.041 mm', () => {
    expect(fitOf({ nominal: 25, hole: 'H7', shaft: 'g6' })).toMatchObject({
      hole: { upperDeviation: 0.021, lowerDeviation: 0, upperLimit: 25.021, lowerLimit: 25 },
      shaft: { upperDeviation: -0.007, lowerDeviation: -0.02, upperLimit: 24.993, lowerLimit: 24.98 },
      minClearance: 0.007,
      maxClearance: 0.041,
      character: 'clearance',
    });
  });

  it('25 H7/g6 of aluminium over steel at 60 °C opens to 0.0185 to 0.0525 mm', () => {
    const warm = fitOf({
      nominal: 25,
      hole: 'H7',
      shaft: 'g6',
      temperature: { celsius: 60, holeExpansion: 23, shaftExpansion: 11.5 },
    });
    expect(warm.minClearance).toBeCloseTo(0.0185, 4);
    expect(warm.maxClearance).toBeCloseTo(0.0525, 4);
    expect(warm.hole.lowerLimit).toBeCloseTo(25 * 1.00092, 9);
    expect(warm.hole.lowerDeviation).toBeCloseTo(0.023, 9);
  });

  it.each([
    ['H7', 'h6', 'clearance'],
    ['H7', 'k6', 'transition'],
    ['H7', 'n6', 'transition'],
    ['H7', 'p6', 'interference'],
    ['H7', 's6', 'interference'],
    ['N7', 'h6', 'transition'],
    ['P7', 'h6', 'interference'],
    ['H11', 'c11', 'clearance'],
  ])('25 %s/%s is a %s fit', (hole, shaft, character) => {
    expect(fitOf({ nominal: 25, hole, shaft }).character).toBe(character);
  });

  it('takes deviations instead of zones', () => {
    const answer = fitOf({
      nominal: 10,
      hole: { upperDeviation: 0.015, lowerDeviation: 0 },
      shaft: { upperDeviation: 0.01, lowerDeviation: 0.001 },
    });
    expect(answer).toMatchObject({ minClearance: -0.01, maxClearance: 0.014, character: 'transition' });
  });

  it('gives the chance of interference by the normal distribution', () => {
    // 25 H7/k6: hole 0..21, shaft 2..15 micrometres; middle of the clearance 2, deviation sqrt(21^2 + 13^2) / 6
    // = 4.11636; Phi(-2 / 4.11636) = Phi(-0.485866) = 0.313532 (tables of the normal distribution)
    const answer = fitOf({ nominal: 25, hole: 'H7', shaft: 'k6' });
    expect(answer.chanceOfInterference).toBeCloseTo(0.31353, 4);
    expect(fitOf({ nominal: 25, hole: 'H7', shaft: 's6' }).chanceOfInterference).toBeGreaterThan(0.9999);
  });

  it('agrees with many pairs drawn at random', () => {
    let seed = 1;
    const uniform = () => {
      seed = (seed * 48271) % 2147483647;
      return seed / 2147483647;
    };
    const normal = () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
    const runs = 200_000;
    let tight = 0;
    for (let run = 0; run < runs; run += 1) {
      const hole = 10.5 + (normal() * 21) / 6;
      const shaft = 8.5 + (normal() * 13) / 6;
      if (hole < shaft) tight += 1;
    }
    const chance = fitOf({ nominal: 25, hole: 'H7', shaft: 'k6' }).chanceOfInterference;
    // four standard errors
    expect(Math.abs(tight / runs - chance)).toBeLessThan(4 * Math.sqrt((chance * (1 - chance)) / runs));
  });

  it.each([
    [{ nominal: 25, hole: 'h7', shaft: 'g6' }, 'hole: h7 is a zone of a shaft'],
    [{ nominal: 25, hole: 'H7', shaft: 'G6' }, 'shaft: G6 is a zone of a hole'],
    [{ nominal: 25, hole: 'K9', shaft: 'h6' }, 'K9 at 25 mm'],
    [{ nominal: 0, hole: 'H7', shaft: 'h6' }, 'a size is over 0'],
    [
      { nominal: 25, hole: { upperDeviation: 0, lowerDeviation: 0.1 }, shaft: 'h6' },
      'hole: lower deviation 0.1 mm lies above upper deviation 0 mm',
    ],
    [{ nominal: 1, hole: 'H7', shaft: { upperDeviation: -1, lowerDeviation: -2 } }, 'is not above 0'],
    [
      {
        nominal: 25,
        hole: 'H7',
        shaft: 'g6',
        temperature: { celsius: -300, holeExpansion: 12, shaftExpansion: 12 },
      },
      'below absolute zero',
    ],
  ])('refuses %j', (question, sentence) => {
    expect(() => fitOf(question)).toThrow(sentence);
  });
});

describe('clearance', () => {
  it('names the side whose limits are the wrong way round', () => {
    expect(() =>
      clearance({ upperLimit: 25.1, lowerLimit: 25 }, { upperLimit: 25, lowerLimit: 25.1 }),
    ).toThrow('shaft: lower limit 25.1 mm lies above upper 25 mm');
  });

  it('knows sizes without tolerance', () => {
    const exact = (size: number) => ({ upperLimit: size, lowerLimit: size });
    expect(clearance(exact(10), exact(10.1))).toMatchObject({
      character: 'interference',
      chanceOfInterference: 1,
    });
    expect(clearance(exact(10), exact(10))).toMatchObject({
      character: 'clearance',
      chanceOfInterference: 0,
    });
  });
});

describe('expansionFactor', () => {
  it('gives the growth of the check data', () => {
    for (const check of materials.growthChecks) {
      const material = materials.materials.find((row) => row.id === check.material);
      const expansion = material?.thermalExpansion_1e6_per_K.typical ?? Number.NaN;
      const growth =
        check.length_mm *
        (expansionFactor(expansion, check.to_C) / expansionFactor(expansion, check.from_C) - 1);
      expect(growth, check.material).toBeCloseTo(check.growth_mm, 6);
    }
  });
});

describe('holes and shafts, for all sizes and grades', () => {
  const size = fc.integer({ min: 1001, max: 500_000 }).map((value) => value / 1000);
  const grade = fc.integer({ min: 3, max: 13 });

  it('A to H mirror a to h', () => {
    fc.assert(
      fc.property(
        size,
        grade,
        fc.constantFrom('a', 'b', 'c', 'd', 'e', 'f', 'g', 'h'),
        (nominal, it, letter) => {
          const hole = zoneDeviations(nominal, letter.toUpperCase() + it);
          const shaft = zoneDeviations(nominal, letter + it);
          expect(hole.lower + 0).toBe(-shaft.upper + 0);
          expect(hole.upper + 0).toBe(-shaft.lower + 0);
        },
      ),
    );
  });

  it('a hole of one grade fits the finer basic shaft as its mirror fits the basic hole', () => {
    // the rule that the steps between grades are there for: H(n)/p(n-1) and P(n)/h(n-1) have the same interference
    const letters = fc.constantFrom('p', 'r', 's', 'u', 'x', 'z', 'zc');
    const over3 = fc.integer({ min: 3001, max: 500_000 }).map((value) => value / 1000);
    fc.assert(
      fc.property(over3, fc.integer({ min: 4, max: 7 }), letters, (nominal, it, letter) => {
        const onHole = clearance(...limitsOfPair(nominal, `H${it}`, `${letter}${it - 1}`));
        const onShaft = clearance(...limitsOfPair(nominal, `${letter.toUpperCase()}${it}`, `h${it - 1}`));
        expect(onShaft.minClearance).toBeCloseTo(onHole.minClearance, 9);
        expect(onShaft.maxClearance).toBeCloseTo(onHole.maxClearance, 9);
      }),
    );
  });

  it('every zone is as wide as its grade, and its limits in order', () => {
    const letters = fc.constantFrom('c', 'f', 'h', 'js', 'm', 'n', 'p', 's', 'u', 'z');
    fc.assert(
      fc.property(size, grade, letters, fc.boolean(), (nominal, it, letter, isHole) => {
        const zone = zoneDeviations(nominal, (isHole ? letter.toUpperCase() : letter) + it);
        const width = zoneDeviations(nominal, `H${it}`).upper;
        expect(zone.upper - zone.lower).toBeCloseTo(width, 6);
        expect(zone.upper).toBeGreaterThan(zone.lower);
      }),
    );
  });
});

describe('temperature, for all fits', () => {
  it('clearance grows with the temperature where the hole expands more, and shrinks where it expands less', () => {
    const shaftZone = fc.constantFrom('g6', 'h6', 'k6', 'p6');
    const celsius = fc.tuple(fc.integer({ min: -40, max: 100 }), fc.integer({ min: 1, max: 60 }));
    const expansions = fc.tuple(fc.integer({ min: 0, max: 100 }), fc.integer({ min: 1, max: 100 }));
    const nominal = fc.integer({ min: 5, max: 400 });
    fc.assert(
      fc.property(nominal, shaftZone, celsius, expansions, (size, shaft, [cold, step], [low, more]) => {
        const at = (temperature: number, holeExpansion: number, shaftExpansion: number) =>
          fitOf({
            nominal: size,
            hole: 'H7',
            shaft,
            temperature: { celsius: temperature, holeExpansion, shaftExpansion },
          }).minClearance;
        const high = low + more;
        expect(at(cold + step, high, low)).toBeGreaterThan(at(cold, high, low));
        expect(at(cold + step, low, high)).toBeLessThan(at(cold, low, high));
      }),
    );
  });

  it('changes nothing at 20 °C', () => {
    const limits = { upperLimit: 25.021, lowerLimit: 25 };
    expect(limitsAt(limits, 23, 20)).toEqual(limits);
  });
});

function limitsOfPair(nominal: number, hole: string, shaft: string) {
  const side = (zone: string) => {
    const { upper, lower } = zoneDeviations(nominal, zone);
    return { upperLimit: nominal + upper / 1000, lowerLimit: nominal + lower / 1000 };
  };
  return [side(hole), side(shaft)] as const;
}
