import type { LengthUnit } from './inch.ts';

/** How far a value may be off: written beside it, by an ISO 286 zone, or by the revision's ISO 2768-1 class. */
export type Tolerance =
  | { by: 'deviation'; upper: number; lower: number }
  | { by: 'zone'; zone: string }
  | { by: 'general' };

/** A length on the drawing, everything in its own unit. Ø marks a diameter, R a radius. */
export interface SizeCharacteristic {
  kind: 'size';
  nominal: number;
  unit: LengthUnit;
  tolerance: Tolerance;
  symbol?: 'Ø' | 'R';
}

/** An angle in degrees. ISO 2768-1 goes by the length of its shorter side, in mm, where that is given. */
export interface AngleCharacteristic {
  kind: 'angle';
  nominal: number;
  unit: 'deg';
  tolerance: Exclude<Tolerance, { by: 'zone' }>;
  shorterSide?: number;
}

/** Something to look at and say yes or no to: a thread, a finish, burrs. */
export interface RequirementCharacteristic {
  kind: 'requirement';
  text: string;
}

/** One dimension or requirement of a drawing. */
export type Characteristic = SizeCharacteristic | AngleCharacteristic | RequirementCharacteristic;

/** A number in plain digits, without exponent or trailing zeros; to a millionth of a micrometre. */
export function plainNumber(value: number): string {
  const digits = value.toFixed(9).replace(/\.?0+$/, '');
  return digits === '-0' ? '0' : digits;
}

function signed(value: number, mark: string): string {
  return `${value > 0 ? '+' : ''}${plainNumber(value)}${mark}`;
}

function deviations(upper: number, lower: number, mark: string): string {
  return upper === -lower ? `±${plainNumber(upper)}${mark}` : `${signed(upper, mark)} ${signed(lower, mark)}`;
}

/**
 * A characteristic as one line of text, the same for the same meaning; parseCharacteristic reads it back unchanged.
 *
 * Example: a hole of 25 mm by zone -> "25 H7"; 12.5 mm from 0 to 0.1 above -> "12.5 +0.1 0"; an inch size -> "0.375 in"
 */
export function characteristicText(characteristic: Characteristic): string {
  if (characteristic.kind === 'requirement') return characteristic.text;
  const { tolerance } = characteristic;
  if (characteristic.kind === 'angle') {
    const nominal = `${plainNumber(characteristic.nominal)}°`;
    if (tolerance.by === 'deviation')
      return `${nominal} ${deviations(tolerance.upper, tolerance.lower, '°')}`;
    const side = characteristic.shorterSide;
    return side === undefined ? nominal : `${nominal} side ${plainNumber(side)}`;
  }
  const nominal = `${characteristic.symbol ?? ''}${plainNumber(characteristic.nominal)}`;
  const unit = characteristic.unit === 'in' ? ' in' : '';
  if (tolerance.by === 'deviation')
    return `${nominal} ${deviations(tolerance.upper, tolerance.lower, '')}${unit}`;
  return tolerance.by === 'zone' ? `${nominal}${unit} ${tolerance.zone}` : `${nominal}${unit}`;
}
