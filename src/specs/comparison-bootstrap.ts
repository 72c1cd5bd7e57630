/** The whole work of one bootstrap, in values drawn: about a tenth of a second. */
const MOST_DRAWS = 5_000_000;

/**
 * A generator of numbers from 0 up to 1, the same ones for the same seed.
 *
 * Source: sfc32 of Chris Doty-Humphrey's PractRand, from memory.
 */
export function seededChance(seed: number): () => number {
  let [a, b, c, counter] = [0, seed | 0, 0x9e3779b9, 1];
  const next = (): number => {
    const sum = (((a + b) | 0) + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = (((c << 21) | (c >>> 11)) + sum) | 0;
    return (sum >>> 0) / 4_294_967_296;
  };
  // the first numbers still show the seed
  for (let step = 0; step < 15; step += 1) next();
  return next;
}

function meanOfDraws(values: Float64Array, chance: () => number): number {
  let sum = 0;
  for (let drawn = 0; drawn < values.length; drawn += 1) sum += values[(chance() * values.length) | 0] ?? 0;
  return sum / values.length;
}

/**
 * The middle 95 % of a figure of the means of several samples, when each is drawn again and again from itself.
 *
 * 10,000 times for samples of up to 500 values together, less often for more, at least 500 times.
 *
 * @param figure  what is looked at, of the means in the order of the samples; may be infinite
 * @param chance  numbers from 0 up to 1
 *
 * Source: the percentile method of Efron and Tibshirani, An Introduction to the Bootstrap (1993), chapter 13.
 */
export function bootstrapMeans(
  samples: readonly Float64Array[],
  figure: (means: readonly number[]) => number,
  chance: () => number,
): { low: number; high: number } {
  const values = samples.reduce((sum, { length }) => sum + length, 0);
  const runs = Math.max(500, Math.min(10_000, Math.floor(MOST_DRAWS / values)));
  const figures = new Float64Array(runs);
  for (let run = 0; run < runs; run += 1) {
    figures[run] = figure(samples.map((sample) => meanOfDraws(sample, chance)));
  }
  figures.sort();
  const at = (part: number): number => {
    const place = part * (runs - 1);
    const below = figures[Math.floor(place)] ?? 0;
    const above = figures[Math.ceil(place)] ?? 0;
    return below === above ? below : below + (place % 1) * (above - below);
  };
  return { low: at(0.025), high: at(0.975) };
}

/** The same for two samples. */
export function bootstrapInterval(
  first: Float64Array,
  second: Float64Array,
  figure: (firstMean: number, secondMean: number) => number,
  chance: () => number,
): { low: number; high: number } {
  return bootstrapMeans([first, second], ([one = 0, other = 0]) => figure(one, other), chance);
}
