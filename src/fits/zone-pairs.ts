import { NotComputable } from '../platform/not-computable.ts';
import { standardTolerance, withoutDust, zoneDeviations } from '../specs/index.ts';
import type { TemperatureRange } from './conditions.ts';
import { type FitVerdict, fitVerdict, type MovingSize } from './fit-verdict.ts';
import type { Size } from './size.ts';
import type { Gap } from './wanted.ts';

/** ISO 286 grades that a process holds; null where they are not known. */
export interface HeldGrades {
  usual: number | null;
  best: number | null;
}

/** A side that a suggestion may change, or a bought one, which it may not. */
export interface PairSide extends MovingSize {
  grades: HeldGrades;
  bought: boolean;
}

export type Held = 'usual' | 'best' | 'not known';

/** Zones that would do. The name of a bought side is what it has. */
export interface ZonePair {
  hole: string;
  shaft: string;
  verdict: FitVerdict;
  /** whether both processes hold it by their usual grade, only by their best one, or it is not known of one */
  held: Held;
  /** common on the hole-basis list */
  common: boolean;
  /** how far the limits move from what is drawn, in mm */
  moved: number;
}

/**
 * Pairs that shops keep reamers and gauges for.
 *
 * Source: of the preferred fits of the hole-basis system in ISO 286-1:2010, from memory.
 */
const COMMON = new Set(
  'H6/g5 H6/h5 H7/f6 H7/g6 H7/h6 H7/js6 H7/k6 H7/m6 H7/n6 H7/p6 H7/r6 H7/s6 H7/u6 H8/e7 H8/f7 H8/h7 H8/d8 H8/e8 H8/f8 H8/h8 H9/d9 H9/e9 H9/h9 H10/d10 H10/h10 H11/b11 H11/c11 H11/d11 H11/h11'.split(
    ' ',
  ),
);

const SHAFT_LETTERS = 'a b c d e f g h js k m n p r s t u'.split(' ');
const HOLE_LETTERS = 'A B C D E F G H JS K M N P R S'.split(' ');
const HOLE_BASIS_GRADES = [6, 7, 8, 9, 10, 11, 12, 13, 14];
const GRADES = [5, ...HOLE_BASIS_GRADES];

function zoned(size: Size, zone: string): Size | null {
  try {
    const { upper, lower } = zoneDeviations(size.nominal, zone);
    return {
      ...size,
      lower: withoutDust(size.nominal + lower / 1000),
      upper: withoutDust(size.nominal + upper / 1000),
      text: `${size.nominal} ${zone}`,
      zone,
    };
  } catch (fault) {
    if (fault instanceof NotComputable) return null; // the standard leaves this size out of the zone
    throw fault;
  }
}

const gradeOfZone = (zone: string) => Number(/\d+$/.exec(zone)?.[0] ?? 0);

function held(side: PairSide, zone: string): Held | 'no' {
  if (side.bought) return 'usual';
  const grade = gradeOfZone(zone);
  const { usual, best } = side.grades;
  if (usual === null && best === null) return 'not known';
  if (usual !== null && grade >= usual) return 'usual';
  return grade >= (best ?? Number.POSITIVE_INFINITY) ? 'best' : 'no';
}

function candidates(hole: PairSide, shaft: PairSide): [string | null, string | null][] {
  if (hole.bought && shaft.bought) return [];
  if (hole.bought)
    return SHAFT_LETTERS.flatMap((letter) =>
      GRADES.map((grade) => [null, `${letter}${grade}`] as [null, string]),
    );
  if (shaft.bought)
    return HOLE_LETTERS.flatMap((letter) =>
      GRADES.map((grade) => [`${letter}${grade}`, null] as [string, null]),
    );
  return HOLE_BASIS_GRADES.flatMap((grade) =>
    SHAFT_LETTERS.flatMap((letter) =>
      [grade - 1, grade].map((own) => [`H${grade}`, `${letter}${own}`] as [string, string]),
    ),
  );
}

const movedBy = (from: Size, to: Size) => Math.abs(from.lower - to.lower) + Math.abs(from.upper - to.upper);

/**
 * Standard zones that give what is wanted in every condition and that the processes can hold, nearest to what is drawn
 * first. Hole basis (H), a shaft of the same grade or one finer; where one side is bought, the other side alone.
 *
 * Those held by the usual grades come first; those held only at a process's best, or by a process whose grades are not
 * known, are given only where there are none.
 *
 * @returns  at most `most`
 */
export function zonePairs(
  hole: PairSide,
  shaft: PairSide,
  wanted: Gap,
  range: TemperatureRange,
  most = 5,
): ZonePair[] {
  const pairs: ZonePair[] = [];
  for (const [holeZone, shaftZone] of candidates(hole, shaft)) {
    const heldBy = [
      holeZone === null ? 'usual' : held(hole, holeZone),
      shaftZone === null ? 'usual' : held(shaft, shaftZone),
    ];
    if (heldBy.includes('no')) continue;
    const holeSize = holeZone === null ? hole.size : zoned(hole.size, holeZone);
    // the shaft is drawn about the hole's nominal size when both may change
    const shaftSize =
      shaftZone === null ? shaft.size : zoned({ ...shaft.size, nominal: hole.size.nominal }, shaftZone);
    if (!holeSize || !shaftSize) continue;
    if (wanted.max - wanted.min < holeSize.upper - holeSize.lower + shaftSize.upper - shaftSize.lower - 1e-9)
      continue;
    const verdict = fitVerdict(
      { size: holeSize, movement: hole.movement },
      { size: shaftSize, movement: shaft.movement },
      wanted,
      range,
    );
    if (verdict.verdict !== 'fits') continue;
    pairs.push({
      hole: holeZone ?? hole.size.text,
      shaft: shaftZone ?? shaft.size.text,
      verdict,
      held: heldBy.includes('best') ? 'best' : heldBy.includes('not known') ? 'not known' : 'usual',
      common: COMMON.has(`${holeZone}/${shaftZone}`),
      moved: withoutDust(movedBy(hole.size, holeSize) + movedBy(shaft.size, shaftSize)),
    });
  }
  const usual = pairs.filter((pair) => pair.held === 'usual');
  const known = usual.length ? usual : pairs;
  return known.sort((a, b) => a.moved - b.moved || Number(b.common) - Number(a.common)).slice(0, most);
}

/** What the wish leaves for both tolerances together, and what the processes usually need; in mm. */
export interface Room {
  /** between the wanted limits */
  wide: number;
  /** taken by the parts growing differently */
  taken: number;
  /** the two usual grades together; null where one is not known */
  needed: number | null;
}

/** Why no zones may be found: how wide the wish is, what the conditions take of it, and what the tolerances need. */
export function roomFor(hole: PairSide, shaft: PairSide, wanted: Gap, verdict: FitVerdict): Room {
  const middles = verdict.rows.map(({ min, max }) => (min + max) / 2);
  const need = ({ size, grades, bought }: PairSide): number | null => {
    if (bought) return size.upper - size.lower;
    if (grades.usual === null || size.nominal > 3150) return null;
    return standardTolerance(Math.max(size.nominal, 1.001), grades.usual) / 1000;
  };
  const [holeNeed, shaftNeed] = [need(hole), need(shaft)];
  return {
    wide: withoutDust(wanted.max - wanted.min),
    taken: middles.length ? withoutDust(Math.max(...middles) - Math.min(...middles)) : 0,
    needed: holeNeed === null || shaftNeed === null ? null : withoutDust(holeNeed + shaftNeed),
  };
}
