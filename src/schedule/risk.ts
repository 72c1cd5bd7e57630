import { NotComputable } from '../platform/not-computable.ts';
import { activityGraph } from './network.ts';
import { leastDifference } from './network-pass.ts';
import { finishByHand, normalProbability } from './risk-by-hand.ts';
import { rankCorrelations } from './risk-correlation.ts';
import type { RiskRequest } from './risk-request.ts';
import { blockCount, type RiskBlocks, type RiskModel, simulateBlocks } from './risk-simulation.ts';

interface TargetChance {
  target: number;
  probability: number;
}

const percents = ['5', '10', '50', '80', '90', '95'] as const;

/** Days from 0. See `risk`. */
export interface RiskReply {
  mean: number;
  standardDeviation: number;
  percentiles: Record<(typeof percents)[number], number>;
  targets: TargetChance[];
  activities: { id: string; criticality: number; sensitivity: number }[];
  pert: { mean: number; standardDeviation: number; targets: TargetChance[] };
}

/**
 * Simulates a network whose durations are uncertain, and sets the classic estimate by hand beside it.
 *
 * @param request  three durations in days for each activity; links as in `network`; by default betaPert, 10,000 runs,
 *                 seed 1
 * @returns        `mean`, `standardDeviation` and `percentiles` of the finish in days from 0; for each target day the
 *                 share of runs that finish by it; for each activity `criticality`, the share of runs in which it has
 *                 no float, and `sensitivity`, the rank correlation of its duration with the finish; `pert`, the
 *                 classic estimate with normal probabilities. Same request, same reply
 * @throws NotComputable  durations not in order, and what `activityGraph` refuses
 *
 * For several threads: share out `simulateBlocks`, then `mergeBlocks`, share out `rankCorrelations`, then `riskReply`.
 * Source: Van Slyke, "Monte Carlo methods and the PERT problem" (1963); percentiles between runs as Hyndman and Fan
 * (1996), definition 7. See `durationLaws`, `rankCorrelations`, `finishByHand`.
 */
export function risk(request: RiskRequest): RiskReply {
  const model = riskModel(request);
  const simulated = simulateBlocks(model, 0, blockCount(model));
  return riskReply(
    request,
    model,
    simulated,
    rankCorrelations(model, simulated.finishes, 0, model.graph.count),
  );
}

/**
 * What a request asks to simulate.
 *
 * @throws NotComputable  durations not in order, and what `activityGraph` refuses
 */
export function riskModel(request: RiskRequest): RiskModel {
  const { activities, distribution = 'betaPert', runs = 10_000, seed = 1 } = request;
  let sum = 0;
  for (const { id, optimistic, likely, pessimistic, predecessors = [] } of activities) {
    if (optimistic > likely || likely > pessimistic) {
      throw new NotComputable(
        `activity ${id}: optimistic ${optimistic}, likely ${likely} and pessimistic ${pessimistic} days must not fall`,
        { id, optimistic, likely, pessimistic },
      );
    }
    sum += 6 * pessimistic + predecessors.reduce((lags, { lag = 0 }) => lags + Math.abs(lag), 0);
  }
  if (!Number.isFinite(sum * sum)) throw new NotComputable('the days add up to more than can be counted');
  return {
    graph: activityGraph(activities),
    distribution,
    optimistic: Float64Array.from(activities, (activity) => activity.optimistic),
    likely: Float64Array.from(activities, (activity) => activity.likely),
    pessimistic: Float64Array.from(activities, (activity) => activity.pessimistic),
    runs,
    seed,
  };
}

/** The reply to a request, from all blocks of its model and the rank correlation of every activity. */
export function riskReply(
  request: RiskRequest,
  model: RiskModel,
  { finishes, criticalRuns }: RiskBlocks,
  correlations: Float64Array,
): RiskReply {
  const { runs } = model;
  const targets = request.targets ?? [];
  const mean = finishes.reduce((sum, finish) => sum + finish, 0) / runs;
  const squares = finishes.reduce((sum, finish) => sum + (finish - mean) ** 2, 0);
  const sorted = finishes.slice().sort();
  const byHand = finishByHand(model);
  return {
    mean,
    standardDeviation: runs > 1 ? Math.sqrt(squares / (runs - 1)) : 0,
    percentiles: {
      '5': percentile(sorted, 5),
      '10': percentile(sorted, 10),
      '50': percentile(sorted, 50),
      '80': percentile(sorted, 80),
      '90': percentile(sorted, 90),
      '95': percentile(sorted, 95),
    },
    targets: targets.map((target) => ({ target, probability: shareUpTo(sorted, target) })),
    activities: request.activities.map(({ id }, i) => ({
      id,
      criticality: criticalRuns[i]! / runs,
      sensitivity: correlations[i]!,
    })),
    pert: {
      ...byHand,
      targets: targets.map((target) => ({
        target,
        probability: normalProbability(target, byHand.mean, byHand.standardDeviation),
      })),
    },
  };
}

function percentile(sorted: Float64Array, percent: number): number {
  const at = ((sorted.length - 1) * percent) / 100;
  const below = sorted[Math.floor(at)]!;
  const above = sorted[Math.ceil(at)]!;
  return below + (above - below) * (at - Math.floor(at));
}

/** A finish that misses the target by rounding error alone is in time. */
function shareUpTo(sorted: Float64Array, target: number): number {
  const latest = target + leastDifference(Math.abs(target));
  let from = 0;
  let to = sorted.length;
  while (from < to) {
    const middle = (from + to) >>> 1;
    if (sorted[middle]! <= latest) from = middle + 1;
    else to = middle;
  }
  return from / sorted.length;
}
