/** Lanczos' coefficients for g = 7 and nine terms, as Godfrey gives them; good to about 1e-15. */
const LANCZOS = [
  0.99999999999980993, 676.5203681218851, -1259.1392167224028, 771.32342877765313, -176.61502916214059,
  12.507343278686905, -0.13857109526572012, 9.9843695780195716e-6, 1.5056327351493116e-7,
];

/** Natural logarithm of the gamma function for x of 0.5 and more. */
export function logGamma(x: number): number {
  const base = x + 6.5;
  let sum = LANCZOS[0] ?? 0;
  for (const [index, coefficient] of LANCZOS.entries()) if (index > 0) sum += coefficient / (x - 1 + index);
  return 0.5 * Math.log(2 * Math.PI) + (x - 0.5) * Math.log(base) - base + Math.log(sum);
}

/** ln n! less Stirling's formula for it, without the loss of figures that the difference of both would bring. */
function stirlingError(n: number): number {
  if (n < 15) return logGamma(n + 1) - (n + 0.5) * Math.log(n) + n - 0.5 * Math.log(2 * Math.PI);
  const square = n * n;
  return (1 / 12 - (1 / 360 - (1 / 1260 - (1 / 1680 - 1 / 1188 / square) / square) / square) / square) / n;
}

/** x ln(x / mean) + mean - x, exact also where x lies next to the mean. */
function deviance(x: number, mean: number): number {
  if (Math.abs(x - mean) >= 0.1 * (x + mean)) return x * Math.log(x / mean) + mean - x;
  const v = (x - mean) / (x + mean);
  let sum = (x - mean) * v;
  let term = 2 * x * v;
  for (let odd = 3; odd < 1000; odd += 2) {
    term *= v * v;
    const next = sum + term / odd;
    if (next === sum) break;
    sum = next;
  }
  return sum;
}

/**
 * Chance of exactly x of n, each with the chance p.
 *
 * @param x     whole, from 0 to n; n up to 1e9 and more
 * @param rest  1 - p, given apart where it is known more exactly
 *
 * Source: the saddle-point form of C. Loader, Fast and Accurate Computation of Binomial Probabilities (2000), from memory.
 * Example: binomialChance(3, 10, 0.5) -> 0.1171875
 */
export function binomialChance(x: number, n: number, p: number, rest = 1 - p): number {
  if (x < 0 || x > n) return 0;
  if (p <= 0) return x === 0 ? 1 : 0;
  if (rest <= 0) return x === n ? 1 : 0;
  if (x === 0) return Math.exp(p < 0.1 ? n * Math.log1p(-p) : n * Math.log(rest));
  if (x === n) return Math.exp(rest < 0.1 ? n * Math.log1p(-rest) : n * Math.log(p));
  const exponent =
    stirlingError(n) -
    stirlingError(x) -
    stirlingError(n - x) -
    deviance(x, n * p) -
    deviance(n - x, n * rest);
  return Math.exp(exponent) * Math.sqrt(n / (2 * Math.PI * x * (n - x)));
}

/** Chance of a count of exactly x where the mean is known. Source: as binomialChance. */
export function poissonChance(x: number, mean: number): number {
  if (x < 0) return 0;
  if (mean <= 0) return x === 0 ? 1 : 0;
  if (x === 0) return Math.exp(-mean);
  return Math.exp(-stirlingError(x) - deviance(x, mean)) / Math.sqrt(2 * Math.PI * x);
}

/**
 * Sum of chances from one on outwards, each from the one before it: until they no longer count.
 *
 * @param step  the next over this one; falls as it goes outwards
 */
export function tailFrom(first: number, step: (index: number) => number): number {
  let sum = first;
  let term = first;
  for (let index = 0; term > 0; index += 1) {
    const factor = step(index);
    term *= factor;
    sum += term;
    // what is left is less than a geometric series of this factor
    if (factor < 1 && term * factor < 1e-16 * sum * (1 - factor)) break;
  }
  return sum;
}

/** Chance of x or more of n. Fast where x lies at or above the mean. */
export function binomialAtLeast(x: number, n: number, p: number): number {
  if (x <= 0) return 1;
  const odds = p / (1 - p);
  return Math.min(
    1,
    tailFrom(binomialChance(x, n, p), (i) => ((n - x - i) / (x + i + 1)) * odds),
  );
}

/** Chance of a count of x or more. */
export function poissonAtLeast(x: number, mean: number): number {
  if (x <= 0) return 1;
  return Math.min(
    1,
    tailFrom(poissonChance(x, mean), (i) => mean / (x + i + 1)),
  );
}

/** Chance of a count of x or less. */
export function poissonAtMost(x: number, mean: number): number {
  return Math.min(
    1,
    tailFrom(poissonChance(x, mean), (i) => (x - i) / mean),
  );
}

/**
 * The place between low and high where a function that grows comes to a wanted value, by false position with halving.
 */
export function placeOf(wanted: number, low: number, high: number, grows: (at: number) => number): number {
  let [from, to] = [low, high];
  let [below, above] = [grows(from) - wanted, grows(to) - wanted];
  if (below >= 0) return from;
  if (above <= 0) return to;
  let side = 0;
  for (let step = 0; step < 200 && to - from > 1e-14 * Math.max(Math.abs(from), Math.abs(to)); step += 1) {
    // every third step halves, so that a flat end never holds it up
    let at = step % 3 === 2 ? (from + to) / 2 : (from * above - to * below) / (above - below);
    if (!(at > from && at < to)) at = (from + to) / 2;
    if (at === from || at === to) break;
    const value = grows(at) - wanted;
    if (value === 0) return at;
    if (value < 0) {
      [from, below] = [at, value];
      if (side === -1) above /= 2;
      side = -1;
    } else {
      [to, above] = [at, value];
      if (side === 1) below /= 2;
      side = 1;
    }
  }
  return (from + to) / 2;
}
