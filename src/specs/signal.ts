import { NotComputable } from '../platform/not-computable.ts';
import { bootstrapMeans, seededChance } from './comparison-bootstrap.ts';
import { studentTails } from './comparison-student.ts';
import type { Interval } from './shares.ts';

/** Below this many decibels above the noise a corrected level is an upper bound only. */
export const TRUSTED_ABOVE = 3;
/** From this many on, the noise changes next to nothing. */
export const NEGLIGIBLE_ABOVE = 10;

/** How far a level corrected for noise can be believed. */
export type NoiseTrust = 'lost' | 'bound' | 'corrected' | 'clear';

/** Levels in dB, means by energy. */
export interface SignalAboveNoise {
  /** of the signal with the noise under it, as it was measured */
  measured: number;
  noise: number;
  /** of the signal alone; null when the noise is as loud as what was measured */
  corrected: number | null;
  /** the signal alone over the noise, dB; null as above */
  ratio: number | null;
  trust: NoiseTrust;
}

/**
 * The level of a signal without the noise it was measured in: L = 10 log10(10^(Ls/10) - 10^(Ln/10)).
 *
 * @param measured  dB, signal and noise together
 * @param noise     dB, the noise alone
 *
 * Source: correction for residual sound of ISO 1996-2:2007 (none allowed at 3 dB or less, none needed at 10 dB or more;
 * ISO 3744:2010 has 6 dB and 15 dB for its finer grade), from memory.
 * Example: 60 in 54 -> 58.74 dB, 1.26 dB less
 */
export function signalAboveNoise(measured: number, noise: number): SignalAboveNoise {
  const above = measured - noise;
  if (!(above > 0)) return { measured, noise, corrected: null, ratio: null, trust: 'lost' };
  // 10^(above/10) - 1, exact also where the two are next to equal
  const ratio = 10 * Math.log10(Math.expm1((above * Math.LN10) / 10));
  const finite = Number.isFinite(ratio) ? ratio : above;
  return {
    measured,
    noise,
    corrected: noise + finite,
    ratio: finite,
    trust: above <= TRUSTED_ABOVE ? 'bound' : above < NEGLIGIBLE_ABOVE ? 'corrected' : 'clear',
  };
}

export interface SignalQuestion {
  before: readonly number[];
  noiseBefore: readonly number[];
  after: readonly number[];
  noiseAfter: readonly number[];
}

export interface SignalComparison {
  before: SignalAboveNoise;
  after: SignalAboveNoise;
  /** change of the ratio, after minus before, dB; null when either is not defined */
  change: number | null;
  /** of the change; a side is null where the noise swallows the signal in more than 2.5 % of the draws */
  interval95: { low: number | null; high: number | null } | null;
  pValue: number | null;
  source: string;
}

const SEED = 2;
const FACTOR = 10 / Math.LN10;

/** Energies counted from a reference level, with the mean and the variance of the mean (null below two values). */
function energies(name: string, levels: readonly number[], reference: number) {
  if (levels.length === 0) throw new NotComputable(`${name}: no value given, at least 1 is needed`);
  const values = Float64Array.from(levels, (level) => 10 ** ((level - reference) / 10));
  let mean = 0;
  for (const value of values) mean += value / values.length;
  let squares = 0;
  for (const value of values) squares += (value - mean) ** 2;
  const freedom = values.length - 1;
  return { values, mean, freedom, variance: freedom > 0 ? squares / freedom / values.length : null };
}

/**
 * A signal above its noise before and after a change, in dB, and whether that changed.
 *
 * The interval comes from a bootstrap of all four lists with a fixed seed; the p-value from Student's t with the spread
 * of the energies carried over to the ratio. Both need two values or more in each list.
 *
 * @throws NotComputable  a list without a value
 *
 * Source: signalAboveNoise; delta method with Welch and Satterthwaite's degrees of freedom over four lists, common practice.
 */
export function signalComparison(question: SignalQuestion): SignalComparison {
  let reference = Number.NEGATIVE_INFINITY;
  const { before: b, noiseBefore: nb, after: a, noiseAfter: na } = question;
  for (const list of [b, nb, a, na]) for (const level of list) reference = Math.max(reference, level);
  const lists = [
    energies('before', b, reference),
    energies('noise before', nb, reference),
    energies('after', a, reference),
    energies('noise after', na, reference),
  ] as const;
  const [first, firstNoise, second, secondNoise] = lists;
  const level = (energy: number) => reference + FACTOR * Math.log(energy);
  const before = signalAboveNoise(level(first.mean), level(firstNoise.mean));
  const after = signalAboveNoise(level(second.mean), level(secondNoise.mean));
  const change = before.ratio === null || after.ratio === null ? null : after.ratio - before.ratio;
  const told = change !== null && lists.every(({ variance }) => variance !== null);
  return {
    before,
    after,
    change,
    interval95: told ? drawnInterval(lists.map(({ values }) => values)) : null,
    pValue: told ? chanceOf(change, lists) : null,
    source:
      'signal corrected for noise as in ISO 1996-2:2007 (from memory), means by energy; interval by bootstrap, fixed seed; p-value by the delta method',
  };
}

const ratioOf = (signal: number, noise: number) =>
  signal > noise ? FACTOR * Math.log(signal / noise - 1) : null;

/** Draws in which the noise swallows the signal count as a ratio without bound. */
function drawnInterval(lists: Float64Array[]): { low: number | null; high: number | null } {
  const { low, high } = bootstrapMeans(
    lists,
    ([first = 0, firstNoise = 0, second = 0, secondNoise = 0]) => {
      const [before, after] = [ratioOf(first, firstNoise), ratioOf(second, secondNoise)];
      if (after === null) return before === null ? 0 : Number.NEGATIVE_INFINITY;
      return before === null ? Number.POSITIVE_INFINITY : after - before;
    },
    seededChance(SEED),
  ) as Interval;
  return { low: Number.isFinite(low) ? low : null, high: Number.isFinite(high) ? high : null };
}

function chanceOf(change: number, lists: readonly ReturnType<typeof energies>[]): number | null {
  const [first, firstNoise, second, secondNoise] = lists;
  if (!first || !firstNoise || !second || !secondNoise) return null;
  // slopes of 10 log10(S/N - 1) by S and by N
  const parts = [
    { list: first, slope: FACTOR / (first.mean - firstNoise.mean) },
    { list: firstNoise, slope: (FACTOR * first.mean) / (firstNoise.mean * (first.mean - firstNoise.mean)) },
    { list: second, slope: FACTOR / (second.mean - secondNoise.mean) },
    {
      list: secondNoise,
      slope: (FACTOR * second.mean) / (secondNoise.mean * (second.mean - secondNoise.mean)),
    },
  ].map(({ list, slope }) => ({ part: (list.variance ?? 0) * slope * slope, freedom: list.freedom }));
  const variance = parts.reduce((sum, { part }) => sum + part, 0);
  if (!(variance > 1e-20)) return null;
  const freedom = 1 / parts.reduce((sum, { part, freedom }) => sum + (part / variance) ** 2 / freedom, 0);
  return studentTails(change / Math.sqrt(variance), freedom);
}
