import { NotComputable } from '../platform/not-computable.ts';
import { meanOf } from './comparison.ts';
import { studentCritical } from './comparison-student.ts';
import type { Interval } from './shares.ts';

/** In the unit of the values. */
export interface MeanWithLimits {
  mean: number;
  /** standard deviation of single values; null for one value. Of levels: that of the energies, carried over to dB */
  deviation: number | null;
  /** 95 % limits of the mean; null for one value */
  interval95: Interval | null;
}

/**
 * The mean of measurements with its 95 % limits.
 *
 * @param levels  sound levels in dB: mean by energy, limits by the delta method
 * @throws NotComputable  no value, or values too large to square
 *
 * Source: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.2 (Student's t); ISO 1996-1 for means by energy.
 */
export function meanWithLimits(values: readonly number[], levels = false): MeanWithLimits {
  if (values.length === 0) throw new NotComputable('no value given, at least 1 is needed');
  let loudest = Number.NEGATIVE_INFINITY;
  for (const value of values) loudest = Math.max(loudest, value);
  const scaled = levels ? values.map((level) => 10 ** ((level - loudest) / 10)) : values;
  const mean = meanOf(scaled);
  const shown = levels ? loudest + 10 * Math.log10(mean) : mean;
  if (values.length === 1) return { mean: shown, deviation: null, interval95: null };
  const squares = scaled.reduce((sum, value) => sum + (value - mean) ** 2, 0);
  if (!Number.isFinite(squares)) throw new NotComputable('the values are too large to compare');
  const slope = levels ? 10 / Math.LN10 / mean : 1;
  const deviation = Math.sqrt(squares / (values.length - 1)) * slope;
  const reach = (studentCritical(0.05, values.length - 1) * deviation) / Math.sqrt(values.length);
  return { mean: shown, deviation, interval95: { low: shown - reach, high: shown + reach } };
}
