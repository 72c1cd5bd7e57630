import type { Chance, ListWork } from './level-lists.ts';
import { fillUniform } from './risk-random.ts';

/** What is bred: lists of activities, each laid out and improved in a way the population need not know. */
export interface Breed {
  count: number;
  lists: ListWork;
  chance: Chance;
  /** the list to be laid out; `improved` leaves there the order that came out of it */
  list: Int32Array;
  /** filled by `improved`: days on which activities are finished, from any beginning */
  finishes: Int32Array;
  /** days by activity */
  durations: Int32Array;
  /** how much of what is scarce each activity takes, in all its days */
  work: Float64Array;
  /** lays `list` out and improves it; gives its score, the less the better, a whole number of 32 bits */
  improved(): number;
  /** whether nothing better is to be found or the search has had its share */
  ended(): boolean;
  /** the share of what the search may cost that is used up */
  spent(): number;
  /** schedules laid out */
  tried(): number;
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
 * Breeds lists of activities until the search is ended; whoever lays them out keeps the best.
 *
 * A child takes one stretch of places from its father, a stretch in which his schedule makes dense use of the resources,
 * and the rest from its mother; now and then neighbours are exchanged or a stretch is shuffled. A child that is not
 * there yet takes the place of a bad member. When nothing better has come for long, all begins anew. `list` is to hold
 * a first list.
 *
 * Sources: Hartmann (1998), see `listWork`; stretches by their use of resources, Valls, Ballestin and Quintanilla, "A
 * hybrid genetic algorithm for the resource-constrained project scheduling problem" (2008).
 */
export function breed(of: Breed): void {
  const { count, lists, chance, list, finishes, durations, work, improved, ended } = of;
  const members: Int32Array[] = [];
  const memberFinishes: Int32Array[] = [];
  const scores = new Int32Array(mostMembers);
  const prints = new Int32Array(mostMembers);
  let size = 0;
  const settle = (at: number, score: number, print: number) => {
    if (at === members.length) {
      members.push(new Int32Array(count));
      memberFinishes.push(new Int32Array(count));
    }
    members[at]!.set(list);
    memberFinishes[at]!.set(finishes);
    scores[at] = score;
    prints[at] = print;
  };
  const betterOfTwo = () => {
    const one = chance(size);
    const other = chance(size);
    return scores[other]! < scores[one]! ? other : one;
  };
  const worstOfSome = () => {
    let worst = chance(size);
    for (let k = 1; k < worstOf; k++) {
      const other = chance(size);
      if (scores[other]! > scores[worst]!) worst = other;
    }
    return worst;
  };
  const isMember = (score: number, print: number) => {
    for (let at = 0; at < size; at++) if (prints[at] === print && scores[at] === score) return true;
    return false;
  };

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
  const child = () => {
    const mother = betterOfTwo();
    let father = betterOfTwo();
    if (father === mother) father = (father + 1) % size;
    const length = Math.min(count, 1 + (count >> 2) + chance(count >> 1));
    lists.cross(members[mother]!, members[father]!, denseStretch(father, length), length, list);
    lists.swapNeighbours(list, swapOneIn);
    if (chance(2) === 0) lists.shuffleStretch(list, 3 + chance(longestShuffle - 2));
  };

  let score = improved();
  let foreseen = 0;
  while (!ended()) {
    size = 0;
    settle(size++, score, printOf(finishes));
    while (size < membersFor(foreseen, count) && !ended()) {
      const triedBefore = of.tried();
      const spentBefore = of.spent();
      lists.sample(list, 1 + chance(4));
      score = improved();
      settle(size++, score, printOf(finishes));
      // the quickest member tells how many schedules there is time for: at first code is slow, and others may interrupt
      const cost = of.spent() - spentBefore;
      if (cost > 0) foreseen = Math.max(foreseen, (of.tried() - triedBefore) / cost);
    }
    let least = Number.POSITIVE_INFINITY;
    for (let stale = 0; stale < staleChildren * size && !ended(); stale++) {
      child();
      score = improved();
      if (score < least) {
        least = score;
        stale = 0;
      }
      const print = printOf(finishes);
      if (isMember(score, print)) continue;
      const worst = worstOfSome();
      if (score <= scores[worst]!) settle(worst, score, print);
    }
    lists.sample(list, 1);
    score = improved();
  }
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
export function chanceOf(seed: number): Chance {
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
