import { NotComputable } from '../platform/not-computable.ts';
import type { LevelRequest } from './level-request.ts';
import { activityGraph } from './network.ts';

/** Neighbours of each activity: those of activity i are `ids[first[i]] .. ids[first[i + 1] - 1]`. */
export interface Neighbours {
  readonly first: Int32Array;
  readonly ids: Int32Array;
}

/** A resource that can become scarce: the units on hand each day, and what each activity holds while it runs. */
export interface ScarceResource {
  readonly capacity: number;
  readonly demands: Int32Array;
}

/** Activities numbered in an order of work: all that activity i waits for have smaller numbers. */
export interface LevelProject {
  readonly count: number;
  /** The place in the request of each activity. */
  readonly listed: Int32Array;
  /** Whole days. */
  readonly durations: Int32Array;
  readonly before: Neighbours;
  readonly after: Neighbours;
  /** Without those whose units are enough for all activities at once: they hold nobody up. */
  readonly scarce: readonly ScarceResource[];
}

const mostDays = 1_000_000;

/**
 * The project of a request, numbered in an order of work.
 *
 * @throws NotComputable  an id given twice, a predecessor or a resource that is not in the list, activities that wait in
 *                        a circle (named in order), a demand above the capacity, more days in sum than can be laid out
 */
export function levelProject({ resources, activities }: LevelRequest): LevelProject {
  const graph = activityGraph(
    activities.map(({ id, predecessors }) => ({
      id,
      predecessors: predecessors?.map((before) => ({ id: before })),
    })),
  );
  const demands = demandsOf({ resources, activities });
  const days = activities.reduce((sum, { duration }) => sum + duration, 0);
  if (days > mostDays) {
    throw new NotComputable(
      `the durations add up to ${days.toLocaleString('en')} days; at most ${mostDays.toLocaleString('en')} can be laid out`,
      { days },
    );
  }
  const { count, order: listed } = graph;
  const scarce = resources.flatMap(({ capacity }, k) => {
    const units = Int32Array.from(listed, (i) => (activities[i]!.duration > 0 ? demands[k]![i]! : 0));
    return units.reduce((sum, held) => sum + held, 0) > capacity ? [{ capacity, demands: units }] : [];
  });
  const after = { first: graph.firstLink, ids: graph.linkTargets };
  return {
    count,
    listed,
    durations: Int32Array.from(listed, (i) => activities[i]!.duration),
    before: reversed(count, after),
    after,
    scarce,
  };
}

/** The units of each resource that each activity holds, both as listed. */
function demandsOf({ resources, activities }: LevelRequest): Int32Array[] {
  const numbers = new Map<string, number>();
  for (const { id } of resources) {
    if (numbers.has(id))
      throw new NotComputable(`resource ${id} is in the list more than once`, { resource: id });
    numbers.set(id, numbers.size);
  }
  const units = resources.map(() => new Int32Array(activities.length));
  activities.forEach(({ id, demands = {} }, i) => {
    for (const [resource, demand] of Object.entries(demands)) {
      const k = numbers.get(resource);
      if (k === undefined) {
        throw new NotComputable(`activity ${id} needs ${resource}, which is not in the list of resources`, {
          id,
          resource,
        });
      }
      const { capacity } = resources[k]!;
      if (demand > capacity) {
        throw new NotComputable(`activity ${id} needs ${demand} of ${resource}; there are only ${capacity}`, {
          id,
          resource,
          demand,
          capacity,
        });
      }
      units[k]![i] = demand;
    }
  });
  return units;
}

function reversed(count: number, { first, ids }: Neighbours): Neighbours {
  const reversedFirst = new Int32Array(count + 1);
  for (const to of ids) reversedFirst[to + 1]!++;
  for (let i = 0; i < count; i++) reversedFirst[i + 1]! += reversedFirst[i]!;
  const next = reversedFirst.slice(0, count);
  const reversedIds = new Int32Array(ids.length);
  for (let i = 0; i < count; i++) {
    for (let link = first[i]!; link < first[i + 1]!; link++) reversedIds[next[ids[link]!]!++] = i;
  }
  return { first: reversedFirst, ids: reversedIds };
}
