import { NotComputable } from '../platform/not-computable.ts';
import {
  ABOVE_NOMINAL,
  BELOW_NOMINAL,
  type DeviationRow,
  J_HOLE,
  J_SHAFT,
  K_ABOVE_NOMINAL,
} from './iso286-deviations.ts';
import {
  type Grade,
  gradeName,
  MAIN_RANGES,
  MAIN_RANGES_TO_500,
  rangeOf,
  standardTolerance,
} from './iso286-grades.ts';

/** A tolerance zone: which side it is for, its letter in small letters, its grade, and its name as written. */
export interface Zone {
  feature: 'hole' | 'shaft';
  letter: string;
  grade: Grade;
  name: string;
}

/** Limit deviations in micrometres from the nominal size: ES and EI of a hole, es and ei of a shaft. */
export interface ZoneDeviations {
  upper: number;
  lower: number;
}

/** What a reply says about where its figures are from. */
export const ISO_286_SOURCE = 'ISO 286-1:2010';

const LETTERS = new Set([...Object.keys(BELOW_NOMINAL), 'js', 'j', 'k', ...Object.keys(ABOVE_NOMINAL)]);

/**
 * Reads a tolerance zone such as H7, g6 or JS11.
 *
 * @throws NotComputable  a letter or grade that ISO 286 does not have, or capitals and small letters mixed
 */
export function zoneOf(text: string): Zone {
  const match = /^([A-Za-z]{1,2})(01|0|[1-9]\d?)$/.exec(text.trim());
  const letters = match?.[1];
  if (!match || !letters) {
    throw new NotComputable(
      `${text}: a tolerance zone is a letter and a grade, as in H7 for a hole or g6 for a shaft`,
    );
  }
  const letter = letters.toLowerCase();
  if (!LETTERS.has(letter)) {
    throw new NotComputable(`${text}: ISO 286 has no letter ${letters}; I, L, O, Q and W are not used`);
  }
  const grade = match[2] === '01' ? -1 : Number(match[2]);
  if (grade > 18)
    throw new NotComputable(`${text}: ISO 286 has the grades 01, 0 and 1 to 18, not ${match[2]}`);
  if (letters !== letter && letters !== letter.toUpperCase()) {
    throw new NotComputable(
      `${text}: write ${letter.toUpperCase()}${match[2]} for a hole or ${letter}${match[2]} for a shaft`,
    );
  }
  return { feature: letters === letter ? 'shaft' : 'hole', letter, grade, name: `${letters}${match[2]}` };
}

function noValue(nominalMm: number, zone: Zone, why: string): NotComputable {
  return new NotComputable(`${zone.name} at ${nominalMm} mm: ISO 286 has no value, ${why}`);
}

function valueAt(nominalMm: number, zone: Zone, row: DeviationRow | undefined): number {
  const value = row?.values[rangeOf(nominalMm, row.ranges) - row.leftOut];
  if (value === undefined) {
    throw noValue(nominalMm, zone, `as the letter ${zone.letter} does not reach this size and grade`);
  }
  return value;
}

/** The letters K, M, N and P to ZC: how far the zone of a hole ends below the nominal size, as a positive number. */
function holeBelow(nominalMm: number, zone: Zone): number {
  const { letter, grade } = zone;
  const range = rangeOf(nominalMm, MAIN_RANGES);
  const over3To500 = range > 0 && range < MAIN_RANGES_TO_500;

  if (letter === 'k') {
    // up to 3 mm K ends at the nominal size in every grade, above 500 mm up to IT8
    if (range === 0) return 0;
    if (grade > 8) throw noValue(nominalMm, zone, 'as K ends at IT8 over 3 mm');
    if (!over3To500) return 0;
  }
  if (letter === 'n' && grade > 8) {
    if (nominalMm <= 1) throw noValue(nominalMm, zone, 'as N ends at IT8 up to 1 mm');
    if (over3To500) return 0;
  }
  if (letter === 'm' && grade === 6 && nominalMm > 250 && nominalMm <= 315) return 9;

  const value = valueAt(nominalMm, zone, letter === 'k' ? K_ABOVE_NOMINAL : ABOVE_NOMINAL[letter]);
  const lastGradeMoved = letter === 'k' || letter === 'm' || letter === 'n' ? 8 : 7;
  if (!over3To500 || grade > lastGradeMoved) return value;
  // a hole is moved up by the step to the next finer grade, so that it sits with a finer shaft as the shaft would with
  // it; the standard lists these steps from IT3
  if (grade < 3)
    throw noValue(nominalMm, zone, `as ${zone.letter.toUpperCase()} of a hole begins at IT3 over 3 mm`);
  return value - (standardTolerance(nominalMm, grade) - standardTolerance(nominalMm, grade - 1));
}

/**
 * The limit deviations of a tolerance zone.
 *
 * js and JS are exactly half the grade each way (the edition of 1988 allowed rounding odd grades down). From a to h the
 * upper deviation of a shaft is given by the letter, from j to zc the lower one; the grade gives the other. Holes
 * mirror the shafts, but K, M and N to IT8 and P to ZC to IT7 over 3 mm and to 500 mm are moved up by the step between
 * their grade and the next finer one, N from IT9 ends at the nominal size, and M6 over 250 to 315 mm is -9.
 *
 * @param nominalMm  over 0, to 3150 mm
 * @param zone       "H7", or as zoneOf gives it
 * @returns          micrometres
 * @throws NotComputable  where ISO 286-1 has no value; names the zone and the size
 *
 * Source: ISO 286-1:2010, tables 1 to 5 and their notes; see iso286-grades.ts and iso286-deviations.ts for the values.
 * Example: zoneDeviations(25, 'H7') -> { upper: 21, lower: 0 }; zoneDeviations(25, 'g6') -> { upper: -7, lower: -20 }
 */
export function zoneDeviations(nominalMm: number, zone: string | Zone): ZoneDeviations {
  if (typeof zone === 'string') zone = zoneOf(zone);
  const { feature, letter, grade } = zone;
  const tolerance = standardTolerance(nominalMm, grade);
  const between = (upper: number, lower: number): ZoneDeviations => ({
    // half micrometres are the finest step of the tables; adding 0 turns -0 into 0
    upper: Math.round(upper * 100) / 100 + 0,
    lower: Math.round(lower * 100) / 100 + 0,
  });

  if (letter === 'js') return between(tolerance / 2, -tolerance / 2);
  if ((letter === 'a' || letter === 'b') && nominalMm <= 1) {
    throw noValue(nominalMm, zone, 'as a and b begin over 1 mm');
  }
  if (letter in BELOW_NOMINAL) {
    const distance = valueAt(nominalMm, zone, BELOW_NOMINAL[letter]);
    return feature === 'hole'
      ? between(distance + tolerance, distance)
      : between(-distance, -distance - tolerance);
  }
  if (letter === 'j') {
    const row = (feature === 'hole' ? J_HOLE : J_SHAFT)[grade];
    if (!row) throw noValue(nominalMm, zone, `as ${zone.name.slice(0, 1)} has no ${gradeName(grade)}`);
    const value = valueAt(nominalMm, zone, row);
    return feature === 'hole' ? between(value, value - tolerance) : between(value + tolerance, value);
  }
  if (feature === 'hole') {
    const distance = holeBelow(nominalMm, zone);
    return between(-distance, -distance - tolerance);
  }
  const kAtNominal = letter === 'k' && (grade < 4 || grade > 7 || nominalMm > 500);
  const distance = kAtNominal
    ? 0
    : valueAt(nominalMm, zone, letter === 'k' ? K_ABOVE_NOMINAL : ABOVE_NOMINAL[letter]);
  return between(distance + tolerance, distance);
}
