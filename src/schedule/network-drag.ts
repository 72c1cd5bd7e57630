import type { NetworkGraph } from './network-graph.ts';
import { leastDifference, type NetworkBounds, type NetworkDates } from './network-pass.ts';

/**
 * By how many days the finish would come nearer if one activity took no time, for each critical activity (no total
 * float); 0 for the others. Links stay as they are, so with links to a finish or from a start a shorter activity may
 * not help, or even start later and push others: then drag is negative.
 *
 * Exact, and not by trying each: without the duration of i the finish is the longer of two runs.
 * 1. The longest that goes through i, with its own duration taken out of the links at i. What leads to the activities
 *    before i never passes i, nor does what follows those after it, so early starts and tails still hold there.
 * 2. The longest that avoids i. In an order of work with i at place p it begins after p, or ends before p, or has one
 *    link from before p to after p: prefix, suffix and "greatest interval over p" maxima give it for all p together.
 *
 * @param graph, bounds  as they were given to `networkPass`
 * @param dates          as `networkPass` filled them
 * @returns              days, by activity
 *
 * O(n log n + links) time, n log2 n numbers of memory.
 * Source: the quantity is Devaux's "drag" (Total Project Control, 1999), there for FS links; the method is our own,
 * held by comparison with trying each activity.
 */
export function networkDrag(graph: NetworkGraph, bounds: NetworkBounds, dates: NetworkDates): Float64Array {
  const { count, order, firstLink, linkTargets, linkTypes, lags } = graph;
  const { durations, starts, tails, runs } = dates.work;
  const { totalFloats, finish } = dates;
  const drag = new Float64Array(count);
  if (count === 0) return drag;
  const firstStart = (k: number) => Math.max(0, bounds.notBefore?.[order[k]!] ?? 0);

  // run 1: start and tail of each place when it takes no time; and for run 2 every link that jumps over places
  const startsWithout = Float64Array.from(order, (_, k) => firstStart(k));
  const tailsWithout = new Float64Array(count);
  const over = intervalMaxima(count);
  for (let k = 0; k < count; k++) {
    for (let link = firstLink[k]!; link < firstLink[k + 1]!; link++) {
      const j = linkTargets[link]!;
      const fromStart = linkTypes[link]! & 1;
      const toFinish = linkTypes[link]! & 2;
      const start = starts[k]! + (fromStart ? 0 : durations[k]!) + lags[link]!;
      const run = lags[link]! - (toFinish ? durations[j]! : 0);
      startsWithout[j] = Math.max(startsWithout[j]!, start);
      tailsWithout[k] = Math.max(tailsWithout[k]!, run + tails[j]!);
      over.add(k + 1, j - 1, starts[k]! + runs[link]! + tails[j]!);
    }
  }
  const avoiding = over.maxima();

  // run 2 also begins after the place, taken here from the end backwards, or ends before it, taken in the last loop
  let begun = Number.NEGATIVE_INFINITY;
  for (let k = count - 1; k >= 0; k--) {
    avoiding[k] = Math.max(avoiding[k]!, begun);
    begun = Math.max(begun, firstStart(k) + tails[k]!);
  }
  const least = leastDifference(finish, bounds.finishBy);
  let ended = Number.NEGATIVE_INFINITY;
  for (let k = 0; k < count; k++) {
    const i = order[k]!;
    if (totalFloats[i]! <= 0) {
      const nearer = finish - Math.max(ended, avoiding[k]!, startsWithout[k]! + tailsWithout[k]!);
      drag[i] = Math.abs(nearer) > least ? nearer : 0;
    }
    ended = Math.max(ended, starts[k]! + durations[k]!);
  }
  return drag;
}

/**
 * Greatest value over each place of many intervals of places. An interval is covered by two that are a power of two
 * long, which may overlap since a maximum does not mind; each length then hands down to its halves.
 */
function intervalMaxima(count: number) {
  const levels = Array.from({ length: 32 - Math.clz32(count) }, () =>
    new Float64Array(count).fill(Number.NEGATIVE_INFINITY),
  );
  const raise = (values: Float64Array, at: number, value: number) => {
    if (value > values[at]!) values[at] = value;
  };
  return {
    /** Takes the places `from` .. `to`, both included; an empty interval is passed over. */
    add(from: number, to: number, value: number): void {
      if (to < from) return;
      const level = 31 - Math.clz32(to - from + 1);
      raise(levels[level]!, from, value);
      raise(levels[level]!, to - (1 << level) + 1, value);
    },
    maxima(): Float64Array {
      for (let level = levels.length - 1; level > 0; level--) {
        const half = 1 << (level - 1);
        const whole = levels[level]!;
        const halves = levels[level - 1]!;
        for (let at = 0; at + 2 * half <= count; at++) {
          raise(halves, at, whole[at]!);
          raise(halves, at + half, whole[at]!);
        }
      }
      return levels[0]!;
    },
  };
}
