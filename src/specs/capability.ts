/** Values of one characteristic, or of several brought to one scale, and the limits they are held against. */
export interface CapabilityQuestion {
  values: readonly number[];
  /** null where there is none on that side; at least one is given */
  lower: number | null;
  upper: number | null;
  /** share of such intervals that hold the true Cpk; 0.95 unless said otherwise */
  confidence?: number;
}

/** How measured values lie within their limits, in the unit of the values. */
export interface Capability {
  count: number;
  /** values outside the limits; one on a limit is inside */
  outside: number;
  mean: number;
  /** standard deviation of the sample, n - 1 below the line */
  deviation: number;
  /** the mean from the middle of the limits, above it positive; null with one limit */
  shift: number | null;
  /** the same as a share of half the room between the limits: 1 is a mean on the upper limit */
  shiftShare: number | null;
  /** null with one limit, or where all values are alike */
  cp: number | null;
  /** null where all values are alike: what measured them is too coarse to tell a spread */
  cpk: number | null;
  /** the interval that holds the true Cpk with the asked confidence; null where there is no Cpk */
  interval: { low: number; high: number } | null;
}

/** Fewer values than this say too little of a spread: no figure is given. Common practice, no source. */
export const FEWEST_VALUES = 8;

/** A spread of less than this share of the values' size is binary dust. */
const DUST = 1e-12;

/**
 * How far measured values lie from the middle of their limits, how far they spread, and what that leaves to the limits.
 *
 * Cp compares the room between the limits with six standard deviations; Cpk is the distance from the mean to the nearer
 * limit over three. The interval is an approximation for values that are close to normally distributed; with few values it
 * is wide, and that is its message.
 *
 * @returns  null for fewer than FEWEST_VALUES values
 * @throws RangeError  no limit at all, limits the wrong way round, a value that is no number, a confidence not in (0, 1)
 *
 * Source: Cp, Cpk and the one-sided indices as the NIST/SEMATECH e-Handbook of Statistical Methods defines them, 6.1.6;
 * the interval by Bissell, How reliable is your capability index?, Applied Statistics 39 (1990) 331-340.
 * Example: the 75 values of "Amps" (SAS/QC User's Guide, example 5.3) within 4 to 6 at 0.90 -> Cpk 0.412, 0.328 to 0.496
 */
export function capability(question: CapabilityQuestion): Capability | null {
  const { values, lower, upper, confidence = 0.95 } = question;
  if (lower === null && upper === null)
    throw new RangeError('a capability needs a limit on one side at least');
  if (lower !== null && upper !== null && !(lower < upper)) {
    throw new RangeError(`lower limit ${lower} is not below upper limit ${upper}`);
  }
  if (!values.every(Number.isFinite)) throw new RangeError('each value is a number');
  if (!(confidence > 0 && confidence < 1)) {
    throw new RangeError(`confidence ${confidence} does not lie between 0 and 1`);
  }
  const count = values.length;
  if (count < FEWEST_VALUES) return null;

  const mean = values.reduce((sum, value) => sum + value, 0) / count;
  const deviation = Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (count - 1));
  const isAlike = deviation <= DUST * Math.max(1, ...values.map(Math.abs));
  const outside = values.filter(
    (value) => (lower !== null && value < lower) || (upper !== null && value > upper),
  ).length;
  const both = lower !== null && upper !== null;
  const shift = both ? mean - (lower + upper) / 2 : null;
  const room = Math.min(
    upper === null ? Number.POSITIVE_INFINITY : upper - mean,
    lower === null ? Number.POSITIVE_INFINITY : mean - lower,
  );
  const cpk = isAlike ? null : room / (3 * deviation);
  return {
    count,
    outside,
    mean,
    deviation: isAlike ? 0 : deviation,
    shift,
    shiftShare: both && shift !== null ? shift / ((upper - lower) / 2) : null,
    cp: both && !isAlike ? (upper - lower) / (6 * deviation) : null,
    cpk,
    interval: cpk === null ? null : intervalOf(cpk, count, confidence),
  };
}

function intervalOf(cpk: number, count: number, confidence: number): { low: number; high: number } {
  const reach = normalScore(confidence) * Math.sqrt(1 / (9 * count) + cpk ** 2 / (2 * (count - 1)));
  return { low: cpk - reach, high: cpk + reach };
}

/** The z between whose negative and itself this share of the standard normal distribution lies, by halving. */
function normalScore(share: number): number {
  let [low, high] = [0, 9];
  for (let step = 0; step < 60; step += 1) {
    const middle = (low + high) / 2;
    if (normalShare(middle) < share) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/**
 * Share of the standard normal distribution between -z and z.
 *
 * Source: NIST Digital Library of Mathematical Functions, 7.6.2 (the series of erf with positive terms).
 */
function normalShare(z: number): number {
  const half = z / Math.SQRT2;
  let term = half;
  let sum = half;
  for (let n = 1; term > sum * 1e-17; n += 1) {
    term *= (2 * half ** 2) / (2 * n + 1);
    sum += term;
  }
  return Math.min(1, (2 / Math.sqrt(Math.PI)) * Math.exp(-(half ** 2)) * sum);
}

/**
 * A value's place between its limits: -1 on the lower, 0 in the middle, 1 on the upper one. Values of characteristics
 * with different limits become comparable by it.
 */
export function placeWithin(
  value: number,
  { lowerLimit, upperLimit }: { lowerLimit: number; upperLimit: number },
): number {
  return (value - (lowerLimit + upperLimit) / 2) / ((upperLimit - lowerLimit) / 2);
}
