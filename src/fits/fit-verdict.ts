import { clearance, type FitCharacter, normalChanceBetween, withoutDust } from '../specs/index.ts';
import {
  type Condition,
  conditionsFor,
  growth,
  type Movement,
  REFERENCE,
  type TemperatureRange,
} from './conditions.ts';
import type { Size } from './size.ts';
import { type VerdictOver, verdictOver } from './verdict.ts';
import type { Gap } from './wanted.ts';

/** One side: its limits at 20 °C, and how it moves. */
export interface MovingSize {
  size: Size;
  movement: Movement;
}

/** The clearance in one condition, in mm. */
export interface FitAt extends Gap {
  condition: Condition;
  character: FitCharacter;
  chanceOfInterference: number;
  /** chance that a pair taken at random has the wanted clearance */
  chanceInside: number;
  /** what is to spare at the tight end and at the loose end; below 0 it is not met */
  spareTight: number;
  spareLoose: number;
}

export type FitVerdict = VerdictOver<FitAt>;

function fitAt(hole: MovingSize, shaft: MovingSize, wanted: Gap, condition: Condition): FitAt | null {
  const [holeGrowth, shaftGrowth] = [growth(hole.movement, condition), growth(shaft.movement, condition)];
  if (holeGrowth === null || shaftGrowth === null) return null;
  const grown = ({ lower, upper }: Size, factor: number) => ({
    lowerLimit: lower * factor,
    upperLimit: upper * factor,
  });
  const [holeNow, shaftNow] = [grown(hole.size, holeGrowth), grown(shaft.size, shaftGrowth)];
  const { minClearance: min, maxClearance: max, ...rest } = clearance(holeNow, shaftNow);
  const deviation =
    Math.hypot(holeNow.upperLimit - holeNow.lowerLimit, shaftNow.upperLimit - shaftNow.lowerLimit) / 6;
  return {
    condition,
    min,
    max,
    ...rest,
    chanceInside: normalChanceBetween((min + max) / 2, deviation, wanted.min, wanted.max),
    spareTight: withoutDust(min - wanted.min),
    spareLoose: withoutDust(wanted.max - max),
  };
}

/**
 * Whether a shaft goes with a hole as wanted, at 20 °C and wherever the machine will stand.
 *
 * Both parts have the same temperature and stand in the same air. Chances take each size as normal about the middle of
 * its limits, with six standard deviations across them.
 *
 * @param wanted  clearance in mm
 * @param range   temperatures the machine will see, in °C
 * @throws NotComputable  below absolute zero
 *
 * Source: ISO 286-1:2010 for clearance and interference, ISO 1 for 20 °C; linear expansion and the six standard
 * deviations are common practice, no source.
 * Example: 25 H7 in aluminium (23.4), 25 g6 in steel (12), sliding, 5 to 35 °C -> fits, 0.0027 mm to spare at 5 °C
 */
export function fitVerdict(
  hole: MovingSize,
  shaft: MovingSize,
  wanted: Gap,
  range: TemperatureRange,
): FitVerdict {
  return verdictOver(conditionsFor(range, [hole.movement, shaft.movement]), (condition) =>
    fitAt(hole, shaft, wanted, condition),
  );
}

/** The clearance at 20 °C, as drawn. */
export function atReference(verdict: FitVerdict): FitAt | null {
  return (
    verdict.rows.find(
      ({ condition }) => condition.celsius === REFERENCE.celsius && condition.air === REFERENCE.air,
    ) ?? null
  );
}
