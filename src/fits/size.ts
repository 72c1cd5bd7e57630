import {
  characteristicText,
  type GeneralClass,
  type LengthUnit,
  limitsOf,
  parseCharacteristic,
  toMm,
  withoutDust,
  zoneOf,
} from '../specs/index.ts';

/** A length with its limits at 20 °C, in mm, and how it is drawn. */
export interface Size {
  nominal: number;
  lower: number;
  upper: number;
  /** the unit it is drawn in */
  unit: LengthUnit;
  /** as drawn: 25 H7 */
  text: string;
  /** ISO 286 zone, where it is drawn by one */
  zone: string | null;
}

export type ReadSize = { ok: true; size: Size } | { ok: false; sentence: string };

/** What a fit takes a size for; a chain takes any. */
export type Feature = 'hole' | 'shaft' | 'any';

const wrong = (sentence: string): ReadSize => ({ ok: false, sentence });

/**
 * The size that a characteristic's text tells, if it can be one side of a fit or a link of a chain.
 *
 * Inches are turned into mm by exactly 25.4; the text keeps the unit it is drawn in.
 *
 * @param text          25 H7, 12.5 +0.1 0, 3/8 in ±0.005
 * @param generalClass  ISO 2768-1 class of its revision; null where none is named
 * @returns             or a sentence: an angle, a requirement, no limits, a shaft's zone for a hole
 */
export function sizeOf(text: string, generalClass: GeneralClass | null, feature: Feature): ReadSize {
  const reading = parseCharacteristic(text);
  if (!reading.ok) return wrong(`${reading.message}.`);
  const { characteristic } = reading;
  if (characteristic.kind === 'requirement') {
    return wrong(`${reading.text} is no size: type a length with its limits, such as 25 H7 or 12.5 +0.1 0.`);
  }
  if (characteristic.kind === 'angle') return wrong(`${reading.text} is an angle: a length is needed here.`);
  if (feature !== 'any' && characteristic.symbol === 'R') {
    return wrong(`${reading.text} is a radius: a fit goes by diameters or widths.`);
  }
  const zone = characteristic.tolerance.by === 'zone' ? characteristic.tolerance.zone : null;
  if (zone !== null && feature !== 'any' && zoneOf(zone).feature !== feature) {
    const other = feature === 'hole' ? 'shaft' : 'hole';
    return wrong(
      `${zone} is a zone of a ${other}, and this side is the ${feature}: capital letters are for holes, small letters for shafts.`,
    );
  }
  if (characteristic.tolerance.by === 'general' && generalClass === null) {
    return wrong(`${reading.text} has no limits: write them beside it, as in ${reading.text} ±0.1.`);
  }
  const limits = limitsOf(characteristic, generalClass);
  if ('refusal' in limits) return wrong(`${limits.refusal}.`);
  const { unit } = characteristic;
  const [lower, upper] = [toMm(limits.lowerLimit, unit), toMm(limits.upperLimit, unit)];
  if (!(lower > 0)) return wrong(`${reading.text}: its lower limit, ${lower} mm, is not above 0.`);
  return {
    ok: true,
    size: {
      nominal: withoutDust(toMm(characteristic.nominal, unit)),
      lower,
      upper,
      unit,
      text: characteristicText(characteristic),
      zone,
    },
  };
}
