import { normalProbability } from './risk-by-hand.ts';
import { fillUniform } from './risk-random.ts';
import type { BuildModel } from './simulate.ts';
import { SPREAD_KNOTS } from './spread.ts';

/** Runs are drawn in blocks; of the last one fewer may be wanted. */
export const runsInBlock = 128;

/** Draws the days of steps, block by block of runs, the same ones for the same model. */
export interface Drawer {
  /** fills the days of all steps for the runs of a block: by run, then by place */
  block(block: number, days: Int32Array): void;
  /** the days of a step in the runs of a block */
  ofStep(step: number, block: number, days: Int32Array): void;
  /** the days of a second maker at a step in a run of the block drawn last, from a spread of their own */
  other(step: number, spread: number, run: number): number;
}

/** @param model  see `BuildModel` */
export function drawer(model: BuildModel): Drawer {
  const { graph, spreadOf, spreads, groupOf, streamOf, groupStreams, strength, seed } = model;
  const { count, order } = graph;
  const numbers = new Uint32Array(runsInBlock);
  const more = new Uint32Array(runsInBlock);
  const own = new Int32Array(runsInBlock);
  const shared = new Float64Array(groupStreams.length * runsInBlock);
  const ofGroup = Math.sqrt(strength);
  const ofStep = Math.sqrt(1 - strength);
  let filledBlock = -1;
  const others = new Map<number, Int32Array>();

  /** Standard normal numbers of a stream, by Box and Muller (1958). */
  function fillNormal(to: Float64Array, stream: number, block: number): void {
    fillUniform(numbers, seed, stream, block);
    fillUniform(more, seed ^ 0x5bd1e995, stream, block);
    for (let r = 0; r < to.length; r++) {
      to[r] =
        Math.sqrt(-2 * Math.log((numbers[r]! + 0.5) / 4294967296)) *
        Math.cos((2 * Math.PI * more[r]!) / 4294967296);
    }
  }
  const normals = new Float64Array(runsInBlock);

  function beginBlock(block: number): void {
    if (filledBlock === block) return;
    filledBlock = block;
    others.clear();
    groupStreams.forEach((stream, group) => {
      fillNormal(shared.subarray(group * runsInBlock, (group + 1) * runsInBlock), stream, block);
    });
  }

  function quantile(spread: number, share: number): number {
    const at = share * (SPREAD_KNOTS - 1);
    const knot = Math.min(SPREAD_KNOTS - 2, Math.floor(at));
    const from = spreads[spread * SPREAD_KNOTS + knot]!;
    return Math.round(from + (spreads[spread * SPREAD_KNOTS + knot + 1]! - from) * (at - knot));
  }

  function drawStep(step: number, block: number, days: Int32Array): void {
    const spread = spreadOf[step]!;
    if (spread < 0) {
      days.fill(model.days[step]!);
      return;
    }
    const group = groupOf[step]!;
    if (group < 0) {
      fillUniform(numbers, seed, streamOf[step]!, block);
      for (let r = 0; r < runsInBlock; r++) days[r] = quantile(spread, (numbers[r]! + 0.5) / 4294967296);
      return;
    }
    beginBlock(block);
    fillNormal(normals, streamOf[step]!, block);
    for (let r = 0; r < runsInBlock; r++) {
      const luck = ofGroup * shared[group * runsInBlock + r]! + ofStep * normals[r]!;
      days[r] = quantile(spread, normalProbability(luck, 0, 1));
    }
  }

  return {
    ofStep: drawStep,
    block(block, days) {
      beginBlock(block);
      for (let k = 0; k < count; k++) {
        drawStep(order[k]!, block, own);
        for (let r = 0, to = k; r < runsInBlock; r++, to += count) days[to] = own[r]!;
      }
    },
    other(step, spread, run) {
      let drawn = others.get(step * 65_536 + spread);
      if (!drawn) {
        fillUniform(numbers, seed ^ 0x2545f491, streamOf[step]!, filledBlock);
        drawn = Int32Array.from(numbers, (number) => quantile(spread, (number + 0.5) / 4294967296));
        others.set(step * 65_536 + spread, drawn);
      }
      return drawn[run]!;
    },
  };
}
