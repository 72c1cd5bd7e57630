import { normalChance } from './chain-normal.ts';
import { placeOf } from './chances.ts';

/**
 * The value that a normal one with mean 0 and standard deviation 1 stays below with this chance.
 *
 * @param chance  over 1e-15 and under 1 - 1e-15
 * Example: normalPlace(0.975) -> 1.959963984540054
 */
export function normalPlace(chance: number): number {
  return placeOf(chance, -8, 8, normalChance);
}
