import { NotComputable } from '../platform/not-computable.ts';
import { type Characteristic, characteristicText } from './characteristic-text-written.ts';
import { type LengthUnit, withoutDust } from './inch.ts';
import type { GeneralClass } from './iso2768.ts';
import { limits } from './limits.ts';

/** What a measured value is held against, in the characteristic's own unit. */
export interface CharacteristicLimits {
  upperLimit: number;
  lowerLimit: number;
  upperDeviation: number;
  lowerDeviation: number;
  unit: LengthUnit | 'deg';
  source: string;
}

/**
 * The limits of a characteristic, or the sentence that says why it has none.
 *
 * R is looked up as an external radius. An angle without deviations needs its shorter side for the general class.
 *
 * @param generalClass  ISO 2768-1 class of the revision, null where it names none
 *
 * Example: 25 H7 -> 25 to 25.021 mm; 25 with class m -> 24.8 to 25.2 mm; 25 with no class -> { refusal }
 */
export function limitsOf(
  characteristic: Characteristic,
  generalClass: GeneralClass | null,
): CharacteristicLimits | { refusal: string } {
  if (characteristic.kind === 'requirement')
    return { refusal: 'a requirement has no limits: it holds or it does not' };
  const { nominal, unit, tolerance } = characteristic;
  const between = (upperDeviation: number, lowerDeviation: number, source: string): CharacteristicLimits => ({
    upperLimit: withoutDust(nominal + upperDeviation),
    lowerLimit: withoutDust(nominal + lowerDeviation),
    upperDeviation,
    lowerDeviation,
    unit,
    source,
  });
  if (tolerance.by === 'deviation')
    return between(tolerance.upper, tolerance.lower, 'as written on the drawing');

  const text = characteristicText(characteristic);
  try {
    if (characteristic.kind === 'size' && tolerance.by === 'zone') {
      const answer = limits({ nominal, unit: characteristic.unit, zone: tolerance.zone });
      return between(answer.upperDeviation, answer.lowerDeviation, `${answer.source}, ${tolerance.zone}`);
    }
    if (generalClass === null) {
      return {
        refusal: `${text} has no limits: none stand beside it, and the revision names no general tolerance`,
      };
    }
    if (characteristic.kind === 'angle') {
      const side = characteristic.shorterSide;
      if (side === undefined) {
        return {
          refusal:
            `${text} has no limits: ISO 2768-1 goes by the shorter side; ` +
            `write the limits beside it, or the side in mm as in ${text} side 40`,
        };
      }
      const answer = limits({ nominal: side, generalClass, kind: 'angle' });
      return between(answer.upperDeviation, answer.lowerDeviation, answer.source);
    }
    const kind = characteristic.symbol === 'R' ? 'radius' : 'linear';
    const answer = limits({ nominal, unit: characteristic.unit, generalClass, kind });
    return between(answer.upperDeviation, answer.lowerDeviation, answer.source);
  } catch (error) {
    if (error instanceof NotComputable) return { refusal: `${text} has no limits: ${error.message}` };
    throw error;
  }
}
