import { NotComputable } from '../platform/not-computable.ts';

/** IT01 and IT0 are written -1 and 0, so that one grade finer is one less. */
export type Grade = number;

/** Upper ends of the main ranges in mm; a range is over the one before, up to and including its own. */
export const MAIN_RANGES = [
  3, 6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150,
] as const;

/** The main ranges that reach 500 mm; above them other rules hold. */
export const MAIN_RANGES_TO_500 = 13;

/**
 * Standard tolerances in micrometres, a row for each grade from IT01, a column for each of the main ranges.
 *
 * Source: ISO 286-1:2010, table 1. The columns to 500 mm agree with Machine Drawing (textbook), table 15.1; IT5 to
 * IT11 above 500 mm with the table at mechguru.com "DIN ISO 286 standard tolerance zone size"; every value, also those
 * above 500 mm, with a second transcription of the standard's tables 1 to 5. The tests hold them to the standard's
 * formulas and its steps of ten in five grades.
 */
const STANDARD_TOLERANCES: readonly (readonly number[])[] = [
  [0.3, 0.4, 0.4, 0.5, 0.6, 0.6, 0.8, 1, 1.2, 2, 2.5, 3, 4],
  [0.5, 0.6, 0.6, 0.8, 1, 1, 1.2, 1.5, 2, 3, 4, 5, 6],
  [0.8, 1, 1, 1.2, 1.5, 1.5, 2, 2.5, 3.5, 4.5, 6, 7, 8, 9, 10, 11, 13, 15, 18, 22, 26],
  [1.2, 1.5, 1.5, 2, 2.5, 2.5, 3, 4, 5, 7, 8, 9, 10, 11, 13, 15, 18, 21, 25, 30, 36],
  [2, 2.5, 2.5, 3, 4, 4, 5, 6, 8, 10, 12, 13, 15, 16, 18, 21, 24, 29, 35, 41, 50],
  [3, 4, 4, 5, 6, 7, 8, 10, 12, 14, 16, 18, 20, 22, 25, 28, 33, 39, 46, 55, 68],
  [4, 5, 6, 8, 9, 11, 13, 15, 18, 20, 23, 25, 27, 32, 36, 40, 47, 55, 65, 78, 96],
  [6, 8, 9, 11, 13, 16, 19, 22, 25, 29, 32, 36, 40, 44, 50, 56, 66, 78, 92, 110, 135],
  [10, 12, 15, 18, 21, 25, 30, 35, 40, 46, 52, 57, 63, 70, 80, 90, 105, 125, 150, 175, 210],
  [14, 18, 22, 27, 33, 39, 46, 54, 63, 72, 81, 89, 97, 110, 125, 140, 165, 195, 230, 280, 330],
  [25, 30, 36, 43, 52, 62, 74, 87, 100, 115, 130, 140, 155, 175, 200, 230, 260, 310, 370, 440, 540],
  [40, 48, 58, 70, 84, 100, 120, 140, 160, 185, 210, 230, 250, 280, 320, 360, 420, 500, 600, 700, 860],
  [60, 75, 90, 110, 130, 160, 190, 220, 250, 290, 320, 360, 400, 440, 500, 560, 660, 780, 920, 1100, 1350],
  [
    100, 120, 150, 180, 210, 250, 300, 350, 400, 460, 520, 570, 630, 700, 800, 900, 1050, 1250, 1500, 1750,
    2100,
  ],
  [
    140, 180, 220, 270, 330, 390, 460, 540, 630, 720, 810, 890, 970, 1100, 1250, 1400, 1650, 1950, 2300, 2800,
    3300,
  ],
  [
    250, 300, 360, 430, 520, 620, 740, 870, 1000, 1150, 1300, 1400, 1550, 1750, 2000, 2300, 2600, 3100, 3700,
    4400, 5400,
  ],
  [
    400, 480, 580, 700, 840, 1000, 1200, 1400, 1600, 1850, 2100, 2300, 2500, 2800, 3200, 3600, 4200, 5000,
    6000, 7000, 8600,
  ],
  [
    600, 750, 900, 1100, 1300, 1600, 1900, 2200, 2500, 2900, 3200, 3600, 4000, 4400, 5000, 5600, 6600, 7800,
    9200, 11000, 13500,
  ],
  [
    1000, 1200, 1500, 1800, 2100, 2500, 3000, 3500, 4000, 4600, 5200, 5700, 6300, 7000, 8000, 9000, 10500,
    12500, 15000, 17500, 21000,
  ],
  [
    1400, 1800, 2200, 2700, 3300, 3900, 4600, 5400, 6300, 7200, 8100, 8900, 9700, 11000, 12500, 14000, 16500,
    19500, 23000, 28000, 33000,
  ],
];

/** The number of the range a size falls in: ranges are over their lower end, up to and including their upper one. */
export function rangeOf(nominalMm: number, ranges: readonly number[]): number {
  return ranges.findIndex((upTo) => nominalMm <= upTo);
}

/** The grade as the standard writes it: IT01, IT0, IT7. */
export function gradeName(grade: Grade): string {
  return grade === -1 ? 'IT01' : `IT${grade}`;
}

/**
 * The standard tolerance of a grade at a size.
 *
 * @param nominalMm  over 0, to 3150 mm
 * @param grade      -1 for IT01, 0 for IT0, 1 to 18
 * @returns          micrometres
 * @throws NotComputable  a size or grade that ISO 286-1 has no tolerance for
 */
export function standardTolerance(nominalMm: number, grade: Grade): number {
  if (!Number.isInteger(grade) || grade < -1 || grade > 18) {
    throw new NotComputable('the grades of ISO 286 are IT01, IT0 and IT1 to IT18');
  }
  if (!(nominalMm > 0) || nominalMm > 3150) {
    throw new NotComputable(`nominal ${nominalMm} mm: ISO 286 has tolerances over 0 and up to 3150 mm`);
  }
  if (grade >= 14 && nominalMm <= 1) {
    throw new NotComputable(
      `${gradeName(grade)} at ${nominalMm} mm: ISO 286 has IT14 to IT18 only over 1 mm`,
    );
  }
  const tolerance = STANDARD_TOLERANCES[grade + 1]?.[rangeOf(nominalMm, MAIN_RANGES)];
  if (tolerance === undefined) {
    throw new NotComputable(
      `${gradeName(grade)} at ${nominalMm} mm: ISO 286 has IT01 and IT0 only to 500 mm`,
    );
  }
  return tolerance;
}
