import { NotComputable } from '../platform/not-computable.ts';
import { bootstrapInterval, seededChance } from './comparison-bootstrap.ts';
import { studentCritical, studentTails } from './comparison-student.ts';

/** What the comparison is asked: measurements before and after a change; with `levels` they are sound levels in dB. */
export interface ComparisonQuestion {
  before: number[];
  after: number[];
  levels?: boolean;
}

/** All but the degrees of freedom and the p-value in the unit of the measurements; difference is after minus before. */
export interface ComparisonAnswer {
  beforeMean: number;
  afterMean: number;
  difference: number;
  standardError: number;
  degreesOfFreedom: number;
  interval95: { low: number; high: number };
  pValue: number;
  source: string;
}

const SEED = 1;

interface Sample {
  mean: number;
  /** Variance of the mean, and the degrees of freedom it has. */
  variance: number;
  freedom: number;
}

/** The arithmetic mean of one value or more, counted from the first: of equal values it is that value, to the last digit. */
export function meanOf(values: ArrayLike<number>): number {
  const first = values[0] ?? 0;
  let sum = 0;
  for (let index = 0; index < values.length; index += 1) sum += (values[index] ?? 0) - first;
  return first + sum / values.length;
}

function sample(name: string, values: ArrayLike<number>): Sample {
  if (values.length < 2)
    throw new NotComputable(`${name}: ${values.length} value given, at least 2 are needed`);
  const mean = meanOf(values);
  let squares = 0;
  for (let index = 0; index < values.length; index += 1) squares += ((values[index] ?? 0) - mean) ** 2;
  if (!Number.isFinite(squares)) throw new NotComputable(`${name}: the values are too large to compare`);
  return { mean, variance: squares / (values.length - 1) / values.length, freedom: values.length - 1 };
}

/** Welch's test of a difference whose two parts have these variances. */
function welch(difference: number, before: Sample, after: Sample) {
  const variance = before.variance + after.variance;
  const standardError = Math.sqrt(variance);
  // equal values leave sums of squares that are mere rounding
  if (!(standardError > 1e-13 * Math.max(Math.abs(before.mean), Math.abs(after.mean)))) {
    throw new NotComputable(
      'before and after: the values of both are all equal, so there is no spread to compare by',
    );
  }
  const [first, second] = [before.variance / variance, after.variance / variance];
  const degreesOfFreedom = 1 / (first ** 2 / before.freedom + second ** 2 / after.freedom);
  return {
    standardError,
    degreesOfFreedom,
    pValue: studentTails(difference / standardError, degreesOfFreedom),
  };
}

/** The same for sound levels: means by energy, the spread of the energies carried over to dB. */
function levelComparison({ before, after }: ComparisonQuestion): Omit<ComparisonAnswer, 'source'> {
  // energies are counted from the loudest level, so that no level is too large for them
  let loudest = Number.NEGATIVE_INFINITY;
  for (const level of [...before, ...after]) loudest = Math.max(loudest, level);
  const energies = (levels: number[]) => Float64Array.from(levels, (level) => 10 ** ((level - loudest) / 10));
  const [beforeEnergies, afterEnergies] = [energies(before), energies(after)];
  const level = (energy: number): number => loudest + 10 * Math.log10(energy);

  const inDecibels = (name: string, values: Float64Array): Sample => {
    const { mean, variance, freedom } = sample(name, values);
    if (mean === 0) throw new NotComputable(`${name}: more than 3000 dB below the other, too far to compare`);
    // the slope of 10 log10 at the mean (the delta method)
    return { mean: level(mean), variance: variance * (10 / Math.LN10 / mean) ** 2, freedom };
  };
  const [first, second] = [inDecibels('before', beforeEnergies), inDecibels('after', afterEnergies)];
  const difference = second.mean - first.mean;
  return {
    beforeMean: first.mean,
    afterMean: second.mean,
    difference,
    ...welch(difference, first, second),
    interval95: bootstrapInterval(
      beforeEnergies,
      afterEnergies,
      (beforeMean, afterMean) => 10 * Math.log10(afterMean / beforeMean),
      seededChance(SEED),
    ),
  };
}

/**
 * Whether a measurement changed: the difference of two means, its 95 % limits, and how likely chance alone would make
 * one as large (two-sided).
 *
 * Welch's t, as the spreads before and after may differ. Sound levels (`levels`) have their means by energy,
 * 10 log10 of the mean of 10^(L/10); standard error, degrees of freedom and p-value then are Welch's with the spread of
 * the energies carried over to dB, and the limits come from a bootstrap with a fixed seed.
 *
 * @throws NotComputable  fewer than two values on a side, or no spread at all
 *
 * Source: NIST/SEMATECH e-Handbook of Statistical Methods, 7.3.1 (Welch and Satterthwaite); ISO 1996-1 for means by
 * energy; delta method, common practice.
 * Example: before 3, 4, 1, 2.1 and after 490.2, 340, 433.9 -> p 0.01075
 */
export function comparison(question: ComparisonQuestion): ComparisonAnswer {
  if (question.levels) {
    return {
      ...levelComparison(question),
      source:
        'means by energy; Welch by the delta method; interval by bootstrap, percentile method, fixed seed',
    };
  }
  const [before, after] = [sample('before', question.before), sample('after', question.after)];
  const difference = after.mean - before.mean;
  const test = welch(difference, before, after);
  const reach = studentCritical(0.05, test.degreesOfFreedom) * test.standardError;
  return {
    beforeMean: before.mean,
    afterMean: after.mean,
    difference,
    ...test,
    interval95: { low: difference - reach, high: difference + reach },
    source: "Welch's t with Welch and Satterthwaite's degrees of freedom, NIST/SEMATECH e-Handbook 7.3.1",
  };
}
