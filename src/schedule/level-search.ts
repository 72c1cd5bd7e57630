import { type Chance, listWork } from './level-lists.ts';
import { serialPass } from './level-pass.ts';
import type { LevelProject } from './level-project.ts';
import { fillUniform } from './risk-random.ts';

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

const fewestMembers = 20;
const mostMembers = 600;
/** children for each member, none better than the best, after which the members are given up for new ones */
const staleChildren = 30;
const swapOneIn = 200;
const longestShuffle = 32;
const windowsCompared = 3;
const worstOf = 10;

/**
 * Looks for the schedule with the least finish. It makes at least one and ends when `spent` says so, or when one
 * reaches the bound. Same project, same seed and same answers of `spent`: same result.
 *
 * A population of activity lists is bred: a child takes one stretch of places from its father, a stretch in which his
 * schedule makes dense use of the resources, and the rest from its mother; now and then neighbours are exchanged or a
 * stretch is shuffled. Each child is laid out by the serial pass and then justified to the end and back to the
 * beginning for as long as that makes it shorter; what comes out goes back into the list. A child that is not there yet
 * takes the place of a bad member. When nothing better has come for long, all begins anew.
 *
 * Sources: Hartmann (1998), see `listWork`; justification, Valls, Ballestin and Quintanilla, "Justification and RCPSP: a
 * technique that pays" (2005); stretches by their use of resources and a return to the list after justification, the
 * same authors, "A hybrid genetic algorithm for the resource-constrained project scheduling problem" (2008).
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

  const members: Int32Array[] = [];
  const memberFinishes: Int32Array[] = [];
  const lengths = new Int32Array(mostMembers);
  const prints = new Int32Array(mostMembers);
  let size = 0;
  const settle = (at: number, finish: number, print: number) => {
    if (at === members.length) {
      members.push(new Int32Array(count));
      memberFinishes.push(new Int32Array(count));
    }
    members[at]!.set(list);
    memberFinishes[at]!.set(finishes);
    lengths[at] = finish;
    prints[at] = print;
  };
  const betterOfTwo = () => {
    const one = chance(size);
    const other = chance(size);
    return lengths[other]! < lengths[one]! ? other : one;
  };
  const worstOfSome = () => {
    let worst = chance(size);
    for (let k = 1; k < worstOf; k++) {
      const other = chance(size);
      if (lengths[other]! > lengths[worst]!) worst = other;
    }
    return worst;
  };
  const isMember = (finish: number, print: number) => {
    for (let at = 0; at < size; at++) if (prints[at] === print && lengths[at] === finish) return true;
    return false;
  };

  const work = new Float64Array(count);
  for (const { capacity, demands } of scarce) {
    for (let i = 0; i < count; i++) work[i]! += (demands[i]! * durations[i]!) / capacity;
  }
  /** The place from which on `length` activities of a member make dense use of the resources: the best of a few. */
  const denseStretch = (member: number, length: number) => {
    const order = members[member]!;
    let chosen = 0;
    let densest = -1;
    for (let k = 0; k < windowsCompared; k++) {
      const from = chance(count - length + 1);
      let sum = 0;
      for (let place = from; place < from + length; place++) sum += work[order[place]!]!;
      const first = order[from]!;
      const last = order[from + length - 1]!;
      const days = memberFinishes[member]![last]! - memberFinishes[member]![first]! + durations[first]!;
      const density = sum / Math.max(1, days);
      if (density > densest) {
        densest = density;
        chosen = from;
      }
    }
    return chosen;
  };
  const breed = () => {
    const mother = betterOfTwo();
    let father = betterOfTwo();
    if (father === mother) father = (father + 1) % size;
    const length = Math.min(count, 1 + (count >> 2) + chance(count >> 1));
    lists.cross(members[mother]!, members[father]!, denseStretch(father, length), length, list);
    lists.swapNeighbours(list, swapOneIn);
    if (chance(2) === 0) lists.shuffleStretch(list, 3 + chance(longestShuffle - 2));
  };

  lists.byLatestFinish(list);
  let finish = improved();
  let foreseen = 0;
  while (!ended()) {
    size = 0;
    settle(size++, finish, printOf(finishes));
    while (size < membersFor(foreseen, count) && !ended()) {
      const triedBefore = tried;
      const spentBefore = spent(tried);
      lists.sample(list, 1 + chance(4));
      finish = improved();
      settle(size++, finish, printOf(finishes));
      // the quickest member tells how many schedules there is time for: at first code is slow, and others may interrupt
      const cost = spent(tried) - spentBefore;
      if (cost > 0) foreseen = Math.max(foreseen, (tried - triedBefore) / cost);
    }
    let shortest = Number.POSITIVE_INFINITY;
    for (let stale = 0; stale < staleChildren * size && !ended(); stale++) {
      breed();
      finish = improved();
      if (finish < shortest) {
        shortest = finish;
        stale = 0;
      }
      const print = printOf(finishes);
      if (isMember(finish, print)) continue;
      const worst = worstOfSome();
      if (finish <= lengths[worst]!) settle(worst, finish, print);
    }
    lists.sample(list, 1);
    finish = improved();
  }
  return { finishes: best, finish: bestFinish, schedulesTried: tried };
}

/** How many members are worth having: more with more schedules to come, fewer in a large project (found by trial). */
function membersFor(schedules: number, count: number): number {
  return Math.min(mostMembers, Math.max(fewestMembers, Math.sqrt((100 * schedules) / count)));
}

/** A number that tells schedules apart, but for rare chances. */
function printOf(finishes: Int32Array): number {
  let print = 0;
  for (let i = 0; i < finishes.length; i++) print = (Math.imul(print, 31) + finishes[i]!) | 0;
  return print;
}

/** Uniform numbers of one stream, the same ones for the same seed. */
function chanceOf(seed: number): Chance {
  const numbers = new Uint32Array(1024);
  let next = numbers.length;
  let block = 0;
  return (below) => {
    if (next === numbers.length) {
      fillUniform(numbers, seed, 0, block++);
      next = 0;
    }
    return Math.floor((numbers[next++]! / 2 ** 32) * below);
  };
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
