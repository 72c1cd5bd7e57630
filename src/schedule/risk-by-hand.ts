import { leastDifference } from './network-pass.ts';
import type { RiskModel } from './risk-simulation.ts';

/**
 * The classic three-point estimate: mean (optimistic + 4 likely + pessimistic) / 6 and variance
 * ((pessimistic - optimistic) / 6)^2 of each activity, both summed along the longest path of the means.
 *
 * Where several paths are equally long the one with the greatest variance counts. A path that enters and leaves an
 * activity on the same side (start or finish) does not depend on its duration, and its variance is left out.
 *
 * @returns  { mean, standardDeviation } of the finish, in days
 *
 * Source: Malcolm, Roseboom, Clark and Fazar, "Application of a technique for research and development program
 * evaluation" (1959).
 */
export function finishByHand({ graph, optimistic, likely, pessimistic }: RiskModel) {
  const { count, order, firstLink, linkTargets, linkTypes, lags } = graph;
  const means = Float64Array.from(order, (i) => (optimistic[i]! + 4 * likely[i]! + pessimistic[i]!) / 6);
  const variances = Float64Array.from(order, (i) => ((pessimistic[i]! - optimistic[i]!) / 6) ** 2);

  const starts = new Float64Array(count);
  // the greatest variance of a longest path to the start and to the finish of each
  const atStarts = new Float64Array(count);
  const atFinishes = Float64Array.from(variances);
  let finish = 0;
  let finishVariance = 0;
  const rounding = leastDifference(1);
  for (let k = 0; k < count; k++) {
    const end = starts[k]! + means[k]!;
    const isLonger = end > finish * (1 + rounding);
    const isAsLong = !isLonger && end >= finish * (1 - rounding);
    if (isLonger || (isAsLong && atFinishes[k]! > finishVariance)) finishVariance = atFinishes[k]!;
    finish = Math.max(finish, end);
    for (let link = firstLink[k]!; link < firstLink[k + 1]!; link++) {
      const j = linkTargets[link]!;
      const fromStart = linkTypes[link]! & 1;
      const toFinish = linkTypes[link]! & 2;
      const start = (fromStart ? starts[k]! : end) + lags[link]! - (toFinish ? means[j]! : 0);
      const least = rounding * Math.max(start, starts[j]!);
      if (start < starts[j]! - least || start < 0) continue;
      const variance = fromStart ? atStarts[k]! : atFinishes[k]!;
      const atStart = variance + (toFinish ? variances[j]! : 0);
      const atFinish = variance + (toFinish ? 0 : variances[j]!);
      const replaces = start > starts[j]! + least;
      atStarts[j] = replaces ? atStart : Math.max(atStarts[j]!, atStart);
      atFinishes[j] = replaces ? atFinish : Math.max(atFinishes[j]!, atFinish);
      starts[j] = Math.max(starts[j]!, start);
    }
  }
  return { mean: finish, standardDeviation: Math.sqrt(finishVariance) };
}

/**
 * Probability that a normal value is at most `value`.
 *
 * With no deviation at all it is 0 below the mean and 1 from it on.
 * Source: Marsaglia, "Evaluating the normal distribution", Journal of Statistical Software 11 (2004).
 */
export function normalProbability(value: number, mean: number, standardDeviation: number): number {
  if (standardDeviation === 0) return value >= mean - leastDifference(Math.abs(mean)) ? 1 : 0;
  const z = (value - mean) / standardDeviation;
  if (Math.abs(z) > 8.5) return z > 0 ? 1 : 0;
  let sum = z;
  for (let term = z, odd = 3, before = 0; sum !== before; odd += 2) {
    before = sum;
    term *= (z * z) / odd;
    sum += term;
  }
  return Math.min(1, Math.max(0, 0.5 + (sum * Math.exp(-0.5 * z * z)) / Math.sqrt(2 * Math.PI)));
}
