import { NotComputable } from '../platform/not-computable.ts';
import { normalChanceBetween } from './chain-normal.ts';
import { withoutDust } from './inch.ts';

/** One length of a chain in mm: how far it may be over and under, and whether it opens the gap (1) or closes it (-1). */
export interface Contributor {
  label?: string;
  nominal: number;
  plus: number;
  minus: number;
  direction: 1 | -1;
}

export interface Range {
  min: number;
  max: number;
}

/** What the chain calculator is asked. */
export interface ChainQuestion {
  contributors: Contributor[];
  wanted?: Range;
}

/** The gap of a chain; lengths in mm, shares and chances from 0 to 1. */
export interface ChainAnswer {
  nominal: number;
  middle: number;
  worstCase: Range;
  rootSumSquare: Range;
  standardDeviation: number;
  /** None where no limits are wanted. */
  chanceInside: number | null;
  /** Each one's part of the variance; a contributor without a label is called by its place. All 0 without tolerances. */
  shares: { label: string; share: number }[];
  source: string;
}

/**
 * The gap at the end of a one-dimensional tolerance chain.
 *
 * Uneven tolerances are centred first: a contributor has its middle at nominal + (plus - minus) / 2 and the half band
 * h = (plus + minus) / 2. The worst case is middle +- sum(h), root sum square middle +- sqrt(sum(h^2)); for the chance
 * each contributor is normal about its middle with three standard deviations to a half band, independent of the others.
 *
 * @throws NotComputable  no contributor, a negative plus or minus, wanted limits the wrong way round; names the place
 *
 * Source: worst case and root sum square of a linear chain, common practice, no source.
 * Example: a hole 25 +0.021 -0 and a pin 24.993 +0 -0.013 against it -> gap 0.007 to 0.041, by root sum square 0.01165
 * to 0.03635
 */
export function chain({ contributors, wanted }: ChainQuestion): ChainAnswer {
  if (contributors.length === 0) throw new NotComputable('a chain has at least one contributor');
  const named = contributors.map((contributor, index) => ({
    ...contributor,
    label: contributor.label ?? `contributor ${index + 1}`,
  }));
  for (const { label, plus, minus } of named) {
    if (!(plus >= 0 && minus >= 0)) {
      throw new NotComputable(`${label}: plus ${plus} and minus ${minus} are sizes of 0 or more`);
    }
  }
  if (wanted && wanted.min > wanted.max) {
    throw new NotComputable(`wanted: min ${wanted.min} mm lies above max ${wanted.max} mm`);
  }

  let [nominal, middle, sum, squares] = [0, 0, 0, 0];
  for (const one of named) {
    const half = (one.plus + one.minus) / 2;
    nominal += one.direction * one.nominal;
    middle += one.direction * (one.nominal + (one.plus - one.minus) / 2);
    sum += half;
    squares += half * half;
  }
  if (!Number.isFinite(middle) || !Number.isFinite(squares)) {
    throw new NotComputable('the sizes of the chain are too large to add up');
  }
  const rootSumSquare = Math.sqrt(squares);
  const standardDeviation = rootSumSquare / 3;
  return {
    nominal: withoutDust(nominal),
    middle: withoutDust(middle),
    worstCase: { min: withoutDust(middle - sum), max: withoutDust(middle + sum) },
    rootSumSquare: { min: withoutDust(middle - rootSumSquare), max: withoutDust(middle + rootSumSquare) },
    standardDeviation,
    chanceInside: wanted
      ? normalChanceBetween(withoutDust(middle), standardDeviation, wanted.min, wanted.max)
      : null,
    shares: named.map(({ label, plus, minus }) => ({
      label,
      share: squares === 0 ? 0 : ((plus + minus) / 2) ** 2 / squares,
    })),
    source: 'worst case and root sum square of a linear chain, common practice',
  };
}
