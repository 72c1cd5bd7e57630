import { NotComputable } from '../platform/not-computable.ts';
import { normalChance } from './chain-normal.ts';
import { withoutDust } from './inch.ts';
import { ISO_286_SOURCE, zoneDeviations, zoneOf } from './iso286.ts';
import { LARGEST_SIZE_MM } from './iso2768.ts';
import { expansionFactor } from './temperature.ts';

/** One side of a fit: an ISO 286 zone, or deviations from the nominal size in mm. */
export type FitSide = string | { upperDeviation: number; lowerDeviation: number };

/** The temperature both parts have, and their linear expansions in 1e-6 per K. */
export interface FitTemperature {
  celsius: number;
  holeExpansion: number;
  shaftExpansion: number;
}

/** What the fit calculator is asked; the nominal size in mm. */
export interface FitQuestion {
  nominal: number;
  hole: FitSide;
  shaft: FitSide;
  temperature?: FitTemperature;
}

/** Largest and smallest size of one side, in mm. */
export interface SizeLimits {
  upperLimit: number;
  lowerLimit: number;
}

export type FitCharacter = 'clearance' | 'transition' | 'interference';

/** What two sets of limits make of each other. Clearances in mm; below zero is interference. */
export interface Clearance {
  minClearance: number;
  maxClearance: number;
  character: FitCharacter;
  chanceOfInterference: number;
}

/** Limits and deviations from the nominal size in mm, at the temperature asked for. */
export interface FitSideAnswer extends SizeLimits {
  upperDeviation: number;
  lowerDeviation: number;
}

export interface FitAnswer extends Clearance {
  hole: FitSideAnswer;
  shaft: FitSideAnswer;
  source: string;
}

/** The limits of one side at a temperature: every length of a part grows by the same factor. */
export function limitsAt(limits: SizeLimits, expansion: number, celsius: number): SizeLimits {
  const factor = expansionFactor(expansion, celsius);
  return { upperLimit: limits.upperLimit * factor, lowerLimit: limits.lowerLimit * factor };
}

/**
 * The clearance of a shaft in a hole, both in mm, as ISO 286-1 names it.
 *
 * Clearance fits may touch (0 at worst), interference fits may just touch. The chance of interference takes both sizes
 * as normal about the middle of their limits, with six standard deviations across them, independent of each other.
 *
 * @throws NotComputable  a lower limit above its upper one, or not above 0; names the side and the values
 *
 * Source: clearance, interference and the three kinds of fit as ISO 286-1:2010 defines them; the six standard
 * deviations are common practice, no source.
 * Example: hole 25 to 25.021, shaft 24.98 to 24.993 -> 0.007 to 0.041, a clearance fit
 */
export function clearance(hole: SizeLimits, shaft: SizeLimits): Clearance {
  for (const [name, side] of Object.entries({ hole, shaft })) {
    const [upper, lower] = [withoutDust(side.upperLimit), withoutDust(side.lowerLimit)];
    if (lower > upper)
      throw new NotComputable(`${name}: lower limit ${lower} mm lies above upper ${upper} mm`);
    if (!(lower > 0)) throw new NotComputable(`${name}: lower limit ${lower} mm is not above 0`);
  }
  const minClearance = withoutDust(hole.lowerLimit - shaft.upperLimit);
  const maxClearance = withoutDust(hole.upperLimit - shaft.lowerLimit);
  const middle = (minClearance + maxClearance) / 2;
  const deviation = Math.hypot(hole.upperLimit - hole.lowerLimit, shaft.upperLimit - shaft.lowerLimit) / 6;
  return {
    minClearance,
    maxClearance,
    character: minClearance >= 0 ? 'clearance' : maxClearance <= 0 ? 'interference' : 'transition',
    chanceOfInterference: deviation === 0 ? Number(middle < 0) : normalChance(-middle / deviation),
  };
}

function sideLimits(feature: 'hole' | 'shaft', side: FitSide, nominal: number): SizeLimits {
  let [upper, lower] = [0, 0];
  if (typeof side === 'string') {
    const zone = zoneOf(side);
    if (zone.feature !== feature) {
      throw new NotComputable(
        `${feature}: ${zone.name} is a zone of a ${zone.feature}; holes have capital letters`,
      );
    }
    const deviations = zoneDeviations(nominal, zone);
    [upper, lower] = [deviations.upper / 1000, deviations.lower / 1000];
  } else {
    [upper, lower] = [side.upperDeviation, side.lowerDeviation];
    if (lower > upper) {
      throw new NotComputable(
        `${feature}: lower deviation ${lower} mm lies above upper deviation ${upper} mm`,
      );
    }
  }
  return { upperLimit: nominal + upper, lowerLimit: nominal + lower };
}

/**
 * A fit: the limits of hole and shaft, the clearance between them and how likely they interfere.
 *
 * Limits hold at 20 °C (ISO 1) and are moved by the expansions when a temperature is given; the deviations of the
 * answer are then those of the moved limits from the nominal size.
 *
 * @throws NotComputable  a nominal size of 0 or above 4000 mm, zones without a value, a shaft's zone for a hole, limits
 *                        the wrong way round
 *
 * Source: ISO 286-1:2010; see `clearance`.
 * Example: 25 H7/g6, aluminium (23) over steel (11.5) at 60 °C -> 0.0185 to 0.0525 mm
 */
export function fit({ nominal, hole, shaft, temperature }: FitQuestion): FitAnswer {
  if (!(nominal > 0)) throw new NotComputable(`nominal ${nominal} mm: a size is over 0`);
  if (nominal > LARGEST_SIZE_MM) {
    throw new NotComputable(
      `nominal ${nominal} mm is above ${LARGEST_SIZE_MM} mm, the largest size that the standards have limits for`,
    );
  }
  const answer = (side: SizeLimits): FitSideAnswer => ({
    upperDeviation: withoutDust(side.upperLimit - nominal),
    lowerDeviation: withoutDust(side.lowerLimit - nominal),
    upperLimit: withoutDust(side.upperLimit),
    lowerLimit: withoutDust(side.lowerLimit),
  });
  let holeLimits = sideLimits('hole', hole, nominal);
  let shaftLimits = sideLimits('shaft', shaft, nominal);
  if (temperature) {
    holeLimits = limitsAt(holeLimits, temperature.holeExpansion, temperature.celsius);
    shaftLimits = limitsAt(shaftLimits, temperature.shaftExpansion, temperature.celsius);
  }
  return {
    hole: answer(holeLimits),
    shaft: answer(shaftLimits),
    ...clearance(holeLimits, shaftLimits),
    source: `${ISO_286_SOURCE}; limits at 20 °C, ISO 1`,
  };
}
