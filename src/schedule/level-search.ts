import { listWork } from './level-lists.ts';
import { serialPass } from './level-pass.ts';
import { breed, chanceOf } from './level-population.ts';
import type { LevelProject } from './level-project.ts';

export interface LevelSearch {
  /** Days from 0 on which each activity of the project is finished. */
  finishes: Int32Array;
  finish: number;
  schedulesTried: number;
}

/** What a search may cost and where it can stop. */
export interface SearchLimits {
  /** a finish that no schedule comes below */
  bound: number;
  tails: Int32Array;
  /** 0 .. 2^32 - 1 */
  seed: number;
  /** the share of what it may cost that is used up after so many schedules: at 1 or more it ends */
  spent(schedulesTried: number): number;
}

/**
 * Looks for the schedule with the least finish. It makes at least one and ends when `spent` says so, or when one
 * reaches the bound. Same project, same seed and same answers of `spent`: same result.
 *
 * A population of activity lists is bred, see `breed`. Each child is laid out by the serial pass and then justified to
 * the end and back to the beginning for as long as that makes it shorter; what comes out goes back into the list.
 *
 * Source: justification and the return to the list after it, Valls, Ballestin and Quintanilla, "Justification and RCPSP:
 * a technique that pays" (2005).
 */
export function levelSearch(project: LevelProject, limits: SearchLimits): LevelSearch {
  const { count, durations, before, after, scarce } = project;
  const { bound, tails, spent } = limits;
  const chance = chanceOf(limits.seed);
  const lists = listWork(project, tails, chance);
  const pass = serialPass(project);
  const sorted = orderByFinish(project);

  const best = new Int32Array(count);
  let bestFinish = Number.POSITIVE_INFINITY;
  let tried = 0;
  const ended = () => bestFinish <= bound || spent(tried) >= 1;
  const list = new Int32Array(count);
  const backwards = new Int32Array(count);
  const finishes = new Int32Array(count);
  const backwardFinishes = new Int32Array(count);

  /** Lays `list` out from day 0. */
  const laidOut = () => {
    const finish = pass(list, before, finishes);
    tried++;
    if (finish < bestFinish) {
      bestFinish = finish;
      best.set(finishes);
    }
    return finish;
  };
  /** Lays `list` out and justifies; leaves `list` in the order of the starts in `finishes`. */
  const improved = () => {
    let finish = laidOut();
    let earlier = Number.POSITIVE_INFINITY;
    while (finish < earlier && !ended()) {
      earlier = finish;
      sorted.fromLast(list, finishes, finish, backwards);
      const length = pass(backwards, after, backwardFinishes);
      tried++;
      sorted.fromLast(backwards, backwardFinishes, length, list);
      finish = laidOut();
    }
    sorted.byStart(list, finishes, finish, backwards);
    list.set(backwards);
    return finish;
  };

  const work = new Float64Array(count);
  for (const { capacity, demands } of scarce) {
    for (let i = 0; i < count; i++) work[i]! += (demands[i]! * durations[i]!) / capacity;
  }
  lists.byLatestFinish(list);
  breed({
    count,
    lists,
    chance,
    list,
    finishes,
    durations,
    work,
    improved,
    ended,
    spent: () => spent(tried),
    tried: () => tried,
  });
  return { finishes: best, finish: bestFinish, schedulesTried: tried };
}

/** Sorts lists by the days of a schedule, by counting: linear in activities and days. */
function orderByFinish({ count, durations }: LevelProject) {
  const places = new Int32Array(durations.reduce((sum, duration) => sum + duration, 2));
  return {
    /** Those that finish last first, for a pass from the other end; at one day in the list's order, turned round. */
    fromLast(list: Int32Array, finishes: Int32Array, last: number, ordered: Int32Array): void {
      places.fill(0, 0, last + 2);
      for (let i = 0; i < count; i++) places[last - finishes[i]! + 1]!++;
      for (let day = 1; day <= last; day++) places[day]! += places[day - 1]!;
      for (let place = count - 1; place >= 0; place--) {
        const i = list[place]!;
        ordered[places[last - finishes[i]!]!++] = i;
      }
    },
    /** Those that start first first; on one day in the list's order. */
    byStart(list: Int32Array, finishes: Int32Array, last: number, ordered: Int32Array): void {
      places.fill(0, 0, last + 2);
      for (let i = 0; i < count; i++) places[finishes[i]! - durations[i]! + 1]!++;
      for (let day = 1; day <= last; day++) places[day]! += places[day - 1]!;
      for (let place = 0; place < count; place++) {
        const i = list[place]!;
        ordered[places[finishes[i]! - durations[i]!]!++] = i;
      }
    },
  };
}
