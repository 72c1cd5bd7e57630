/**
 * A slow, plain second way to the figures of `network`: every activity is two points in time, its start and its finish;
 * every rule is "this point at least so long after that one"; Bellman and Ford's repeated relaxation finds the earliest
 * and latest times. Drag by doing the whole sum again without the duration.
 */
import type { NetworkRequest } from '../../src/schedule/network-request.ts';

interface Rule {
  from: number;
  to: number;
  days: number;
}

const start = (i: number) => 2 * i;
const finish = (i: number) => 2 * i + 1;

function rules({ activities }: NetworkRequest): Rule[] {
  const found: Rule[] = [];
  activities.forEach((activity, j) => {
    // unbroken: the finish is neither sooner nor later than the duration after the start
    found.push({ from: start(j), to: finish(j), days: activity.duration });
    found.push({ from: finish(j), to: start(j), days: -activity.duration });
    for (const { id, type = 'FS', lag = 0 } of activity.predecessors ?? []) {
      const i = activities.findIndex((other) => other.id === id);
      found.push({
        from: type[0] === 'F' ? finish(i) : start(i),
        to: type[1] === 'F' ? finish(j) : start(j),
        days: lag,
      });
    }
  });
  return found;
}

function relaxed(times: number[], relax: (times: number[]) => boolean): number[] {
  for (let round = 0; relax(times); round++)
    if (round > times.length + 1) throw new Error('no end to relaxing');
  return times;
}

function earliest(request: NetworkRequest): number[] {
  const all = rules(request);
  const times = request.activities.flatMap(({ notBefore = 0, duration }) => {
    const first = Math.max(0, notBefore);
    return [first, first + duration];
  });
  return relaxed(times, (at) => {
    let moved = false;
    for (const { from, to, days } of all) {
      if (at[from]! + days > at[to]! + 1e-9) {
        at[to] = at[from]! + days;
        moved = true;
      }
    }
    return moved;
  });
}

function latest(request: NetworkRequest, limit: number): number[] {
  const all = rules(request);
  const times = request.activities.flatMap(({ duration }) => [limit - duration, limit]);
  return relaxed(times, (at) => {
    let moved = false;
    for (const { from, to, days } of all) {
      if (at[to]! - days < at[from]! - 1e-9) {
        at[from] = at[to]! - days;
        moved = true;
      }
    }
    return moved;
  });
}

export const plainFinish = (request: NetworkRequest): number => Math.max(0, ...earliest(request));

/** How far activity i can slip with every other start where it was, by trying the rules one by one. */
function freeFloat(request: NetworkRequest, times: number[], end: number, i: number): number {
  let free = end - times[finish(i)]!;
  for (const { from, to, days } of rules(request)) {
    const leaves = from === start(i) || from === finish(i);
    const stays = to !== start(i) && to !== finish(i);
    if (leaves && stays) free = Math.min(free, times[to]! - times[from]! - days);
  }
  return free;
}

export function plainNetwork(request: NetworkRequest) {
  const early = earliest(request);
  const end = Math.max(0, ...early);
  const late = latest(request, request.finishBy ?? end);
  return {
    finish: end,
    activities: request.activities.map(({ id }, i) => {
      const totalFloat = late[start(i)]! - early[start(i)]!;
      const critical = totalFloat <= 1e-7;
      const without = request.activities.map((activity, k) =>
        k === i ? { ...activity, duration: 0 } : activity,
      );
      return {
        id,
        earlyStart: early[start(i)]!,
        earlyFinish: early[finish(i)]!,
        lateStart: late[start(i)]!,
        lateFinish: late[finish(i)]!,
        totalFloat,
        freeFloat: freeFloat(request, early, end, i),
        critical,
        drag: critical ? end - plainFinish({ ...request, activities: without }) : 0,
      };
    }),
  };
}
