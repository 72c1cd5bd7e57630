import { NotComputable } from '../platform/not-computable.ts';

/** The temperature at which sizes on a drawing hold, in °C (ISO 1). */
export const REFERENCE_CELSIUS = 20;

/**
 * By what a length is multiplied when a part goes from 20 °C to another temperature, free to expand.
 *
 * @param expansion  linear expansion in 1e-6 per K
 * @param celsius    the temperature of the whole part
 * @throws NotComputable  below absolute zero, or an expansion that would leave nothing of the part
 *
 * Source: ISO 1 for 20 °C; linear expansion, common practice, no source.
 * Example: 600 mm of aluminium (23.4) at -5 °C: 600 * expansionFactor(23.4, -5) -> 599.649
 */
export function expansionFactor(expansion: number, celsius: number): number {
  if (celsius < -273.15) throw new NotComputable(`${celsius} °C lies below absolute zero, -273.15 °C`);
  const factor = 1 + expansion * 1e-6 * (celsius - REFERENCE_CELSIUS);
  if (factor <= 0) {
    throw new NotComputable(
      `an expansion of ${expansion} millionths per K at ${celsius} °C leaves no length`,
    );
  }
  return factor;
}
