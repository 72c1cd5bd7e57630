import { MAIN_RANGES } from './iso286-grades.ts';

/** Upper ends of the narrower ranges in mm, in which the letters far from the nominal size change. */
export const NARROW_RANGES = [
  3, 6, 10, 14, 18, 24, 30, 40, 50, 65, 80, 100, 120, 140, 160, 180, 200, 225, 250, 280, 315, 355, 400, 450,
  500, 560, 630, 710, 800, 900, 1000, 1120, 1250, 1400, 1600, 1800, 2000, 2240, 2500, 2800, 3150,
] as const;

/** A row of a table: the ranges it goes by, how many of the smallest it leaves out, and the values from there on. */
export interface DeviationRow {
  ranges: readonly number[];
  leftOut: number;
  values: readonly number[];
}

const main = (values: number[]): DeviationRow => ({ ranges: MAIN_RANGES, leftOut: 0, values });
const narrow = (values: number[], leftOut = 0): DeviationRow => ({ ranges: NARROW_RANGES, leftOut, values });

/*
 * Distances in micrometres of the tolerance zone from the nominal size.
 *
 * Source: ISO 286-1:2010, tables 4 and 5 (shafts); the holes follow from them by the rules in iso286.ts. To 500 mm the
 * values agree with Machine Drawing (textbook), tables 15.2, and the table "fundamental deviations for holes N to ZC,
 * EN ISO 286-1" at usefastener.com; above 500 mm with "Table 5: fundamental deviations of holes and shafts" of a mould
 * maker's catalogue (online.flipbuilder.com/zmgi/xitc, page 279). Every value here agrees with a second transcription of
 * the standard's tables 2 to 5, among them cd, ef and fg over 10 mm, which came with the 2010 edition. ef over 18 to
 * 30 mm is 28, not the 25 misprinted there; that its corrigendum of 2013 says so is from memory.
 */

/** a to h: the zone ends this far below the nominal size, whatever the grade (es is minus the value). */
export const BELOW_NOMINAL: Readonly<Record<string, DeviationRow>> = {
  a: narrow([
    270, 270, 280, 290, 290, 300, 300, 310, 320, 340, 360, 380, 410, 460, 520, 580, 660, 740, 820, 920, 1050,
    1200, 1350, 1500, 1650,
  ]),
  b: narrow([
    140, 140, 150, 150, 150, 160, 160, 170, 180, 190, 200, 220, 240, 260, 280, 310, 340, 380, 420, 480, 540,
    600, 680, 760, 840,
  ]),
  c: narrow([
    60, 70, 80, 95, 95, 110, 110, 120, 130, 140, 150, 170, 180, 200, 210, 230, 240, 260, 280, 300, 330, 360,
    400, 440, 480,
  ]),
  cd: main([34, 46, 56, 70, 85, 100]),
  d: main([
    20, 30, 40, 50, 65, 80, 100, 120, 145, 170, 190, 210, 230, 260, 290, 320, 350, 390, 430, 480, 520,
  ]),
  e: main([14, 20, 25, 32, 40, 50, 60, 72, 85, 100, 110, 125, 135, 145, 160, 170, 195, 220, 240, 260, 290]),
  ef: main([10, 14, 18, 23, 28, 35]),
  f: main([6, 10, 13, 16, 20, 25, 30, 36, 43, 50, 56, 62, 68, 76, 80, 86, 98, 110, 120, 130, 145]),
  fg: main([4, 6, 8, 10, 12, 15]),
  g: main([2, 4, 5, 6, 7, 9, 10, 12, 14, 15, 17, 18, 20, 22, 24, 26, 28, 30, 32, 34, 38]),
  h: main([0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0]),
};

/** k at IT4 to IT7 to 500 mm; at other grades and above 500 mm k begins at the nominal size. */
export const K_ABOVE_NOMINAL: DeviationRow = main([0, 1, 1, 1, 2, 2, 2, 3, 3, 4, 4, 4, 5]);

/** m to zc: the zone begins this far above the nominal size, whatever the grade (ei is the value). */
export const ABOVE_NOMINAL: Readonly<Record<string, DeviationRow>> = {
  m: main([2, 4, 6, 7, 8, 9, 11, 13, 15, 17, 20, 21, 23, 26, 30, 34, 40, 48, 58, 68, 76]),
  n: main([4, 8, 10, 12, 15, 17, 20, 23, 27, 31, 34, 37, 40, 44, 50, 56, 66, 78, 92, 110, 135]),
  p: main([6, 12, 15, 18, 22, 26, 32, 37, 43, 50, 56, 62, 68, 78, 88, 100, 120, 140, 170, 195, 240]),
  r: narrow([
    10, 15, 19, 23, 23, 28, 28, 34, 34, 41, 43, 51, 54, 63, 65, 68, 77, 80, 84, 94, 98, 108, 114, 126, 132,
    150, 155, 175, 185, 210, 220, 250, 260, 300, 330, 370, 400, 440, 460, 550, 580,
  ]),
  s: narrow([
    14, 19, 23, 28, 28, 35, 35, 43, 43, 53, 59, 71, 79, 92, 100, 108, 122, 130, 140, 158, 170, 190, 208, 232,
    252, 280, 310, 340, 380, 430, 470, 520, 580, 640, 720, 820, 920, 1000, 1100, 1250, 1400,
  ]),
  t: narrow(
    [
      41, 48, 54, 66, 75, 91, 104, 122, 134, 146, 166, 180, 196, 218, 240, 268, 294, 330, 360, 400, 450, 500,
      560, 620, 680, 780, 840, 960, 1050, 1200, 1350, 1500, 1650, 1900, 2100,
    ],
    6,
  ),
  u: narrow([
    18, 23, 28, 33, 33, 41, 48, 60, 70, 87, 102, 124, 144, 170, 190, 210, 236, 258, 284, 315, 350, 390, 435,
    490, 540, 600, 660, 740, 840, 940, 1050, 1150, 1300, 1450, 1600, 1850, 2000, 2300, 2500, 2900, 3200,
  ]),
  v: narrow(
    [39, 47, 55, 68, 81, 102, 120, 146, 172, 202, 228, 252, 284, 310, 340, 385, 425, 475, 530, 595, 660],
    4,
  ),
  x: narrow([
    20, 28, 34, 40, 45, 54, 64, 80, 97, 122, 146, 178, 210, 248, 280, 310, 350, 385, 425, 475, 525, 590, 660,
    740, 820,
  ]),
  y: narrow(
    [63, 75, 94, 114, 144, 174, 214, 254, 300, 340, 380, 425, 470, 520, 580, 650, 730, 820, 920, 1000],
    5,
  ),
  z: narrow([
    26, 35, 42, 50, 60, 73, 88, 112, 136, 172, 210, 258, 310, 365, 415, 465, 520, 575, 640, 710, 790, 900,
    1000, 1100, 1250,
  ]),
  za: narrow([
    32, 42, 52, 64, 77, 98, 118, 148, 180, 226, 274, 335, 400, 470, 535, 600, 670, 740, 820, 920, 1000, 1150,
    1300, 1450, 1600,
  ]),
  zb: narrow([
    40, 50, 67, 90, 108, 136, 160, 200, 242, 300, 360, 445, 525, 620, 700, 780, 880, 960, 1050, 1200, 1300,
    1500, 1650, 1850, 2100,
  ]),
  zc: narrow([
    60, 80, 97, 130, 150, 188, 218, 274, 325, 405, 480, 585, 690, 800, 900, 1000, 1150, 1250, 1350, 1550,
    1700, 1900, 2100, 2400, 2600,
  ]),
};

/** j by grade: lower deviations ei. Table 4; no other grade, and nothing above 500 mm. */
export const J_SHAFT: Readonly<Record<number, DeviationRow>> = {
  5: main([-2, -2, -2, -3, -4, -5, -7, -9, -11, -13, -16, -18, -20]),
  6: main([-2, -2, -2, -3, -4, -5, -7, -9, -11, -13, -16, -18, -20]),
  7: main([-4, -4, -5, -6, -8, -10, -12, -15, -18, -21, -26, -28, -32]),
  8: main([-6]),
};

/** J by grade: upper deviations ES. Table 2; no other grade, and nothing above 500 mm. */
export const J_HOLE: Readonly<Record<number, DeviationRow>> = {
  6: main([2, 5, 5, 6, 8, 10, 13, 16, 18, 22, 25, 29, 33]),
  7: main([4, 6, 8, 10, 12, 14, 18, 22, 26, 30, 36, 39, 43]),
  8: main([6, 10, 12, 15, 20, 24, 28, 34, 41, 47, 55, 60, 66]),
};
