import { NotComputable } from '../platform/not-computable.ts';
import { toMm } from './inch.ts';
import { type Grade, gradeName, standardTolerance } from './iso286-grades.ts';
import type { CharacteristicLimits } from './limits-of-characteristic.ts';

/** The finest and coarsest grade a tolerance is compared with. */
const FINEST = 1;
const COARSEST = 18;

/** Stands for a tolerance finer than IT1. */
export const FINER_THAN_GRADES: Grade = FINEST - 1;

/**
 * The grade a maker has to hold for a tolerance: the coarsest, IT18 at most, whose standard tolerance is no wider.
 *
 * @param nominalMm  the size, over 0
 * @param widthMm    upper limit less lower limit, over 0
 * @returns          FINER_THAN_GRADES where no grade from IT1 is as fine; null for a size the standard has no grades for
 *
 * Source: standard tolerances of ISO 286-1:2010, table 1. That a tolerance of any kind may be compared with a grade by
 * its width is common practice, no source.
 * Example: 25 mm with 0.021 mm between its limits -> 7; with 0.02 mm -> 6
 */
export function gradeOf(nominalMm: number, widthMm: number): Grade | null {
  let isKnown = false;
  for (let grade = COARSEST; grade >= FINEST; grade -= 1) {
    const tolerance = toleranceAt(nominalMm, grade);
    if (tolerance === null) continue;
    isKnown = true;
    // A millionth of a micrometre of room: 25.021 - 25 is not quite 0.021.
    if (tolerance <= widthMm * 1000 + 1e-6) return grade;
  }
  return isKnown ? FINER_THAN_GRADES : null;
}

function toleranceAt(nominalMm: number, grade: Grade): number | null {
  try {
    return standardTolerance(nominalMm, grade);
  } catch (error) {
    if (error instanceof NotComputable) return null;
    throw error;
  }
}

/** The grade that the limits of a size ask for; null for an angle, and for a size that ISO 286 has no grades for. */
export function gradeOfLimits(nominal: number, limits: CharacteristicLimits): Grade | null {
  const { unit, upperLimit, lowerLimit } = limits;
  if (unit === 'deg') return null;
  return gradeOf(toMm(nominal, unit), toMm(upperLimit, unit) - toMm(lowerLimit, unit));
}

/** A grade that gradeOf gave, in words: 'IT7', 'a grade finer than IT1'. */
export function gradeWords(grade: Grade): string {
  return grade === FINER_THAN_GRADES ? `a grade finer than ${gradeName(FINEST)}` : gradeName(grade);
}
