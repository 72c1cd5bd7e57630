import type { LevelReply } from '../../src/schedule/level.ts';
import type { LevelRequest } from '../../src/schedule/level-request.ts';

// Plain second ways to what `level` says, written from the definition of the task; nothing here is shared with it.

/** All that is wrong with a schedule, in words; nothing if it keeps every rule. */
export function scheduleFaults({ resources, activities }: LevelRequest, reply: LevelReply): string[] {
  const faults: string[] = [];
  if (reply.starts.map(({ id }) => id).join('\n') !== activities.map(({ id }) => id).join('\n')) {
    return ['the starts are not those of the activities, in their order'];
  }
  const startOf = new Map(reply.starts.map(({ id, start }) => [id, start]));
  const finishOf = new Map(activities.map(({ id, duration }) => [id, startOf.get(id)! + duration]));
  for (const { id, predecessors = [] } of activities) {
    const start = startOf.get(id)!;
    if (!Number.isInteger(start) || start < 0) faults.push(`${id} starts on day ${start}`);
    for (const before of predecessors) {
      if (finishOf.get(before)! > start)
        faults.push(`${id} starts on ${start}, before ${before} is finished`);
    }
  }
  const finish = Math.max(0, ...finishOf.values());
  if (reply.finish !== finish) faults.push(`finish is said to be ${reply.finish} and is ${finish}`);
  for (const { id: resource, capacity } of resources) {
    for (let day = 0; day < finish; day++) {
      let held = 0;
      for (const { id, demands = {} } of activities) {
        if (startOf.get(id)! <= day && day < finishOf.get(id)!) held += demands[resource] ?? 0;
      }
      if (held > capacity) faults.push(`day ${day} holds ${held} of ${resource}; there are ${capacity}`);
    }
  }
  const path = longestPathOf(activities);
  if (reply.longestPath !== path)
    faults.push(`longestPath is said to be ${reply.longestPath} and is ${path}`);
  if (finish < path) faults.push(`the finish ${finish} lies before the longest path ${path}`);
  if (!(reply.schedulesTried >= 1)) faults.push(`${reply.schedulesTried} schedules tried`);
  return faults;
}

type Activities = LevelRequest['activities'];

/** The days from the start of an activity to the end by the longest way, for every activity. */
function daysToEnd(activities: Activities): Map<string, number> {
  const days = new Map<string, number>();
  const of = (id: string): number => {
    if (!days.has(id)) {
      const later = activities.filter(({ predecessors = [] }) => predecessors.includes(id));
      const { duration } = activities.find((one) => one.id === id)!;
      days.set(id, duration + Math.max(0, ...later.map((one) => of(one.id))));
    }
    return days.get(id)!;
  };
  for (const { id } of activities) of(id);
  return days;
}

function longestPathOf(activities: Activities): number {
  return Math.max(0, ...daysToEnd(activities).values());
}

/**
 * The finish when activities are placed one by one, each as early as its predecessors and the resources allow, day by
 * day on a plain table.
 */
export function finishInOrder({ resources, activities }: LevelRequest, order: readonly string[]): number {
  const finishOf = new Map<string, number>();
  const held = new Map<string, number>();
  for (const id of order) {
    const { duration, demands = {}, predecessors = [] } = activities.find((one) => one.id === id)!;
    let start = Math.max(0, ...predecessors.map((before) => finishOf.get(before)!));
    const days = () => Array.from({ length: duration }, (_, k) => start + k);
    const enough = () =>
      resources.every(({ id: resource, capacity }) =>
        days().every((day) => (held.get(`${resource} ${day}`) ?? 0) + (demands[resource] ?? 0) <= capacity),
      );
    while (!enough()) start++;
    for (const { id: resource } of resources) {
      for (const day of days()) {
        const key = `${resource} ${day}`;
        held.set(key, (held.get(key) ?? 0) + (demands[resource] ?? 0));
      }
    }
    finishOf.set(id, start + duration);
  }
  return Math.max(0, ...finishOf.values());
}

/** The finish of the plain rule: of those that can be placed, always the one with the earliest latest finish. */
export function finishByLatestFinish(request: LevelRequest): number {
  const toEnd = daysToEnd(request.activities);
  const after = ({ id, duration }: Activities[number]) => toEnd.get(id)! - duration;
  const order: string[] = [];
  while (order.length < request.activities.length) {
    const ready = request.activities.filter(
      ({ id, predecessors = [] }) =>
        !order.includes(id) && predecessors.every((before) => order.includes(before)),
    );
    order.push(ready.reduce((one, other) => (after(other) > after(one) ? other : one)).id);
  }
  return finishInOrder(request, order);
}

/** The least finish of all, by every order of work there is: one of them gives it (Sprecher, Kolisch and Drexl 1995). */
export function leastFinish(request: LevelRequest): number {
  let least = Number.POSITIVE_INFINITY;
  const extend = (order: string[]) => {
    if (order.length === request.activities.length) least = Math.min(least, finishInOrder(request, order));
    for (const { id, predecessors = [] } of request.activities) {
      if (!order.includes(id) && predecessors.every((before) => order.includes(before)))
        extend([...order, id]);
    }
  };
  extend([]);
  return least;
}
