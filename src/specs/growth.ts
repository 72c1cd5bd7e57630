import { expansionFactor, REFERENCE_CELSIUS } from './temperature.ts';

/**
 * By how much a length grows when its part warms, free to expand.
 *
 * @param lengthMm   at 20 °C
 * @param expansion  linear expansion in 1e-6 per K
 * @param kelvin     how much warmer than 20 °C; below 0 for cooling
 * @returns          mm; below 0 where it shrinks
 * @throws NotComputable  as expansionFactor
 *
 * Source: linear expansion, common practice, no source.
 * Example: 100 mm of steel (12), 10 K warmer -> 0.012 mm
 */
export function growth(lengthMm: number, expansion: number, kelvin: number): number {
  return lengthMm * (expansionFactor(expansion, REFERENCE_CELSIUS + kelvin) - 1);
}
