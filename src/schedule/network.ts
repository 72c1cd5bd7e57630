import { NotComputable } from '../platform/not-computable.ts';
import { networkDrag } from './network-drag.ts';
import { linkCode, type NetworkGraph, networkGraph } from './network-graph.ts';
import { networkPass } from './network-pass.ts';
import type { NetworkRequest, Predecessor } from './network-request.ts';

/** Days from 0. See `network`. */
export interface NetworkReply {
  finish: number;
  activities: {
    id: string;
    earlyStart: number;
    earlyFinish: number;
    lateStart: number;
    lateFinish: number;
    totalFloat: number;
    freeFloat: number;
    critical: boolean;
    drag: number;
  }[];
  criticalIds: string[];
}

/**
 * The dates, floats and drag of a network of activities: the critical path method.
 *
 * @param request  durations in days >= 0; links FS (the default), SS, FF or SF with a lag, which may be negative; an
 *                 activity is not split; no start before 0 or its `notBefore`
 * @returns        offsets in days from 0, activities in the order given.
 *                 `finish`: the greatest early finish. Late dates count back from `finishBy`, or from `finish`.
 *                 `totalFloat`: late start - early start. `freeFloat`: how far it can slip with no other early date and
 *                 not the finish moving. `critical`: no total float (below 0 when `finishBy` cannot be kept).
 *                 `drag`: by how much the finish comes nearer if this took no time, 0 when not critical; negative
 *                 when, through links to finishes and from starts, a shorter activity makes the rest later
 * @throws NotComputable  an id given twice, a predecessor that is not in the list, activities that wait in a circle
 *                 (named in order), dates too large to count
 *
 * Source: see `networkPass` and `networkDrag`.
 * Example: A of 2 days, then B of 3 -> finish 5, both critical, drags 2 and 3.
 */
export function network(request: NetworkRequest): NetworkReply {
  const { activities, finishBy } = request;
  const graph = activityGraph(activities);
  const durations = Float64Array.from(activities, (activity) => activity.duration);
  const bounds = {
    notBefore: Float64Array.from(activities, (activity) => activity.notBefore ?? 0),
    finishBy,
  };
  const dates = networkPass(graph, durations, bounds);
  if (!Number.isFinite(dates.finish - (finishBy ?? 0)))
    throw new NotComputable('the days add up to more than can be counted');
  const drags = networkDrag(graph, bounds, dates);

  const criticalIds: string[] = [];
  const rows = activities.map(({ id }, i) => {
    const critical = dates.totalFloats[i]! <= 0;
    if (critical) criticalIds.push(id);
    return {
      id,
      earlyStart: dates.earlyStarts[i]!,
      earlyFinish: dates.earlyFinishes[i]!,
      lateStart: dates.lateStarts[i]!,
      lateFinish: dates.lateFinishes[i]!,
      totalFloat: dates.totalFloats[i]!,
      freeFloat: dates.freeFloats[i]!,
      critical,
      drag: drags[i]!,
    };
  });
  return { finish: dates.finish, activities: rows, criticalIds };
}

/**
 * The graph of activities that name their predecessors, numbered as listed.
 *
 * @throws NotComputable  an id given twice, a predecessor that is not in the list, activities that wait in a circle
 */
export function activityGraph(
  activities: readonly { id: string; predecessors?: Predecessor[] }[],
): NetworkGraph {
  const numbers = new Map<string, number>();
  let linkCount = 0;
  activities.forEach(({ id, predecessors }, i) => {
    if (numbers.has(id)) throw new NotComputable(`activity ${id} is in the list more than once`, { id });
    numbers.set(id, i);
    linkCount += predecessors?.length ?? 0;
  });
  const sources = new Int32Array(linkCount);
  const targets = new Int32Array(linkCount);
  const types = new Uint8Array(linkCount);
  const lags = new Float64Array(linkCount);
  let link = 0;
  activities.forEach(({ id, predecessors = [] }, i) => {
    for (const predecessor of predecessors) {
      const source = numbers.get(predecessor.id);
      if (source === undefined) {
        throw new NotComputable(`activity ${id} waits for ${predecessor.id}, which is not in the list`, {
          id,
          predecessor: predecessor.id,
        });
      }
      sources[link] = source;
      targets[link] = i;
      types[link] = linkCode[predecessor.type ?? 'FS'];
      lags[link] = predecessor.lag ?? 0;
      link++;
    }
  });
  return networkGraph(activities.length, { sources, targets, types, lags }, (i) => activities[i]!.id);
}
