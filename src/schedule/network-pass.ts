import type { NetworkGraph } from './network-graph.ts';

/** Dates and floats of every activity, in days from 0, by activity number. */
export interface NetworkDates {
  /** Greatest early finish; 0 without activities. */
  finish: number;
  readonly earlyStarts: Float64Array;
  readonly earlyFinishes: Float64Array;
  readonly lateStarts: Float64Array;
  readonly lateFinishes: Float64Array;
  readonly totalFloats: Float64Array;
  readonly freeFloats: Float64Array;
  /** What the pass and `networkDrag` work on. */
  readonly work: WorkArrays;
}

/** By place in the graph's order of work. */
interface WorkArrays {
  readonly durations: Float64Array;
  readonly starts: Float64Array;
  /** From the start of each to the end of the longest run of work that begins with it. */
  readonly tails: Float64Array;
  readonly slips: Float64Array;
  /** By link: the least time between the two starts. */
  readonly runs: Float64Array;
}

/** What may be given beside graph and durations. */
export interface NetworkBounds {
  /** By activity: no start before this day. Without it, or below 0: no start before 0. */
  notBefore?: Float64Array;
  /** The day from which late dates count back; without it, the finish itself. */
  finishBy?: number;
}

/** Below this part of the finish a float is rounding error: sums over 100,000 activities err by about 1e-11. */
const rounding = 1e-9;

/** The least difference in days that counts, in a network that ends at `finish` (and is wanted by `finishBy`). */
export function leastDifference(finish: number, finishBy: number = finish): number {
  return rounding * Math.max(finish, Math.abs(finishBy));
}

/** Empty arrays for `networkPass` to fill; one set may be used for any number of passes over the same graph. */
export function networkDates({ count, lags }: NetworkGraph): NetworkDates {
  const days = (length: number) => new Float64Array(length);
  return {
    finish: 0,
    earlyStarts: days(count),
    earlyFinishes: days(count),
    lateStarts: days(count),
    lateFinishes: days(count),
    totalFloats: days(count),
    freeFloats: days(count),
    work: {
      durations: days(count),
      starts: days(count),
      tails: days(count),
      slips: days(count),
      runs: days(lags.length),
    },
  };
}

/**
 * Early and late dates, total and free float by the critical path method, for links of all four types with lags.
 *
 * An activity runs unbroken, so every link says how far apart two starts must lie: from i to j at least
 * (FS, FF: duration of i) + lag - (FF, SF: duration of j). The early start is the longest such run from day 0 to it,
 * the tail the longest from its start to any finish; late start = finish - tail.
 *
 * @param graph      from `networkGraph`
 * @param durations  days >= 0, by activity
 * @param bounds     see NetworkBounds; a `finishBy` before the finish makes floats negative
 * @param dates      filled and returned; floats that are mere rounding error are 0
 *
 * Linear in activities and links, allocates nothing when `dates` is given.
 * Source: Kelley, "Critical-path planning and scheduling: mathematical basis" (1961); links with lags as in the metra
 * potential method, Roy (1959).
 */
export function networkPass(
  graph: NetworkGraph,
  durations: Float64Array,
  bounds: NetworkBounds = {},
  dates: NetworkDates = networkDates(graph),
): NetworkDates {
  const { count, order, places, firstLink, linkTargets, linkTypes, lags } = graph;
  const { starts, tails, slips, runs } = dates.work;
  const laid = dates.work.durations;

  for (let k = 0; k < count; k++) laid[k] = durations[order[k]!]!;
  starts.fill(0);
  if (bounds.notBefore) {
    for (let k = 0; k < count; k++) starts[k] = Math.max(0, bounds.notBefore[order[k]!]!);
  }

  // Forward. The factors 0 and 1 and the maxima stand where an `if` on the link type would be guessed wrong too often.
  let finish = 0;
  for (let k = 0; k < count; k++) {
    const start = starts[k]!;
    const duration = laid[k]!;
    finish = Math.max(finish, start + duration);
    for (let link = firstLink[k]!, end = firstLink[k + 1]!; link < end; link++) {
      const j = linkTargets[link]!;
      const type = linkTypes[link]!;
      const run = (1 - (type & 1)) * duration + lags[link]! - (type >> 1) * laid[j]!;
      runs[link] = run;
      starts[j] = Math.max(starts[j]!, start + run);
    }
  }
  dates.finish = finish;

  // backward: the tail of an activity, and on the same way how far it can slip without moving anything else
  for (let k = count - 1; k >= 0; k--) {
    const start = starts[k]!;
    const duration = laid[k]!;
    let tail = duration;
    let slip = finish - (start + duration);
    for (let link = firstLink[k]!, end = firstLink[k + 1]!; link < end; link++) {
      const j = linkTargets[link]!;
      const run = runs[link]!;
      tail = Math.max(tail, run + tails[j]!);
      slip = Math.min(slip, starts[j]! - start - run);
    }
    tails[k] = tail;
    slips[k] = slip;
  }

  // back to the numbering of the activities: read here and there, written in one go
  const { earlyStarts, earlyFinishes, lateStarts, lateFinishes, totalFloats, freeFloats } = dates;
  const limit = bounds.finishBy ?? finish;
  const least = leastDifference(finish, limit);
  for (let i = 0; i < count; i++) {
    const k = places[i]!;
    const duration = durations[i]!;
    const earlyStart = starts[k]!;
    const latest = limit - tails[k]!;
    const float = latest - earlyStart;
    const hasFloat = Math.abs(float) > least;
    const lateStart = hasFloat ? latest : earlyStart;
    const slip = slips[k]!;
    earlyStarts[i] = earlyStart;
    earlyFinishes[i] = earlyStart + duration;
    lateStarts[i] = lateStart;
    lateFinishes[i] = lateStart + duration;
    totalFloats[i] = hasFloat ? float : 0;
    freeFloats[i] = slip > least ? slip : 0;
  }
  return dates;
}
