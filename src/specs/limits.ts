import { fromMm, type LengthUnit, toMm } from './inch.ts';
import { ISO_286_SOURCE, zoneDeviations } from './iso286.ts';
import { type GeneralClass, type GeneralKind, generalTolerance, ISO_2768_SOURCE } from './iso2768.ts';

/** What the limits calculator is asked: a size with a zone, or with a class of general tolerance. */
export type LimitsQuestion =
  | { nominal: number; unit?: LengthUnit; zone: string }
  | { nominal: number; unit?: LengthUnit; generalClass: GeneralClass; kind?: GeneralKind };

/** Deviations from the nominal size and the limits they give, in the unit asked for. */
export interface LimitsAnswer {
  upperDeviation: number;
  lowerDeviation: number;
  /** None for an angle: the question names the shorter side, not the angle. */
  upperLimit: number | null;
  lowerLimit: number | null;
  source: string;
}

/**
 * The limits of a size by ISO 286 or ISO 2768-1.
 *
 * A size in inches is looked up by its millimetres and answered in inches. For an angle the nominal is the length of
 * the shorter side, the deviations are degrees, and there are no limits, as the angle itself is not asked for.
 *
 * @param question  nominal over 0 in mm, or in inches when unit is "in"
 * @throws NotComputable  a size, zone or class that the standard has no value for
 *
 * Source: ISO 286-1:2010; ISO 2768-1:1989.
 * Example: limits({ nominal: 25, zone: 'g6' }) -> -0.007 and -0.02, so 24.993 and 24.98
 */
export function limits(question: LimitsQuestion): LimitsAnswer {
  const unit = question.unit ?? 'mm';
  const nominalMm = toMm(question.nominal, unit);
  if ('zone' in question) {
    const { upper, lower } = zoneDeviations(nominalMm, question.zone);
    return between(question.nominal, unit, upper / 1000, lower / 1000, ISO_286_SOURCE);
  }
  const kind = question.kind ?? 'linear';
  const tolerance = generalTolerance(nominalMm, question.generalClass, kind);
  const source = `${ISO_2768_SOURCE}, class ${question.generalClass}, ${kind}`;
  if (kind === 'angle') {
    return {
      upperDeviation: tolerance,
      lowerDeviation: -tolerance,
      upperLimit: null,
      lowerLimit: null,
      source,
    };
  }
  return between(question.nominal, unit, tolerance, -tolerance, source);
}

function between(
  nominal: number,
  unit: LengthUnit,
  upperMm: number,
  lowerMm: number,
  source: string,
): LimitsAnswer {
  const nominalMm = toMm(nominal, unit);
  return {
    upperDeviation: fromMm(upperMm, unit),
    lowerDeviation: fromMm(lowerMm, unit),
    upperLimit: fromMm(nominalMm + upperMm, unit),
    lowerLimit: fromMm(nominalMm + lowerMm, unit),
    source,
  };
}
