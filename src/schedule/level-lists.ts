import type { LevelProject, Neighbours } from './level-project.ts';

/** Uniform whole numbers 0 .. below - 1, one at each call. */
export type Chance = (below: number) => number;

/**
 * Makes and changes lists of activities in which none comes before one it waits for. Every list given must be such a
 * list; so is every list filled. Working arrays are made once.
 */
export interface ListWork {
  /** Fills `list` by latest finish, the earliest first. */
  byLatestFinish(list: Int32Array): void;
  /** Fills `list` at random: the greater `bias`, the surer by latest finish; 0 is by chance alone. */
  sample(list: Int32Array, bias: number): void;
  /**
   * Fills `child` with the mother's order, but for one stretch: from place `from` on come `length` activities in the
   * father's order, those that are next there.
   */
  cross(mother: Int32Array, father: Int32Array, from: number, length: number, child: Int32Array): void;
  /** Exchanges neighbours that need not wait for one another, about one pair in `oneIn`. */
  swapNeighbours(list: Int32Array, oneIn: number): void;
  /** Puts one stretch of `length` activities into a new order by chance. */
  shuffleStretch(list: Int32Array, length: number): void;
}

/**
 * @param tails   days that must pass after each activity is finished: the longest tail has the earliest latest finish
 * @param chance  where every choice comes from
 *
 * Sources: crossover in two points on activity lists and exchange of neighbours, Hartmann, "A competitive genetic
 * algorithm for resource-constrained project scheduling" (1998); sampling with a bias by regret over latest finishes,
 * Kolisch and Drexl, "Adaptive search for solving hard project scheduling problems" (1996).
 */
export function listWork(
  { count, before, after }: Pick<LevelProject, 'count' | 'before' | 'after'>,
  tails: Int32Array,
  chance: Chance,
): ListWork {
  const ready = new Int32Array(count);
  const open = new Int32Array(count);
  const weights = new Float64Array(count);
  const marks = new Int32Array(count);
  const fine = 2 ** 30;
  let mark = 0;

  /** A place among the `readyCount` ready activities. */
  const drawn = (readyCount: number, bias: number) => {
    let least = tails[ready[0]!]!;
    for (let k = 1; k < readyCount; k++) least = Math.min(least, tails[ready[k]!]!);
    let sum = 0;
    for (let k = 0; k < readyCount; k++) {
      weights[k] = (tails[ready[k]!]! - least + 1) ** bias;
      sum += weights[k]!;
    }
    let rest = (chance(fine) / fine) * sum;
    let k = 0;
    while (k < readyCount - 1) {
      rest -= weights[k]!;
      if (rest < 0) break;
      k++;
    }
    return k;
  };

  return {
    byLatestFinish(list) {
      // what waits for another has no longer a tail, and a greater number
      for (let i = 0; i < count; i++) list[i] = i;
      list.sort((one, other) => tails[other]! - tails[one]! || one - other);
    },

    sample(list, bias) {
      let readyCount = 0;
      for (let i = 0; i < count; i++) {
        open[i] = before.first[i + 1]! - before.first[i]!;
        if (open[i] === 0) ready[readyCount++] = i;
      }
      for (let place = 0; place < count; place++) {
        const at = drawn(readyCount, bias);
        const i = ready[at]!;
        list[place] = i;
        ready[at] = ready[--readyCount]!;
        for (let link = after.first[i]!; link < after.first[i + 1]!; link++) {
          const j = after.ids[link]!;
          if (--open[j]! === 0) ready[readyCount++] = j;
        }
      }
    },

    cross(mother, father, from, length, child) {
      mark++;
      let place = 0;
      for (; place < from; place++) {
        const i = mother[place]!;
        child[place] = i;
        marks[i] = mark;
      }
      for (let k = 0, end = from + length; place < end; k++) {
        const i = father[k]!;
        if (marks[i] === mark) continue;
        child[place++] = i;
        marks[i] = mark;
      }
      for (let k = from; place < count; k++) {
        const i = mother[k]!;
        if (marks[i] !== mark) child[place++] = i;
      }
    },

    swapNeighbours(list, oneIn) {
      for (let place = chance(2 * oneIn); place < count - 1; place += 1 + chance(2 * oneIn)) {
        const i = list[place]!;
        const j = list[place + 1]!;
        if (waitsFor(before, j, i)) continue;
        list[place] = j;
        list[place + 1] = i;
      }
    },

    shuffleStretch(list, length) {
      const size = Math.min(length, count);
      const from = chance(count - size + 1);
      mark++;
      for (let place = from; place < from + size; place++) marks[list[place]!] = mark;
      let readyCount = 0;
      for (let place = from; place < from + size; place++) {
        const i = list[place]!;
        open[i] = 0;
        for (let link = before.first[i]!; link < before.first[i + 1]!; link++) {
          if (marks[before.ids[link]!] === mark) open[i]!++;
        }
        if (open[i] === 0) ready[readyCount++] = i;
      }
      for (let place = from; readyCount > 0; place++) {
        const at = chance(readyCount);
        const i = ready[at]!;
        list[place] = i;
        ready[at] = ready[--readyCount]!;
        for (let link = after.first[i]!; link < after.first[i + 1]!; link++) {
          const j = after.ids[link]!;
          if (marks[j] === mark && --open[j]! === 0) ready[readyCount++] = j;
        }
      }
    },
  };
}

function waitsFor({ first, ids }: Neighbours, later: number, earlier: number): boolean {
  for (let link = first[later]!; link < first[later + 1]!; link++) if (ids[link] === earlier) return true;
  return false;
}
