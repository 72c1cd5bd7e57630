import type { NetworkGraph } from './network-graph.ts';
import { durationLaws, type RiskDistribution } from './risk-law.ts';
import { passOfRuns, runsTogether } from './risk-pass.ts';
import { fillUniform } from './risk-random.ts';

/** What to simulate. Plain typed arrays throughout, so that it can be posted to a worker as it is. */
export interface RiskModel {
  readonly graph: NetworkGraph;
  readonly distribution: RiskDistribution;
  /** Days, by activity: optimistic <= likely <= pessimistic. */
  readonly optimistic: Float64Array;
  readonly likely: Float64Array;
  readonly pessimistic: Float64Array;
  readonly runs: number;
  readonly seed: number;
}

/** The outcome of some blocks of runs. */
export interface RiskBlocks {
  firstBlock: number;
  endBlock: number;
  /** The finish of each run, in days, in the order of the runs. */
  finishes: Float64Array;
  /** By activity: in how many of these runs it had no float. */
  criticalRuns: Uint32Array;
}

/** Runs are simulated in blocks; the last one may be shorter. */
export const runsInBlock = 512;

/** How many blocks the runs of a model make: 0 .. blockCount - 1 may be shared out between threads in any way. */
export const blockCount = ({ runs }: RiskModel): number => Math.ceil(runs / runsInBlock);

/** How many runs a block has. */
export const blockSize = ({ runs }: RiskModel, block: number): number =>
  Math.min(runsInBlock, runs - block * runsInBlock);

/**
 * Simulates the blocks `firstBlock` .. `endBlock - 1` of a model.
 *
 * @returns  the same for a block whoever simulates it, and together with which others
 */
export function simulateBlocks(model: RiskModel, firstBlock: number, endBlock: number): RiskBlocks {
  const { graph, distribution, seed } = model;
  const { count, order } = graph;
  const lawOf = durationLaws();
  const laws = Array.from(order, (i) =>
    lawOf(distribution, model.optimistic[i]!, model.likely[i]!, model.pessimistic[i]!),
  );
  const firstRun = firstBlock * runsInBlock;
  const finishes = new Float64Array(Math.max(0, Math.min(model.runs, endBlock * runsInBlock) - firstRun));
  const criticalAt = new Uint32Array(count);

  const uniforms = new Uint32Array(runsInBlock);
  const days = new Float64Array(runsInBlock);
  const durations = new Float64Array(runsInBlock * count);
  const pass = passOfRuns(graph);
  for (let block = firstBlock; block < endBlock; block++) {
    const size = blockSize(model, block);
    for (let k = 0; k < count; k++) {
      fillUniform(uniforms, seed, order[k]!, block);
      laws[k]!(uniforms, days);
      // laid out as the passes take them: first all activities of the first few runs, then of the next
      for (let run = 0, to = k * runsTogether; run < runsInBlock; to += runsTogether * count) {
        for (let r = 0; r < runsTogether; r++) durations[to + r] = days[run++]!;
      }
    }
    for (let run = 0; run < size; run += runsTogether) {
      const wanted = Math.min(runsTogether, size - run);
      const ends = pass(durations.subarray(run * count, (run + runsTogether) * count), wanted, criticalAt);
      finishes.set(ends.subarray(0, wanted), block * runsInBlock - firstRun + run);
    }
  }
  const criticalRuns = new Uint32Array(count);
  for (let k = 0; k < count; k++) criticalRuns[order[k]!] = criticalAt[k]!;
  return { firstBlock, endBlock, finishes, criticalRuns };
}

/**
 * Puts together what was simulated in parts, in any order.
 *
 * @throws Error  when the parts do not make up all blocks of the model
 */
export function mergeBlocks(model: RiskModel, parts: readonly RiskBlocks[]): RiskBlocks {
  const finishes = new Float64Array(model.runs);
  const criticalRuns = new Uint32Array(model.graph.count);
  let next = 0;
  for (const part of [...parts].sort((one, other) => one.firstBlock - other.firstBlock)) {
    if (part.firstBlock !== next)
      throw new Error(`block ${next} of the simulation is missing or there twice`);
    finishes.set(part.finishes, part.firstBlock * runsInBlock);
    for (let i = 0; i < criticalRuns.length; i++) criticalRuns[i]! += part.criticalRuns[i]!;
    next = part.endBlock;
  }
  if (next !== blockCount(model)) throw new Error(`block ${next} of the simulation is missing`);
  return { firstBlock: 0, endBlock: next, finishes, criticalRuns };
}
