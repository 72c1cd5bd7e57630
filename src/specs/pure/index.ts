// The part of the door that threads use: pure functions alone, so that a thread which loads it loads no server.
export {
  ChainRequest,
  ComparisonRequest,
  FitRequest,
  LimitsRequest,
  ThreadRequest,
} from '../calculator-requests.ts';
export { type ChainAnswer, type ChainQuestion, chain } from '../chain.ts';
export { normalChanceBetween } from '../chain-normal.ts';
export { type ComparisonAnswer, type ComparisonQuestion, comparison } from '../comparison.ts';
export { seededChance } from '../comparison-bootstrap.ts';
export {
  clearance,
  type FitAnswer,
  type FitCharacter,
  type FitQuestion,
  type FitSide,
  fit,
  type SizeLimits,
} from '../fit.ts';
export { fromMm, type LengthUnit, MM_PER_INCH, toMm, withoutDust } from '../inch.ts';
export { zoneDeviations, zoneOf } from '../iso286.ts';
export { standardTolerance } from '../iso286-grades.ts';
export { GENERAL_CLASSES, type GeneralClass } from '../iso2768.ts';
export { type LimitsAnswer, type LimitsQuestion, limits } from '../limits.ts';
export { type MeanWithLimits, meanWithLimits } from '../mean-limits.ts';
export { ratesRunsAfter, ratesRunsNeeded, sharesRunsAfter, sharesRunsNeeded } from '../power-counts.ts';
export { MOST_RUNS, meansRunsNeeded } from '../power-means.ts';
export {
  type Counted,
  type RateComparison,
  rateComparison,
  rateDifferenceInterval,
  rateInterval,
} from '../rates.ts';
export { type Interval, type ShareComparison, shareComparison, wilsonInterval } from '../shares.ts';
export {
  NEGLIGIBLE_ABOVE,
  type SignalAboveNoise,
  signalComparison,
  TRUSTED_ABOVE,
} from '../signal.ts';
export { expansionFactor, REFERENCE_CELSIUS } from '../temperature.ts';
export { type ThreadAnswer, type ThreadQuestion, thread, threadSizes } from '../thread.ts';
