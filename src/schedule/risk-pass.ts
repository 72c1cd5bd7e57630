import { linksInto, type NetworkGraph } from './network-graph.ts';
import { leastDifference } from './network-pass.ts';

/** Runs that are taken through the network together, so that each link is looked up once for all of them. */
export const runsTogether = 4;

/**
 * Makes a pass like `networkPass` for a few runs at a time, without floats but with who is critical.
 *
 * The pass takes durations (value r of place k in the order of work at k * runsTogether + r), how many of the runs
 * count, and adds 1 at the place of an activity for each of them in which it has no float. It returns the finishes,
 * which its next call overwrites.
 *
 * Without float are those at the finish, and those a link holds to one of them with no time to spare: found by walking
 * back from the finish, which visits few activities where a whole backward pass would visit all.
 */
export function passOfRuns(graph: NetworkGraph) {
  const { count } = graph;
  const { firstLink, sources, types, lags } = linksInto(graph);
  const starts = new Float64Array(count * runsTogether);
  const ends = new Float64Array(count * runsTogether);
  const finishes = new Float64Array(runsTogether);
  const seenIn = new Uint32Array(count);
  const toVisit = new Int32Array(count);
  let walk = 0;

  function datesOf(durations: Float64Array): void {
    let finish0 = 0;
    let finish1 = 0;
    let finish2 = 0;
    let finish3 = 0;
    for (let k = 0; k < count; k++) {
      const at = k * runsTogether;
      const duration0 = durations[at]!;
      const duration1 = durations[at + 1]!;
      const duration2 = durations[at + 2]!;
      const duration3 = durations[at + 3]!;
      let start0 = 0;
      let start1 = 0;
      let start2 = 0;
      let start3 = 0;
      for (let link = firstLink[k]!, last = firstLink[k + 1]!; link < last; link++) {
        const from = types[link]! & 1 ? starts : ends;
        const back = types[link]! >> 1;
        const source = sources[link]! * runsTogether;
        const lag = lags[link]!;
        start0 = later(start0, from[source]! + lag - back * duration0);
        start1 = later(start1, from[source + 1]! + lag - back * duration1);
        start2 = later(start2, from[source + 2]! + lag - back * duration2);
        start3 = later(start3, from[source + 3]! + lag - back * duration3);
      }
      starts[at] = start0;
      starts[at + 1] = start1;
      starts[at + 2] = start2;
      starts[at + 3] = start3;
      ends[at] = start0 + duration0;
      ends[at + 1] = start1 + duration1;
      ends[at + 2] = start2 + duration2;
      ends[at + 3] = start3 + duration3;
      finish0 = later(finish0, start0 + duration0);
      finish1 = later(finish1, start1 + duration1);
      finish2 = later(finish2, start2 + duration2);
      finish3 = later(finish3, start3 + duration3);
    }
    finishes[0] = finish0;
    finishes[1] = finish1;
    finishes[2] = finish2;
    finishes[3] = finish3;
  }

  function countCritical(durations: Float64Array, r: number, criticalAt: Uint32Array): void {
    const least = leastDifference(finishes[r]!);
    const last = finishes[r]! - least;
    walk++;
    let waiting = 0;
    for (let k = 0; k < count; k++) {
      if (ends[k * runsTogether + r]! < last) continue;
      seenIn[k] = walk;
      toVisit[waiting++] = k;
    }
    while (waiting > 0) {
      const k = toVisit[--waiting]!;
      criticalAt[k]!++;
      const start = starts[k * runsTogether + r]! - least;
      for (let link = firstLink[k]!, end = firstLink[k + 1]!; link < end; link++) {
        const source = sources[link]!;
        if (seenIn[source] === walk) continue;
        const from = types[link]! & 1 ? starts : ends;
        const back = types[link]! & 2 ? durations[k * runsTogether + r]! : 0;
        if (from[source * runsTogether + r]! + lags[link]! - back < start) continue;
        seenIn[source] = walk;
        toVisit[waiting++] = source;
      }
    }
  }

  return (durations: Float64Array, wanted: number, criticalAt: Uint32Array): Float64Array => {
    datesOf(durations);
    for (let r = 0; r < wanted; r++) countCritical(durations, r, criticalAt);
    return finishes;
  };
}

/** The greater of two, `one` being 0 or more. `Math.max` is a branch, which random durations make it guess wrong. */
function later(one: number, other: number): number {
  const by = other - one;
  return one + (by + Math.abs(by)) / 2;
}
