import { withoutDust } from '../specs/index.ts';
import {
  type Condition,
  conditionsFor,
  conditionWords,
  growth,
  type Movement,
  type TemperatureRange,
} from './conditions.ts';
import { bestPairs } from './matching.ts';
import type { Gap } from './wanted.ts';

/** A measured piece: its size at 20 °C in mm, and by how much the last digit put down may hide, either way. */
export interface RealUnit {
  mm: number;
  unsure: number;
}

/** A hole and a shaft that are there, by their places in the lists. Lengths in mm. */
export interface RealPair {
  hole: number;
  shaft: number;
  /** in each condition that is known, in the order of `conditions` */
  clearances: number[];
  /** the least there is to spare, over all conditions */
  margin: number;
  /** less to spare than the last digits of both values may hide */
  isUnsure: boolean;
}

/** A piece that goes with none that is left, and what would save it. */
export interface LeftOver {
  side: 'hole' | 'shaft';
  unit: number;
  /** sizes of the other side that would go with it; null where none would */
  wants: { lower: number; upper: number } | null;
  /** what to take off, and of which piece, so that it goes with one that is left */
  cure: { of: 'hole' | 'shaft'; unit: number; with: number; by: number } | null;
}

export interface RealPairs {
  pairs: RealPair[];
  /** the worst margin of the pairs; null without one */
  worst: number | null;
  leftOver: LeftOver[];
  conditions: Condition[];
  notKnownAt: string[];
}

interface Fitting {
  holeMovement: Movement;
  shaftMovement: Movement;
  wanted: Gap;
  range: TemperatureRange;
}

interface Grown {
  condition: Condition;
  hole: number;
  shaft: number;
}

const marginOf = (clearances: readonly number[], { min, max }: Gap) =>
  withoutDust(Math.min(...clearances.flatMap((clearance) => [clearance - min, max - clearance])));

/** Shafts that a hole goes with in every condition, or holes that a shaft goes with; null where there are none. */
function partnersOf(side: 'hole' | 'shaft', mm: number, grown: readonly Grown[], { min, max }: Gap) {
  const ends = grown.map(({ hole, shaft }) =>
    side === 'hole'
      ? [(mm * hole - max) / shaft, (mm * hole - min) / shaft]
      : [(mm * shaft + min) / hole, (mm * shaft + max) / hole],
  );
  const lower = withoutDust(Math.max(...ends.map(([from]) => from!)));
  const upper = withoutDust(Math.min(...ends.map(([, to]) => to!)));
  return lower > upper ? null : { lower, upper };
}

/**
 * Which hole goes with which shaft, of pieces that are there: selective assembly.
 *
 * As many pairs as can be that have the wanted clearance in every condition, and of all such pairings one whose worst
 * pair has most to spare. A piece left over can be saved where metal may come off: the hole opened, or the shaft made
 * thinner; never the other way.
 *
 * @throws NotComputable  below absolute zero
 *
 * Source: see bestPairs; clearance and growth as fitVerdict has them.
 */
export function realPairs(
  holes: readonly RealUnit[],
  shafts: readonly RealUnit[],
  { holeMovement, shaftMovement, wanted, range }: Fitting,
): RealPairs {
  const grown: Grown[] = [];
  const notKnownAt: string[] = [];
  for (const condition of conditionsFor(range, [holeMovement, shaftMovement])) {
    const [hole, shaft] = [growth(holeMovement, condition), growth(shaftMovement, condition)];
    if (hole === null || shaft === null) notKnownAt.push(conditionWords(condition));
    else grown.push({ condition, hole, shaft });
  }
  const clearancesOf = (hole: RealUnit, shaft: RealUnit) =>
    grown.map((at) => withoutDust(hole.mm * at.hole - shaft.mm * at.shaft));
  const margins = holes.map((hole) => shafts.map((shaft) => marginOf(clearancesOf(hole, shaft), wanted)));
  const { partner, worst } = bestPairs(margins, shafts.length);
  const pairs = [...partner].flatMap((shaft, hole): RealPair[] => {
    if (shaft === -1) return [];
    const margin = margins[hole]![shaft]!;
    const isUnsure = margin < holes[hole]!.unsure + shafts[shaft]!.unsure - 1e-9;
    return [{ hole, shaft, clearances: clearancesOf(holes[hole]!, shafts[shaft]!), margin, isUnsure }];
  });
  const paired = new Set(pairs.map(({ shaft }) => shaft));
  const lonely = {
    hole: holes.flatMap((_, hole) => (partner[hole] === -1 ? [hole] : [])),
    shaft: shafts.flatMap((_, shaft) => (paired.has(shaft) ? [] : [shaft])),
  };
  const leftOver = (['hole', 'shaft'] as const).flatMap((side) =>
    lonely[side].map((unit): LeftOver => {
      const [own, others] = side === 'hole' ? [holes, shafts] : [shafts, holes];
      const wants = partnersOf(side, own[unit]!.mm, grown, wanted);
      const cures = lonely[side === 'hole' ? 'shaft' : 'hole'].flatMap((other) => {
        const { mm } = others[other]!;
        if (!wants) return [];
        // a hole too small or a shaft too thick: either may be worked, the one looked at here is
        const room = partnersOf(side === 'hole' ? 'shaft' : 'hole', mm, grown, wanted);
        if (!room) return [];
        const by = side === 'hole' ? room.lower - own[unit]!.mm : own[unit]!.mm - room.upper;
        return by > 0 ? [{ of: side, unit, with: other, by: withoutDust(by) }] : [];
      });
      const cure = cures.reduce<LeftOver['cure']>(
        (least, one) => (least && least.by <= one.by ? least : one),
        null,
      );
      return { side, unit, wants, cure };
    }),
  );
  return { pairs, worst, leftOver, conditions: grown.map(({ condition }) => condition), notKnownAt };
}
