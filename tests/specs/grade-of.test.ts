import { describe, expect, it } from 'vitest';
import { FINER_THAN_GRADES, gradeOf, gradeOfLimits, gradeWords } from '../../src/specs/grade-of.ts';
import { standardTolerance } from '../../src/specs/iso286-grades.ts';

describe('gradeOf', () => {
  it('finds the grade of a tolerance that stands in the standard, and the finer one of any between', () => {
    for (const nominal of [2, 25, 140, 480, 1900]) {
      for (let grade = 1; grade <= 18; grade += 1) {
        const width = standardTolerance(nominal, grade) / 1000;
        expect(gradeOf(nominal, width)).toBe(grade);
        if (grade > 1) expect(gradeOf(nominal, width * 0.999)).toBe(grade - 1);
      }
    }
  });

  it('ends at IT18 above and at IT1 below, and knows sizes without grades', () => {
    expect(gradeOf(25, 100)).toBe(18);
    expect(gradeOf(25, 0.0001)).toBe(FINER_THAN_GRADES);
    expect(gradeOf(0.8, 5)).toBe(13);
    expect(gradeOf(4000, 1)).toBeNull();
  });

  it('reads limits in inches, not angles', () => {
    const limits = {
      upperLimit: 25.021,
      lowerLimit: 25,
      upperDeviation: 0.021,
      lowerDeviation: 0,
      source: '',
    };
    expect(gradeOfLimits(25, { ...limits, unit: 'mm' })).toBe(7);
    expect(gradeOfLimits(1, { ...limits, unit: 'in', upperLimit: 1.001, lowerLimit: 1 })).toBe(7);
    expect(gradeOfLimits(45, { ...limits, unit: 'deg' })).toBeNull();
  });

  it('has words', () => {
    expect([gradeWords(7), gradeWords(FINER_THAN_GRADES)]).toEqual(['IT7', 'a grade finer than IT1']);
  });
});
