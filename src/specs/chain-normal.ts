/**
 * Chance that a normal value with mean 0 and standard deviation 1 lies at or below z.
 *
 * Absolute error under 1e-14; in the lower tail the relative error stays under 1e-12 as well.
 *
 * Source: Abramowitz and Stegun, Handbook of Mathematical Functions (1964), 26.2.11 (series) and 26.2.14 (continued
 * fraction for the tails).
 * Example: normalChance(1.96) -> 0.9750021048517795
 */
export function normalChance(z: number): number {
  if (Number.isNaN(z)) return Number.NaN;
  const size = Math.abs(z);
  const density = Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI);
  if (size < 3) {
    let term = z;
    let sum = z;
    for (let odd = 3; Math.abs(term) > 1e-18 * Math.abs(sum); odd += 2) {
      term *= (z * z) / odd;
      sum += term;
    }
    return 0.5 + density * sum;
  }
  // from the innermost fraction outwards; 120 of them are enough from 3 on
  let fraction = size;
  for (let step = 120; step >= 1; step -= 1) fraction = size + step / fraction;
  const tail = density === 0 ? 0 : density / fraction;
  return z < 0 ? tail : 1 - tail;
}

/** Chance that a normal value with this mean and standard deviation lies from min to max; a deviation of 0 is allowed. */
export function normalChanceBetween(mean: number, deviation: number, min: number, max: number): number {
  if (deviation === 0) return mean >= min && mean <= max ? 1 : 0;
  const [low, high] = [(min - mean) / deviation, (max - mean) / deviation];
  // both ends above the mean: the tails are subtracted, which keeps small chances exact
  return low > 0 ? normalChance(-low) - normalChance(-high) : normalChance(high) - normalChance(low);
}
