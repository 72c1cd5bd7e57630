import type { Refusal } from '../platform/refusal.ts';

/** How many pieces of a lot are measured, and by which line of the table. */
export interface SampleSize {
  letter: string;
  size: number;
}

/**
 * The largest lot of each code letter at general inspection level II, and the letter's sample size.
 *
 * Source: MIL-STD-105E (1989), table I and table II-A (single sampling, normal inspection); ISO 2859-1 and ANSI/ASQ Z1.4
 * carry the same tables on (that they are the same: from memory).
 */
const LETTERS: readonly (readonly [largestLot: number, letter: string, size: number])[] = [
  [8, 'A', 2],
  [15, 'B', 3],
  [25, 'C', 5],
  [50, 'D', 8],
  [90, 'E', 13],
  [150, 'F', 20],
  [280, 'G', 32],
  [500, 'H', 50],
  [1200, 'J', 80],
  [3200, 'K', 125],
  [10_000, 'L', 200],
  [35_000, 'M', 315],
  [150_000, 'N', 500],
  [500_000, 'P', 800],
  [Number.POSITIVE_INFINITY, 'Q', 1250],
];

/** A smaller lot is measured whole: five pieces or fewer tell too little of it. Common practice, no source. */
export const SMALLEST_LOT = 26;

/**
 * The sample for a lot; null where the lot is measured whole.
 *
 * Only the size is the standard's. Its plans let some pieces of the sample be outside, by an acceptable quality level,
 * for series of lots; here a box comes once, so none may be: acceptance number zero, the strictest there is.
 *
 * Example: 400 pieces -> letter H, 50 of them
 */
export function sampleSize(lot: number): SampleSize | null {
  if (!Number.isInteger(lot) || lot < SMALLEST_LOT) return null;
  const line = LETTERS.find(([largest]) => lot <= largest);
  return line ? { letter: line[1], size: line[2] } : null;
}

/**
 * The chance that a sample taken blindly shows none of the pieces that are outside.
 *
 * Source: the hypergeometric distribution at zero: the share of all samples of this size that miss all of them.
 *
 * Example: 50 of 400 with 1 outside -> 0.875
 */
export function missChance(lot: number, size: number, outside: number): number {
  let chance = 1;
  for (let taken = 0; taken < size; taken += 1) {
    chance *= Math.max(0, lot - outside - taken) / (lot - taken);
  }
  return chance;
}

/** The fewest pieces outside that such a sample shows at least 19 times in 20. */
export function surelyFound(lot: number, size: number): number {
  let outside = 1;
  while (missChance(lot, size, outside) > 0.05) outside += 1;
  return outside;
}

/** What such a sample shows of its lot, and what it does not, in sentences. */
export function sampleWords(lot: number, { letter, size }: SampleSize): string[] {
  const found = surelyFound(lot, size);
  const missed = Math.round(100 * missChance(lot, size, 1));
  return [
    `Of ${lot} pieces ${size} are measured in every dimension; the others are accepted with them only if none of the ${size} is outside.`,
    `It shows a box with ${found} or more bad pieces (${Math.round((1000 * found) / lot) / 10} %) at least 95 times in 100. It does not show that none is bad: a single one is missed ${missed} times in 100.`,
    `Sample size: code letter ${letter}, general inspection level II, single sampling, of MIL-STD-105E, tables I and II-A, which ISO 2859-1 carries on. Acceptance number zero, stricter than the standard’s own; chances by the hypergeometric distribution. It holds only for pieces taken blindly.`,
  ];
}

/** A sample as it was taken from a line. */
export interface SampleFacts {
  lot: number;
  letter: string;
  unitNos: readonly number[];
  /** the lead has all measured after all */
  isEnded: boolean;
}

/** What became of a unit, as far as a sample asks. */
export interface UnitOutcome {
  unitNo: number;
  disposition: string;
}

/**
 * How a sample stands: it is being measured, all of it was accepted as drawn, or a piece of it was not.
 *
 * It follows from what became of its pieces, so a corrected inspection corrects it too.
 */
export type SampleState = 'measuring' | 'passed' | 'failed';

export function sampleState(
  { unitNos }: Pick<SampleFacts, 'unitNos'>,
  units: readonly UnitOutcome[],
): SampleState {
  const outcomeOf = new Map(units.map(({ unitNo, disposition }) => [unitNo, disposition]));
  const outcomes = unitNos.map((unitNo) => outcomeOf.get(unitNo));
  if (outcomes.some((outcome) => outcome !== undefined && outcome !== 'accept')) return 'failed';
  return outcomes.every((outcome) => outcome === 'accept') ? 'passed' : 'measuring';
}

/**
 * Which dimensions a piece must have measured to be accepted as drawn. Key ones are measured on every piece, sample or
 * not: fits and functions rest on them, and who pairs pieces needs the size of each.
 *
 * @param sample  null where none was taken, or it has ended
 */
export function measuredOf(
  unitNo: number,
  sample: SampleFacts | null,
  state: SampleState | null,
): 'every' | 'key' {
  if (!sample || sample.isEnded) return 'key';
  return state === 'passed' && !sample.unitNos.includes(unitNo) ? 'key' : 'every';
}

/** Whether a sample may be taken from a line. @param open  numbers of the pieces that wait */
export function mayTakeSample(
  open: readonly number[],
  sample: SampleFacts | null,
  units: readonly UnitOutcome[],
  dimensions: number,
): Refusal | null {
  if (sample) return { code: 'sampled', sentence: 'A sample was taken from these pieces already.' };
  if (dimensions === 0) {
    return {
      code: 'nothing-to-measure',
      sentence: 'The drawing has no dimension with limits to measure a sample by.',
    };
  }
  const bad = units.find(({ disposition }) => disposition !== 'accept');
  if (bad) {
    return {
      code: 'one-is-bad',
      sentence: `Piece ${bad.unitNo} was not accepted as drawn: measure all of them.`,
    };
  }
  if (sampleSize(open.length) === null) {
    return {
      code: 'lot-too-small',
      sentence: `${open.length} pieces wait: fewer than ${SMALLEST_LOT} are all measured.`,
    };
  }
  return null;
}

/** Whether what was not in the sample may be accepted with it, without a look. */
export function mayAcceptWithSample(
  open: readonly number[],
  sample: SampleFacts | null,
  state: SampleState | null,
  keys: number,
): Refusal | null {
  if (!sample || sample.isEnded) return { code: 'no-sample', sentence: 'No sample stands for these pieces.' };
  if (state === 'failed') {
    return {
      code: 'sample-failed',
      sentence: 'A piece of the sample was not accepted as drawn: measure all of them.',
    };
  }
  if (state === 'measuring') {
    return { code: 'sample-open', sentence: 'The sample is not all measured yet.' };
  }
  if (keys > 0) {
    return {
      code: 'keys-on-each',
      sentence: 'Key dimensions are measured on every piece: these are not accepted without a look.',
    };
  }
  if (open.length === 0)
    return { code: 'nothing-waits', sentence: 'Somebody was quicker: no piece waits any more.' };
  return null;
}
