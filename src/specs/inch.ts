/** The inch is exactly 25.4 mm (ISO 31-1; agreed in 1959). */
export const MM_PER_INCH = 25.4;

/** Units a length may be written in. */
export type LengthUnit = 'mm' | 'in';

/**
 * A number without the dust that binary fractions leave: 0.1 + 0.2 becomes 0.3.
 *
 * Rounded to 1e-12 of the unit, a million times finer than any tolerance here.
 */
export function withoutDust(value: number): number {
  return Number(value.toFixed(12)) + 0;
}

/** A length in mm, exactly 25.4 times the inches. */
export function toMm(value: number, unit: LengthUnit): number {
  return unit === 'in' ? withoutDust(value * MM_PER_INCH) : value;
}

/** A length in mm written in another unit. */
export function fromMm(valueMm: number, unit: LengthUnit): number {
  return withoutDust(unit === 'in' ? valueMm / MM_PER_INCH : valueMm);
}
