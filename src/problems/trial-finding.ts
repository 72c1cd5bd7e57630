import type { Interval } from '../specs/index.ts';
import type { TrialKind } from './trial-kinds.ts';

/** What was measured in a trial and what was wanted of it: all that its figures are worked out from. */
export interface TrialData {
  kind: TrialKind;
  unit: string;
  /** measurements; of failures counts, which are added up; of yes-no ones and noughts */
  before: readonly number[];
  after: readonly number[];
  /** levels of the noise alone, where they were measured */
  noiseBefore: readonly number[];
  noiseAfter: readonly number[];
  /** of failures: in how many runs, hours or pieces */
  runsBefore: number | null;
  runsAfter: number | null;
  runsUnit: string;
  /** limits of the mean after; of yes-no of the share in %, of failures of the rate in 100 runs */
  wantedMin: number | null;
  wantedMax: number | null;
  /** the smallest change that would matter, in the same unit */
  worthwhile: number | null;
}

/** One side of a trial, in the unit that it is shown in. */
export interface Side {
  name: 'before' | 'after';
  /** mean, share in %, or rate in 100 runs */
  value: number;
  interval: Interval | null;
  /** the single values to be drawn; none of counts */
  dots: readonly number[];
}

/** After less before, or after over before. A limit that can't be given is null. */
export interface Difference {
  kind: 'difference' | 'ratio';
  value: number | null;
  low: number | null;
  high: number | null;
  /** as the drawing names it */
  unit: string;
}

export interface Row {
  label: string;
  value: string;
  hint: string;
}

/** What the values of a trial say. All figures in words are texts with a true minus. */
export interface Finding {
  sides: Side[];
  difference: Difference | null;
  pValue: number | null;
  /** whether a change is shown: the test at 5 % and the interval agree on it; null where nothing could be compared */
  shown: boolean | null;
  /** of the figures: 'Nm', '%', 'in 100 hours' */
  unit: string;
  rows: Row[];
  /** what the values show, and what they don't */
  shows: string;
  doesNot: string;
  /** how many more runs would settle it */
  more: string;
  /** where the figures come from */
  source: string;
  /** a figure of a side in words, with its unit */
  write(value: number): string;
}
