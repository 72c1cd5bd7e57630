/** Which ones of the left go with which ones of the right: `partner[left]` is an index of the right, or -1. */
export interface Matching {
  partner: Int32Array;
  size: number;
}

/**
 * As many pairs as there can be, each of the left with one of the right at most.
 *
 * Shortest augmenting paths are searched in layers, all of one length at once, until there are none.
 *
 * @param mayGo  links[l] lists the right ones that left l may go with
 *
 * Source: Hopcroft and Karp, An n^5/2 algorithm for maximum matchings in bipartite graphs, SIAM Journal on Computing 2
 * (1973) 225.
 */
export function mostPairs(mayGo: readonly (readonly number[])[], rights: number): Matching {
  const lefts = mayGo.length;
  const partner = new Int32Array(lefts).fill(-1);
  const holder = new Int32Array(rights).fill(-1);
  const layer = new Int32Array(lefts);

  const layered = (): boolean => {
    const queue: number[] = [];
    for (let left = 0; left < lefts; left += 1) {
      layer[left] = partner[left] === -1 ? 0 : -1;
      if (partner[left] === -1) queue.push(left);
    }
    let isFree = false;
    for (let head = 0; head < queue.length; head += 1) {
      const left = queue[head]!;
      for (const right of mayGo[left]!) {
        const next = holder[right]!;
        if (next === -1) isFree = true;
        else if (layer[next] === -1) {
          layer[next] = layer[left]! + 1;
          queue.push(next);
        }
      }
    }
    return isFree;
  };

  const augmented = (left: number): boolean => {
    for (const right of mayGo[left]!) {
      const next = holder[right]!;
      if (next !== -1 && (layer[next] !== layer[left]! + 1 || !augmented(next))) continue;
      partner[left] = right;
      holder[right] = left;
      return true;
    }
    layer[left] = -1; // no way out of here in this round
    return false;
  };

  let size = 0;
  while (layered()) {
    for (let left = 0; left < lefts; left += 1) {
      if (partner[left] === -1 && augmented(left)) size += 1;
    }
  }
  return { partner, size };
}

/**
 * As many pairs as there can be whose margin is not below 0, and among all such pairings one whose worst margin is
 * greatest.
 *
 * @param margins  margins[l][r] of the pair; below 0 does not go
 * @returns        the worst margin too; null where there is no pair
 *
 * Source: bottleneck assignment by searching the threshold over the values there are, as in Gabow and Tarjan, Algorithms
 * for two bottleneck optimization problems, Journal of Algorithms 9 (1988) 411 (from memory); pairs by Hopcroft and Karp
 * 1973.
 * Example: [[0.01, 0.002], [0.006, -0.004]] -> left 0 with right 1, left 1 with right 0, worst 0.002
 */
export function bestPairs(
  margins: readonly (readonly number[])[],
  rights: number,
): Matching & { worst: number | null } {
  const atLeast = (threshold: number) =>
    mostPairs(
      margins.map((row) => row.flatMap((margin, right) => (margin >= threshold ? [right] : []))),
      rights,
    );
  let best = atLeast(0);
  if (best.size === 0) return { ...best, worst: null };
  const thresholds = [...new Set(margins.flat().filter((margin) => margin >= 0))].sort((a, b) => a - b);
  // the greatest threshold at which no pair is lost: at the lowest none is
  let [low, high] = [0, thresholds.length - 1];
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    const found = atLeast(thresholds[middle]!);
    if (found.size === best.size) {
      best = found;
      low = middle;
    } else high = middle - 1;
  }
  const worst = thresholds[low]!;
  return { ...best, worst };
}
