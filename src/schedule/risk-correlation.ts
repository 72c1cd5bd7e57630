import { fillUniform } from './risk-random.ts';
import { blockCount, blockSize, type RiskModel, runsInBlock } from './risk-simulation.ts';

/**
 * Rank correlation of an activity's duration with the finish, for the activities `from` .. `to - 1` of a model.
 *
 * The random numbers of an activity are made again from its streams: a duration grows with its number, so the ranks of
 * the one are the ranks of the other.
 *
 * @param model     the model simulated
 * @param finishes  the finish of every run, from `mergeBlocks`
 * @returns         -1 .. 1 for each of these activities; 0 where duration or finish is always the same
 *
 * Activities may be shared out between threads in any way.
 * Source: Spearman's rank correlation with mean ranks for equal values, as in Kendall and Gibbons, "Rank Correlation
 * Methods" (1990).
 */
export function rankCorrelations(
  model: RiskModel,
  finishes: Float64Array,
  from: number,
  to: number,
): Float64Array {
  const { runs, seed, optimistic, pessimistic } = model;
  const correlations = new Float64Array(Math.max(0, to - from));
  const finishRanks = centredRanks(finishes);
  const finishSquares = finishRanks.reduce((sum, rank) => sum + rank * rank, 0);
  if (finishSquares === 0) return correlations;

  const numbers = new Uint32Array(runs);
  const sorted = numberSorter(runs);
  for (let i = from; i < to; i++) {
    if (optimistic[i] === pessimistic[i]) continue;
    for (let block = 0; block < blockCount(model); block++) {
      const first = block * runsInBlock;
      fillUniform(numbers.subarray(first, first + blockSize(model, block)), seed, i, block);
    }
    const { keys, ranks } = sorted(numbers, finishRanks);
    let products = 0;
    let squares = 0;
    for (let first = 0; first < runs; ) {
      let end = first;
      let together = 0;
      do together += ranks[end++]!;
      while (end < runs && keys[end] === keys[first]);
      const rank = (first + end - runs) / 2;
      products += rank * together;
      squares += rank * rank * (end - first);
      first = end;
    }
    correlations[i - from] = squares === 0 ? 0 : products / Math.sqrt(squares * finishSquares);
  }
  return correlations;
}

/** The rank of each value among all, equal values sharing the mean of theirs, with 0 in the middle. */
export function centredRanks(values: Float64Array): Float64Array {
  const count = values.length;
  const order = Uint32Array.from(values, (_, k) => k).sort((one, other) => values[one]! - values[other]!);
  const ranks = new Float64Array(count);
  for (let first = 0; first < count; ) {
    let end = first + 1;
    while (end < count && values[order[end]!] === values[order[first]!]) end++;
    for (let k = first; k < end; k++) ranks[order[k]!] = (first + end - count) / 2;
    first = end;
  }
  return ranks;
}

/**
 * Sorts uniform 32-bit numbers, each with the rank that belongs to it. They spread evenly, so each is laid where its
 * first bits say and is then at most a few places off.
 *
 * @returns  a function of numbers and ranks; what it returns is overwritten by its next call
 */
function numberSorter(count: number) {
  const bits = Math.min(14, 32 - Math.clz32(count));
  const places = new Uint32Array(1 << bits);
  const keys = new Uint32Array(count);
  const ranks = new Float64Array(count);
  return (numbers: Uint32Array, ranksOf: Float64Array) => {
    places.fill(0);
    for (let k = 0; k < count; k++) places[numbers[k]! >>> (32 - bits)]!++;
    let sum = 0;
    for (let part = 0; part < places.length; part++) {
      const here = places[part]!;
      places[part] = sum;
      sum += here;
    }
    for (let k = 0; k < count; k++) {
      const place = places[numbers[k]! >>> (32 - bits)]!++;
      keys[place] = numbers[k]!;
      ranks[place] = ranksOf[k]!;
    }
    for (let k = 1; k < count; k++) {
      const key = keys[k]!;
      if (keys[k - 1]! <= key) continue;
      const rank = ranks[k]!;
      let at = k;
      for (; at > 0 && keys[at - 1]! > key; at--) {
        keys[at] = keys[at - 1]!;
        ranks[at] = ranks[at - 1]!;
      }
      keys[at] = key;
      ranks[at] = rank;
    }
    return { keys, ranks };
  };
}
