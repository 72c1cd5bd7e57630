import {
  type CharacteristicLimits,
  type GeneralClass,
  type LengthUnit,
  limitsOf,
  MM_PER_INCH,
  parseCharacteristic,
  plainNumber,
  withoutDust,
} from '../specs/index.ts';

/** A characteristic as it is kept. */
export interface KeptCharacteristic {
  id: number;
  position: number;
  label: string;
  text: string;
  isKey: boolean;
}

/** A line of a limits table. Figures are text, in `unit`. */
export interface LimitsRow extends KeptCharacteristic {
  kind: 'size' | 'angle' | 'requirement';
  lower: string;
  upper: string;
  lowerDeviation: string;
  upperDeviation: string;
  unit: string;
  /** where the limits are from */
  source: string;
  /** the limits in the drawing's own unit, where the table is in the other */
  drawn: string;
  /** the unit the drawing means, where the table is in the other and the text does not say it; else empty */
  drawnUnit: string;
  /** why there are none; empty where there are, and for a requirement */
  missing: string;
}

/** Limits in the asked unit, never wider than the true ones. */
export interface ShownLimits {
  lower: string;
  upper: string;
  lowerDeviation: string;
  upperDeviation: string;
  unit: string;
}

const FEWEST_PLACES = 5;
const MOST_PLACES = 9;
/** More than this nobody draws: it came of a standard's millimetres on a size in inches, and is rounded as one converted. */
const MOST_DRAWN_PLACES = 6;
/** Share of the tolerance that rounding may take from it. */
const MOST_LOSS = 0.05;

/**
 * Limits in mm or in inches, by exactly 25.4 mm an inch.
 *
 * A converted limit rarely ends; it is rounded inwards, to as many places (five at least) as take no more than a
 * twentieth of the tolerance, so that a part inside the shown limits is inside the true ones.
 *
 * Source: the inch is 25.4 mm (ISO 31-1); rounding inwards so that the original limits are never exceeded is the second
 * method of ISO 370, given from memory.
 * Example: 25 to 25.021 mm in inches -> 0.98426 to 0.98507
 */
export function shownLimits(limits: CharacteristicLimits, wanted: LengthUnit): ShownLimits {
  const { unit, lowerLimit, upperLimit, lowerDeviation, upperDeviation } = limits;
  const isEven = [lowerLimit, upperLimit].every((limit) => decimals(limit) <= MOST_DRAWN_PLACES);
  if (unit === 'deg' || (unit === wanted && isEven)) {
    return {
      lower: plainNumber(lowerLimit),
      upper: plainNumber(upperLimit),
      lowerDeviation: signed(lowerDeviation, MOST_PLACES),
      upperDeviation: signed(upperDeviation, MOST_PLACES),
      unit: unit === 'deg' ? '°' : unit,
    };
  }
  // To a millionth of a micrometre: an inch value that came from millimetres carries dust of that order.
  const factor = unit === wanted ? 1 : wanted === 'in' ? 1 / MM_PER_INCH : MM_PER_INCH;
  const convert = (value: number) => Number((value * factor).toFixed(MOST_PLACES));
  const places = placesFor(convert(lowerLimit), convert(upperLimit));
  return {
    lower: plainNumber(roundedUp(convert(lowerLimit), places)),
    upper: plainNumber(roundedDown(convert(upperLimit), places)),
    lowerDeviation: signed(roundedUp(convert(lowerDeviation), places), places),
    upperDeviation: signed(roundedDown(convert(upperDeviation), places), places),
    unit: wanted,
  };
}

function decimals(value: number): number {
  return plainNumber(value).split('.')[1]?.length ?? 0;
}

function placesFor(lower: number, upper: number): number {
  for (let places = FEWEST_PLACES; places < MOST_PLACES; places++) {
    const left = roundedDown(upper, places) - roundedUp(lower, places);
    if (left >= (upper - lower) * (1 - MOST_LOSS)) return places;
  }
  return MOST_PLACES;
}

// The ends, which have nine places at most, are freed of binary dust first: 32.05 / 0.00001 must not count as
// 3204999.9999999995.
const steps = (value: number, places: number) => Number((value * 10 ** places).toFixed(MOST_PLACES - places));

function roundedUp(value: number, places: number): number {
  return withoutDust(Math.ceil(steps(value, places)) / 10 ** places);
}

function roundedDown(value: number, places: number): number {
  return withoutDust(Math.floor(steps(value, places)) / 10 ** places);
}

function signed(value: number, places: number): string {
  const text = plainNumber(Number(value.toFixed(places)));
  return value > 0 ? `+${text}` : text.replace('-', '−');
}

/** A line of the limits table. @param generalClass  the revision's ISO 2768-1 class, null where it names none */
export function limitsRow(
  characteristic: KeptCharacteristic,
  generalClass: GeneralClass | null,
  unit: LengthUnit,
): LimitsRow {
  const { id, position, label, text, isKey } = characteristic;
  const none = {
    lower: '',
    upper: '',
    lowerDeviation: '',
    upperDeviation: '',
    unit: '',
    source: '',
    drawn: '',
    drawnUnit: '',
  };
  const kept = { id, position, label, text, isKey };
  const reading = parseCharacteristic(text);
  if (!reading.ok) return { ...kept, ...none, kind: 'requirement', missing: reading.message };
  const { kind } = reading.characteristic;
  if (kind === 'requirement') return { ...kept, ...none, kind, missing: '' };
  const limits = limitsOf(reading.characteristic, generalClass);
  if ('refusal' in limits) return { ...kept, ...none, kind, missing: `${limits.refusal}.` };
  const shown = shownLimits(limits, unit);
  const converted = limits.unit !== 'deg' && limits.unit !== unit;
  const own = limits.unit === 'deg' ? shown : shownLimits(limits, limits.unit);
  return {
    ...kept,
    ...shown,
    kind,
    source: limits.source,
    drawn: converted ? `${own.lower} to ${own.upper} ${own.unit}` : '',
    drawnUnit: converted && limits.unit === 'mm' ? 'mm' : '',
    missing: '',
  };
}
