/**
 * How long an activity may take: from `optimistic` to `pessimistic` days, most often about `likely`.
 * `betaPert` is optimistic + range * Beta(1 + 4 c, 5 - 4 c) with c = (likely - optimistic) / range, whose mean is
 * (optimistic + 4 likely + pessimistic) / 6; `triangular` has its peak at `likely`.
 */
export type RiskDistribution = 'betaPert' | 'triangular';

/** Fills `days` with one duration for each uniform number; a greater number gives a longer duration. */
export type DurationLaw = (uniforms: Uint32Array, days: Float64Array) => void;

/**
 * Makes the laws of activities. Keep one for many activities: those with `likely` at the same part of their range
 * share a table.
 *
 * @returns  a function of distribution and three durations in days, optimistic <= likely <= pessimistic
 *
 * Source: the beta law, Malcolm, Roseboom, Clark and Fazar (1959) as it is commonly written with shape parameters that
 * add up to 6, common practice, no source; the triangular law by its inverse.
 */
export function durationLaws() {
  const tables = new Map<number, Float64Array>();
  return (
    distribution: RiskDistribution,
    optimistic: number,
    likely: number,
    pessimistic: number,
  ): DurationLaw => {
    const range = pessimistic - optimistic;
    if (range === 0) return (_, days) => days.fill(optimistic);
    const peak = (likely - optimistic) / range;
    if (distribution === 'triangular') return triangular(optimistic, peak, range);
    const key = Math.round(peak * 1e9);
    let table = tables.get(key);
    if (!table) {
      table = betaTable(1 + 4 * peak);
      tables.set(key, table);
    }
    return betaPert(optimistic, peak, range, table);
  };
}

/** A uniform 32-bit number stands for the middle of its step of 2^-32. */
const step = 2 ** -32;

function triangular(optimistic: number, peak: number, range: number): DurationLaw {
  return (uniforms, days) => {
    for (let k = 0; k < uniforms.length; k++) {
      const u = (uniforms[k]! + 0.5) * step;
      days[k] = optimistic + range * (u < peak ? Math.sqrt(u * peak) : 1 - Math.sqrt((1 - u) * (1 - peak)));
    }
  };
}

// The inverse of the beta law as a table of cubics. Each half of the probabilities, from either end to the middle, is
// cut where it doubles (1/4 .. 1/2, 1/8 .. 1/4, ...) and each such octave into eight cells: near the ends, where the
// inverse is steepest, the cells are as fine as needed. Below the last octave it is nearly a power. The
// error is below 1e-6 of the range, in either last 8192nd of the probability below 5e-5.
const octaves = 12;
const cellsInOctave = 8;
const halfSize = octaves * cellsInOctave * 4;
const tailBelow = 2 ** -(octaves + 1);

function betaPert(optimistic: number, peak: number, range: number, table: Float64Array): DurationLaw {
  const lowerPower = 1 / (1 + 4 * peak);
  const upperPower = 1 / (5 - 4 * peak);
  return (uniforms, days) => {
    for (let k = 0; k < uniforms.length; k++) {
      const number = uniforms[k]!;
      const upper = number >>> 31;
      const fromEnd = (number ^ -upper) & 0x7fffffff;
      const octave = Math.clz32(fromEnd);
      let part: number;
      if (octave <= octaves) {
        const shift = 28 - octave;
        const cell = upper * halfSize + (((octave - 1) << 3) | ((fromEnd >>> shift) & 7)) * 4;
        const at = ((fromEnd & ((1 << shift) - 1)) + 0.5) / (1 << shift);
        part = table[cell]! + at * (table[cell + 1]! + at * (table[cell + 2]! + at * table[cell + 3]!));
      } else {
        const tail = 2 * halfSize + 2 * upper;
        const end = (((fromEnd + 0.5) * step) / tailBelow) ** (upper ? upperPower : lowerPower);
        const fromItsEnd = table[tail]! * end * (1 + table[tail + 1]! * end);
        part = upper ? 1 - fromItsEnd : fromItsEnd;
      }
      days[k] = optimistic + range * part;
    }
  };
}

/** Cubics for both halves of Beta(alpha, 6 - alpha), then two numbers for either tail. */
function betaTable(alpha: number): Float64Array {
  const table = new Float64Array(2 * halfSize + 4);
  const lower = betaKnots(alpha);
  const upper = betaKnots(6 - alpha);
  writeCubics(table, 0, lower, (value) => value);
  writeCubics(table, halfSize, upper, (value, isSlope) => (isSlope ? -value : 1 - value));
  table.set(betaTail(alpha, lower.values[0]!), 2 * halfSize);
  table.set(betaTail(6 - alpha, upper.values[0]!), 2 * halfSize + 2);
  return table;
}

/** Below `edge` the inverse is a power y, corrected by the first term of the series: y + y^2 (5 - alpha) / (alpha + 1). */
function betaTail(alpha: number, edge: number): [number, number] {
  const power = (tailBelow * alpha * betaFunction(alpha)) ** (1 / alpha);
  const correction = (power * (5 - alpha)) / (alpha + 1);
  return [edge / (1 + correction), correction];
}

interface Knots {
  values: number[];
  slopes: number[];
}

/** Cubics that meet value and slope at both ends of each cell (Hermite); `values[0]` is at the lowest probability. */
function writeCubics(
  table: Float64Array,
  offset: number,
  { values, slopes }: Knots,
  turned: (value: number, isSlope: boolean) => number,
): void {
  for (let knot = 0; knot + 1 < values.length; knot++) {
    const octave = octaves - 1 - Math.floor(knot / cellsInOctave);
    const width = 2 ** -(octave + 2) / cellsInOctave;
    const from = turned(values[knot]!, false);
    const to = turned(values[knot + 1]!, false);
    const slopeFrom = turned(slopes[knot]!, true) * width;
    const slopeTo = turned(slopes[knot + 1]!, true) * width;
    const cell = offset + (octave * cellsInOctave + (knot % cellsInOctave)) * 4;
    table[cell] = from;
    table[cell + 1] = slopeFrom;
    table[cell + 2] = 3 * (to - from) - 2 * slopeFrom - slopeTo;
    table[cell + 3] = 2 * (from - to) + slopeFrom + slopeTo;
  }
}

/**
 * Inverse of Beta(alpha, 6 - alpha) and its slope at the cell borders from the lowest octave up to one half.
 *
 * The logarithm of the probability against that of x is nearly a straight line, so each knot is guessed from the two
 * before it and made exact by Newton's steps on the logarithms, each of which squares the error.
 */
function betaKnots(alpha: number): Knots {
  const scale = betaFunction(alpha);
  const seriesAt = betaSeries(alpha);
  const values: number[] = [];
  const slopes: number[] = [];
  let lnProbability = Math.log(tailBelow);
  let lnX = (lnProbability + Math.log(alpha * scale)) / alpha;
  let rise = 0;
  let bend = 0;
  for (let knot = 0; knot <= octaves * cellsInOctave; knot++) {
    const probability =
      2 ** Math.floor(knot / cellsInOctave) * tailBelow * (1 + (knot % cellsInOctave) / cellsInOctave);
    const lnBefore = lnProbability;
    lnProbability = Math.log(probability);
    const ahead = lnProbability - lnBefore;
    lnX += ahead * (rise + (bend * ahead) / 2);
    for (let round = 0; round < 20; round++) {
      const x = Math.exp(lnX);
      const series = seriesAt(x);
      const missing = lnProbability - (alpha * lnX + Math.log(series / scale));
      const change = missing * series * Math.exp((alpha - 5) * Math.log1p(-x));
      lnX += change;
      if (Math.abs(change) < 1e-4) break;
    }
    const x = Math.exp(lnX);
    const slope = scale * Math.exp((1 - alpha) * lnX + (alpha - 5) * Math.log1p(-x));
    const riseBefore = rise;
    rise = (slope * probability) / x;
    bend = knot > 0 ? (rise - riseBefore) / ahead : 0;
    values.push(x);
    slopes.push(slope);
  }
  return { values, slopes };
}

/**
 * The power series that, times x^alpha / B(alpha, 6 - alpha), is the probability of Beta(alpha, 6 - alpha) up to x
 * (DLMF 8.17.7); for x up to the median, which is below 0.88.
 */
function betaSeries(alpha: number): (x: number) => number {
  const factors = new Float64Array(200);
  let factor = 1;
  for (let k = 0; k < factors.length; k++) {
    factors[k] = factor / (alpha + k);
    factor *= (k - 5 + alpha) / (k + 1);
  }
  return (x) => {
    let sum = 0;
    let power = 1;
    for (let k = 0; k < factors.length && power > 1e-14; k++) {
      sum += factors[k]! * power;
      power *= x;
    }
    return sum;
  };
}

/** B(alpha, 6 - alpha) = Gamma(alpha) Gamma(6 - alpha) / 120 for alpha in 1 .. 5, by Gamma(s) Gamma(1 - s) = pi / sin(pi s). */
function betaFunction(alpha: number): number {
  const nearest = Math.round(alpha);
  const off = Math.PI * (alpha - nearest);
  let product = off === 0 ? 1 : off / Math.sin(off);
  for (let whole = 1; whole <= 5; whole++) if (whole !== nearest) product *= Math.abs(alpha - whole);
  return product / 120;
}
