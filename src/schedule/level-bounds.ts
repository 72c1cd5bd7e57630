import type { LevelProject } from './level-project.ts';

/** Days that must pass before each activity starts, and after it is finished, whatever the resources. */
export interface HeadsAndTails {
  heads: Int32Array;
  tails: Int32Array;
  /** The finish if no resource were scarce. */
  longestPath: number;
}

/** Longest paths from the beginning and to the end. Source: critical path method, Kelley and Walker (1959). */
export function headsAndTails({ count, durations, before, after }: LevelProject): HeadsAndTails {
  const heads = new Int32Array(count);
  const tails = new Int32Array(count);
  let longestPath = 0;
  for (let i = 0; i < count; i++) {
    for (let link = before.first[i]!; link < before.first[i + 1]!; link++) {
      const j = before.ids[link]!;
      heads[i] = Math.max(heads[i]!, heads[j]! + durations[j]!);
    }
    longestPath = Math.max(longestPath, heads[i]! + durations[i]!);
  }
  for (let i = count - 1; i >= 0; i--) {
    for (let link = after.first[i]!; link < after.first[i + 1]!; link++) {
      const j = after.ids[link]!;
      tails[i] = Math.max(tails[i]!, tails[j]! + durations[j]!);
    }
  }
  return { heads, tails, longestPath };
}

/**
 * A finish, in days, that no schedule comes below. A search that reaches it can stop.
 *
 * The greatest of: the longest path; for every resource and every set of activities with a head of at least h and a tail
 * of at least t, h + the days that the resource needs for the work of the set + t; and for every two activities that need
 * more of a resource together than there is, the better of the two ways to do one after the other.
 *
 * Sources: Stinson, Davis and Khumawala, "Multiple resource-constrained scheduling using branch and bound" (1978) for
 * work against capacity; heads and tails as Carlier, "The one-machine sequencing problem" (1982).
 */
export function finishBound(project: LevelProject, { heads, tails, longestPath }: HeadsAndTails): number {
  let bound = longestPath;
  for (const resource of project.scarce) {
    bound = Math.max(
      bound,
      workBound(project, resource, heads, tails),
      pairBound(project, resource, heads, tails),
    );
  }
  return bound;
}

type Scarce = LevelProject['scarce'][number];

function workBound(
  { durations }: LevelProject,
  { capacity, demands }: Scarce,
  heads: Int32Array,
  tails: Int32Array,
): number {
  const users = Array.from(demands.keys()).filter((i) => demands[i]! > 0);
  const falling = [...new Set(users.map((i) => tails[i]!))].sort((one, other) => other - one);
  const rank = new Map(falling.map((tail, at) => [tail, at]));
  const work = new Float64Array(falling.length);
  users.sort((one, other) => heads[other]! - heads[one]!);
  let bound = 0;
  users.forEach((i, at) => {
    work[rank.get(tails[i]!)!]! += demands[i]! * durations[i]!;
    if (at + 1 < users.length && heads[users[at + 1]!] === heads[i]) return;
    for (let r = 0, sum = 0; r < work.length; r++) {
      sum += work[r]!;
      if (sum > 0) bound = Math.max(bound, heads[i]! + Math.ceil(sum / capacity) + falling[r]!);
    }
  });
  return bound;
}

function pairBound(
  { count, durations }: LevelProject,
  { capacity, demands }: Scarce,
  heads: Int32Array,
  tails: Int32Array,
): number {
  let bound = 0;
  for (let i = 0; i < count; i++) {
    for (let j = i + 1; j < count; j++) {
      if (demands[i]! + demands[j]! <= capacity) continue;
      const both = durations[i]! + durations[j]!;
      bound = Math.max(bound, both + Math.min(heads[i]! + tails[j]!, heads[j]! + tails[i]!));
    }
  }
  return bound;
}
