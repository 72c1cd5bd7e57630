import type { LevelProject, Neighbours } from './level-project.ts';

/**
 * Lays activities out one by one, each on the first days on which all it waits for have finished and enough of every
 * resource is free.
 *
 * @param list      every activity once, none before one it waits for
 * @param before    what each waits for: the project's `before`, or its `after` to work from the end backwards
 * @param finishes  filled: day on which each is finished, counted from where the pass begins
 * @returns         the greatest finish
 */
export type SerialPass = (list: Int32Array, before: Neighbours, finishes: Int32Array) => number;

/**
 * Serial schedule generation on a profile of free units a day.
 *
 * Several resources share one 32-bit number for each day: a field for the free units of each with a guard bit on top,
 * which is always set. Taking a demand away leaves all guard bits set exactly when there is enough of every resource, so
 * one subtraction asks for all of them.
 *
 * The arrays are made once; a pass allocates nothing.
 *
 * Source: serial scheme, Kelley (1963), as in Kolisch and Hartmann, "Heuristic algorithms for the resource-constrained
 * project scheduling problem: classification and computational analysis" (1999).
 */
export function serialPass(project: LevelProject): SerialPass {
  const words = packed(project);
  return words.length === 1 ? passOnOneWord(project, words[0]!) : passOnWords(project, words);
}

/** Some resources in one number: what each activity takes from it, what an empty day has, and its guard bits. */
interface Word {
  guards: number;
  whole: number;
  needs: Int32Array;
}

/** Puts resources into as few numbers of 32 bits as come out when the widest go first. */
function packed({ count, scarce }: LevelProject): Word[] {
  const words: (Word & { bits: number })[] = [];
  const width = (capacity: number) => 33 - Math.clz32(capacity);
  for (const { capacity, demands } of [...scarce].sort((one, other) => other.capacity - one.capacity)) {
    const bits = width(capacity);
    let word = words.find((some) => some.bits + bits <= 32);
    if (!word) {
      word = { bits: 0, guards: 0, whole: 0, needs: new Int32Array(count) };
      words.push(word);
    }
    const guard = 1 << (word.bits + bits - 1);
    word.guards |= guard;
    word.whole |= guard | (capacity << word.bits);
    for (let i = 0; i < count; i++) word.needs[i]! |= demands[i]! << word.bits;
    word.bits += bits;
  }
  return words;
}

/**
 * The first day, from one day on, with room for a need on all days of a duration.
 *
 * Days of a candidate are asked from the last to the first: a full day rules out every start up to it, and no day is
 * asked twice.
 */
function firstRoom(free: Int32Array, need: number, guards: number, from: number, duration: number): number {
  let start = from;
  // days of the candidate below `unknown` are known to have room, as are those above `day`
  let unknown = start;
  let day = start + duration - 1;
  while (day >= unknown) {
    if (((free[day]! - need) & guards) === guards) day--;
    else {
      unknown = start + duration;
      start = day + 1;
      day += duration;
    }
  }
  return start;
}

function passOnOneWord({ count, durations }: LevelProject, word: Word): SerialPass {
  const { guards, whole, needs } = word;
  const free = new Int32Array(sumOf(durations) + 1).fill(whole);
  let used = 0;
  return (list, { first, ids }, finishes) => {
    free.fill(whole, 0, used);
    used = 0;
    for (let k = 0; k < count; k++) {
      const i = list[k]!;
      const duration = durations[i]!;
      const need = needs[i]!;
      let start = 0;
      for (let link = first[i]!, end = first[i + 1]!; link < end; link++) {
        const finish = finishes[ids[link]!]!;
        if (finish > start) start = finish;
      }
      if (need !== 0) {
        start = firstRoom(free, need, guards, start, duration);
        for (let day = start, end = start + duration; day < end; day++) free[day]! -= need;
      }
      const finish = start + duration;
      finishes[i] = finish;
      if (finish > used) used = finish;
    }
    return used;
  };
}

function passOnWords({ count, durations }: LevelProject, words: readonly Word[]): SerialPass {
  const profiles = words.map(({ whole }) => new Int32Array(sumOf(durations) + 1).fill(whole));
  const needed = Array.from({ length: count }, (_, i) =>
    Int32Array.from(words.keys()).filter((w) => words[w]!.needs[i] !== 0),
  );
  let used = 0;
  return (list, { first, ids }, finishes) => {
    for (let w = 0; w < words.length; w++) profiles[w]!.fill(words[w]!.whole, 0, used);
    used = 0;
    for (let k = 0; k < count; k++) {
      const i = list[k]!;
      const duration = durations[i]!;
      let start = 0;
      for (let link = first[i]!, end = first[i + 1]!; link < end; link++) {
        const finish = finishes[ids[link]!]!;
        if (finish > start) start = finish;
      }
      // one number after another moves the start on, until none of them does any more
      const own = needed[i]!;
      const most = own.length;
      for (let u = 0, agreed = 0; agreed < most; u = u + 1 === most ? 0 : u + 1) {
        const { guards, needs } = words[own[u]!]!;
        const room = firstRoom(profiles[own[u]!]!, needs[i]!, guards, start, duration);
        agreed = room === start ? agreed + 1 : 1;
        start = room;
      }
      const finish = start + duration;
      for (let u = 0; u < most; u++) {
        const free = profiles[own[u]!]!;
        const need = words[own[u]!]!.needs[i]!;
        for (let day = start; day < finish; day++) free[day]! -= need;
      }
      finishes[i] = finish;
      if (finish > used) used = finish;
    }
    return used;
  };
}

const sumOf = (durations: Int32Array) => durations.reduce((sum, duration) => sum + duration, 0);
