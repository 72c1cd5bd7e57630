import { describe, expect, it } from 'vitest';
import { zoneDeviations, zoneOf } from '../../src/specs/iso286.ts';
import { gradeName, MAIN_RANGES, standardTolerance } from '../../src/specs/iso286-grades.ts';
import published from '../checks/tolerance/iso286.json' with { type: 'json' };
import grades from '../checks/tolerance/it-grades.json' with { type: 'json' };

describe('standardTolerance', () => {
  it('agrees with the published table to 500 mm, at both ends of each range', () => {
    for (const [name, row] of Object.entries(grades.grades)) {
      const grade = name === 'IT01' ? -1 : Number(name.slice(2));
      for (const [index, value] of row.entries()) {
        const range = grades.ranges[index];
        if (!range) throw new Error(`no range ${index}`);
        expect(standardTolerance(range.upTo_mm, grade), `${name} at ${range.upTo_mm}`).toBe(value);
        if (range.over_mm > 0) {
          expect(standardTolerance(range.over_mm + 0.001, grade), `${name} over ${range.over_mm}`).toBe(
            value,
          );
        }
      }
    }
  });

  // mechguru.com, "DIN ISO 286 standard tolerance zone size table", IT5 to IT11, ranges to 630 up to 3150 mm
  const ABOVE_500: Record<number, number[]> = {
    5: [32, 36, 40, 47, 55, 65, 78, 96],
    6: [44, 50, 56, 66, 78, 92, 110, 135],
    7: [70, 80, 90, 105, 125, 150, 175, 210],
    8: [110, 125, 140, 165, 195, 230, 280, 330],
    9: [175, 200, 230, 260, 310, 370, 440, 540],
    10: [280, 320, 360, 420, 500, 600, 700, 860],
    11: [440, 500, 560, 660, 780, 920, 1100, 1350],
  };
  const ENDS = [630, 800, 1000, 1250, 1600, 2000, 2500, 3150];

  it('agrees with the published table above 500 mm', () => {
    for (const [grade, row] of Object.entries(ABOVE_500)) {
      expect(ENDS.map((end) => standardTolerance(end, Number(grade)))).toEqual(row);
    }
  });

  it('grows tenfold in five grades from IT6 on, within the rounding of the standard', () => {
    for (const end of [3, 50, 180, 500, ...ENDS]) {
      for (let grade = 6; grade <= 13; grade += 1) {
        const ratio = standardTolerance(end, grade + 5) / standardTolerance(end, grade);
        expect(Math.abs(ratio / 10 - 1), `${gradeName(grade)} at ${end}`).toBeLessThanOrEqual(0.051);
      }
    }
  });

  it('follows the formulas from IT1 to IT18 above 500 mm, within the rounding of the standard', () => {
    // ISO 286-1, annex: I = 0.004 D + 2.1 with D the geometric mean of the range in mm; factors from memory
    const FACTORS = [2, 2.7, 3.7, 5, 7, 10, 16, 25, 40, 64, 100, 160, 250, 400, 640, 1000, 1600, 2500];
    for (const [index, end] of ENDS.entries()) {
      const unit = 0.004 * Math.sqrt((ENDS[index - 1] ?? 500) * end) + 2.1;
      for (const [step, factor] of FACTORS.entries()) {
        const ratio = standardTolerance(end, step + 1) / (factor * unit);
        expect(Math.abs(ratio - 1), `IT${step + 1} at ${end}`).toBeLessThan(0.07);
      }
    }
  });

  it.each([
    [0, 7],
    [-5, 7],
    [Number.NaN, 7],
    [3150.1, 7],
    [1, 14],
    [0.5, 18],
    [500.1, 0],
    [800, -1],
    [25, 19],
    [25, -2],
    [25, 6.5],
  ])('%d mm has no grade %d', (nominal, grade) => {
    expect(() => standardTolerance(nominal, grade)).toThrow(/ISO 286/);
  });
});

describe('zoneDeviations gives the published limits', () => {
  it.each(published.cases.map((row) => [`${row.size_mm} ${row.zone}`, row] as const))('%s', (_name, row) => {
    expect(zoneDeviations(row.size_mm, row.zone)).toEqual({ upper: row.upper_um, lower: row.lower_um });
  });

  // ISO 286-2:1988/Cor.1:2006, https://1library.net/document/y82v060y-iso-tolerance-part.html
  it.each([
    [350, 'A13', 2090, 1200],
    [100, 'E8', 126, 72],
    [20, 'R10', -28, -112],
    [300, 'f9', -56, -186],
  ])('%d %s, a misprint put right by the corrigendum', (nominal, zone, upper, lower) => {
    expect(zoneDeviations(nominal, zone)).toEqual({ upper, lower });
  });

  // a mould maker's catalogue, "Table 5: fundamental deviations of holes and shafts", over 500 mm
  it.each([
    [560, 'd9', -260, -435],
    [560, 'D9', 435, 260],
    [1000, 'g6', -26, -82],
    [3150, 'k6', 135, 0],
    [600, 'K7', 0, -70],
    [600, 'M7', -26, -96],
    [600, 'N9', -44, -219],
    [2500, 'p6', 305, 195],
    [561, 'r6', 199, 155],
    [560, 'R6', -150, -194],
    [2500.5, 't7', 2110, 1900],
    [3150, 'U8', -3200, -3530],
  ])('%d %s', (nominal, zone, upper, lower) => {
    expect(zoneDeviations(nominal, zone)).toEqual({ upper, lower });
  });

  // ISO 286-1:2010, table 4: the values the edition of 1988 had only to 10 mm
  it.each([
    [10, 'cd8', -56, -78],
    [25, 'cd8', -85, -118],
    [25, 'ef7', -28, -49],
    [50, 'FG6', 31, 15],
  ])('%d %s', (nominal, zone, upper, lower) => {
    expect(zoneDeviations(nominal, zone)).toEqual({ upper, lower });
  });

  it.each([
    [2, 'K9', 0, -25],
    [2, 'N9', -4, -29],
    [2, 'M4', -2, -5],
    [40, 'K3', -0.5, -4.5],
    [316, 'M6', -10, -46],
    [250, 'M6', -8, -37],
    [20, 'H01', 0.6, 0],
    [20, 'js0', 0.5, -0.5],
    [2, 'j8', 8, -6],
    [30, 'J7', 12, -9],
    [14, 'x6', 51, 40],
    [15, 'v5', 47, 39],
  ])('%d %s, worked out by hand from the tables and the rules', (nominal, zone, upper, lower) => {
    expect(zoneDeviations(nominal, zone)).toEqual({ upper, lower });
  });
});

// ISO 286-1:2010, table 3, the columns at its right: by how much a hole of each grade is moved up, in the 13 ranges to 500 mm
const DELTAS: Record<number, readonly number[]> = {
  3: [0, 1, 1, 1, 1.5, 1.5, 2, 2, 3, 3, 4, 4, 5],
  4: [0, 1.5, 1.5, 2, 2, 3, 3, 4, 4, 4, 4, 5, 5],
  5: [0, 1, 2, 3, 3, 4, 5, 5, 6, 6, 7, 7, 7],
  6: [0, 3, 3, 3, 4, 5, 6, 7, 7, 9, 9, 11, 13],
  7: [0, 4, 6, 7, 8, 9, 11, 13, 15, 17, 20, 21, 23],
  8: [0, 6, 7, 9, 12, 14, 16, 19, 23, 26, 29, 32, 34],
};

describe('holes are moved up by the printed deltas', () => {
  it.each(Object.entries(DELTAS))('IT%s', (grade, deltas) => {
    for (const [range, delta] of deltas.entries()) {
      const size = MAIN_RANGES[range] as number;
      for (const letter of Number(grade) < 8 ? ['N', 'P', 'S'] : ['N']) {
        const shaft = zoneDeviations(size, `${letter.toLowerCase()}${grade}`);
        expect(zoneDeviations(size, `${letter}${grade}`).upper, `${letter}${grade} at ${size}`).toBe(
          delta - shaft.lower,
        );
      }
    }
  });
});

describe('zoneDeviations refuses what ISO 286 has no value for', () => {
  it.each(published.noValue.map((row) => [row.size_mm, row.zone, row.reason] as const))(
    '%d %s: %s',
    (nominal, zone) => {
      expect(() => zoneDeviations(nominal, zone)).toThrow(/ISO 286 has no/);
    },
  );

  it.each([
    [0.8, 'a9'],
    [1, 'B9'],
    [1, 'N9'],
    [20, 'j8'],
    [20, 'j9'],
    [20, 'J5'],
    [600, 'j6'],
    [600, 'K9'],
    [600, 'a9'],
    [600, 'x7'],
    [60, 'cd8'],
    [25, 'M2'],
    [25, 'P1'],
    [3200, 'H7'],
  ])('%d %s', (nominal, zone) => {
    expect(() => zoneDeviations(nominal, zone)).toThrow(/ISO 286 has/);
  });

  it.each(['H', '7', 'H7x', 'HH7', 'h 7', '', 'H007', 'H-1'])('zone "%s"', (zone) => {
    expect(() => zoneDeviations(25, zone)).toThrow(/tolerance zone is a letter and a grade|no letter/);
  });

  it('says how to write a zone of mixed letters', () => {
    expect(() => zoneOf('Js7')).toThrow('Js7: write JS7 for a hole or js7 for a shaft');
  });
});
