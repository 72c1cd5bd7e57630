import { describe, expect, it } from 'vitest';
import { zoneDeviations } from '../../src/specs/iso286.ts';
import { NARROW_RANGES } from '../../src/specs/iso286-deviations.ts';
import { MAIN_RANGES, rangeOf, standardTolerance } from '../../src/specs/iso286-grades.ts';

/** The size a range is reckoned by: the geometric mean of its ends, the first one from 1 to 3 mm. */
function meanOf(end: number, ranges: readonly number[]): number {
  return Math.sqrt((ranges[rangeOf(end, ranges) - 1] ?? 1) * end);
}

type Formula = (size: number, end: number) => number;
const power =
  (factor: number, exponent: number): Formula =>
  (size) =>
    factor * size ** exponent;
const overGrade =
  (grade: number, factor: number): Formula =>
  (size, end) =>
    standardTolerance(end, grade) + factor * size;

/*
 * The formulas the tables were reckoned and rounded from: ISO 286-1:1988, annex A, table 7, from memory. Letter,
 * formula for the distance from the nominal size in micrometres, and the sizes in mm it holds for; under them the
 * standard sets its values by other rules.
 */
const FORMULAS: [string, readonly number[], Formula, number, number][] = [
  ['a', NARROW_RANGES, (size) => (size <= 120 ? 265 + 1.3 * size : 3.5 * size), 3, 500],
  ['b', NARROW_RANGES, (size) => (size <= 160 ? 140 + 0.85 * size : 1.8 * size), 3, 500],
  ['c', NARROW_RANGES, (size) => 95 + 0.8 * size, 40, 500],
  ['d', MAIN_RANGES, power(16, 0.44), 0, 3150],
  ['e', MAIN_RANGES, power(11, 0.41), 0, 3150],
  ['f', MAIN_RANGES, power(5.5, 0.41), 0, 3150],
  ['g', MAIN_RANGES, power(2.5, 0.34), 3, 3150],
  ['m', MAIN_RANGES, (_size, end) => standardTolerance(end, 7) - standardTolerance(end, 6), 3, 500],
  ['m', MAIN_RANGES, (size) => 0.024 * size + 12.6, 500, 3150],
  ['n', MAIN_RANGES, power(5, 0.34), 3, 500],
  ['n', MAIN_RANGES, (size) => 0.04 * size + 21, 500, 3150],
  ['p', MAIN_RANGES, (_size, end) => standardTolerance(end, 7) + 2, 18, 500],
  ['p', MAIN_RANGES, (size) => 0.072 * size + 37.8, 500, 3150],
  ['s', NARROW_RANGES, overGrade(7, 0.4), 50, 3150],
  ['t', NARROW_RANGES, overGrade(7, 0.63), 30, 3150],
  ['u', NARROW_RANGES, overGrade(7, 1), 14, 3150],
  ['v', NARROW_RANGES, overGrade(7, 1.25), 14, 500],
  ['x', NARROW_RANGES, overGrade(7, 1.6), 14, 500],
  ['y', NARROW_RANGES, overGrade(7, 2), 18, 500],
  ['z', NARROW_RANGES, overGrade(7, 2.5), 10, 500],
  ['za', NARROW_RANGES, overGrade(8, 3.15), 10, 500],
  ['zb', NARROW_RANGES, overGrade(9, 4), 6, 500],
  ['zc', NARROW_RANGES, overGrade(10, 5), 6, 500],
];

function distance(letter: string, size: number): number {
  const { upper, lower } = zoneDeviations(size, `${letter}6`);
  return letter <= 'h' ? -upper : lower;
}

describe('deviations follow the formulas they were reckoned from, within the rounding of the standard', () => {
  it.each(FORMULAS)('%s', (letter, ranges, formula, over, upTo) => {
    const ends = ranges.filter((end) => end > over && end <= upTo);
    expect(ends.length).toBeGreaterThan(5);
    for (const end of ends) {
      const expected = formula(meanOf(end, ranges), end);
      const off = Math.abs(distance(letter, end) - expected);
      expect(off, `${letter} at ${end} mm`).toBeLessThanOrEqual(Math.max(1, 0.055 * expected));
    }
  });

  it.each([
    ['r', 'p', 's', 3150],
    ['cd', 'c', 'd', 50],
    ['ef', 'e', 'f', 50],
    ['fg', 'f', 'g', 50],
  ])('%s is the geometric mean of %s and %s', (letter, before, after, upTo) => {
    for (const end of NARROW_RANGES.filter((size) => size <= upTo)) {
      const mean = Math.sqrt(distance(before, end) * distance(after, end));
      expect(Math.abs(distance(letter, end) - mean), `${letter} at ${end} mm`).toBeLessThanOrEqual(
        Math.max(1, 0.06 * mean),
      );
    }
  });

  it('no deviation shrinks as the size grows', () => {
    for (const letter of new Set([...FORMULAS.map(([name]) => name), 'r', 'cd', 'ef', 'fg'])) {
      const known = NARROW_RANGES.filter((end) => {
        try {
          return distance(letter, end) > 0;
        } catch {
          return false;
        }
      });
      expect(known.length, letter).toBeGreaterThan(5);
      for (const [index, end] of known.entries()) {
        const smaller = known[index - 1];
        if (smaller === undefined) continue;
        expect(distance(letter, end), `${letter} at ${end} mm`).toBeGreaterThanOrEqual(
          distance(letter, smaller),
        );
      }
    }
  });
});
