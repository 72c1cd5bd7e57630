import { byTime, type Observation, type Sample } from './history-law.ts';

/** What all others together count for at most, in observations of one's own. Common practice, no source. */
export const POOL_WEIGHT = 5;
/** So many others are taken one by one; more of them in groups of equal size, each at its middle one. */
const OTHERS_ALONE = 48;
const GROUPS = 32;

/** How much history there is. */
export interface Counts {
  finished: number;
  open: number;
}

/** What is known of one key: its own observations, one each, and those of the others, together as POOL_WEIGHT. */
export interface Known {
  own: Counts;
  others: Counts;
  /** what one of the others counts for */
  otherWeight: number;
  sample: Sample;
  /** how many are cut off later than the time asked about */
  openBeyond(time: number): number;
}

/** Observations by time, and the place of each one's key among the keys. */
interface Columns {
  readonly times: Float64Array;
  readonly finished: Uint8Array;
  readonly keys: Int32Array;
}

/** The observations of one kind of thing, each under what it has in common with some of the others. */
export class Records<K> {
  readonly #keys: K[] = [];
  readonly #places = new Map<K, number>();
  readonly #known = new Map<K, Known>();
  #added: (Observation & { key: number })[] = [];
  #columns: Columns | null = null;

  /** Notes one; a time below 0, or none, comes from wrong dates and tells nothing: it is left out. */
  add(key: K, time: number, finished: boolean): void {
    if (!(time >= 0)) return;
    let place = this.#places.get(key);
    if (place === undefined) {
      place = this.#keys.push(key) - 1;
      this.#places.set(key, place);
    }
    this.#added.push({ time, finished, key: place });
  }

  get keys(): readonly K[] {
    return this.#keys;
  }

  /**
   * What is known of a key.
   *
   * @param isLike  which others count at all; all of them where it is not given. Must be the same at every call
   */
  of(key: K, isLike: (other: K) => boolean = () => true): Known {
    let known = this.#known.get(key);
    if (!known) {
      const own = this.#places.get(key);
      const roles = Uint8Array.from(this.#keys, (other, place) =>
        place === own ? OWN : isLike(other) ? OTHER : LEFT_OUT,
      );
      known = knownOf(this.#inOrder(), roles);
      this.#known.set(key, known);
    }
    return known;
  }

  /** All of them as one's own, each for itself. */
  whole(isLike: (key: K) => boolean = () => true): Known {
    return knownOf(
      this.#inOrder(),
      Uint8Array.from(this.#keys, (key) => (isLike(key) ? OWN : LEFT_OUT)),
    );
  }

  /** All of them as one's own, with those of another history as the others. */
  beside(other: Records<unknown>): Known {
    const all = [...told(this.#inOrder(), 0), ...told(other.#inOrder(), 1)].sort(byTime);
    return knownOf(columnsOf(all), Uint8Array.of(OWN, OTHER));
  }

  #inOrder(): Columns {
    if (!this.#columns) {
      this.#columns = columnsOf(this.#added.sort(byTime));
      this.#added = [];
    }
    return this.#columns;
  }
}

function columnsOf(all: readonly (Observation & { key: number })[]): Columns {
  return {
    times: Float64Array.from(all, ({ time }) => time),
    finished: Uint8Array.from(all, ({ finished }) => Number(finished)),
    keys: Int32Array.from(all, ({ key }) => key),
  };
}

function told({ times, finished }: Columns, key: number): (Observation & { key: number })[] {
  return Array.from(times, (time, at) => ({ time, finished: finished[at] === 1, key }));
}

const LEFT_OUT = 0;
const OWN = 1;
const OTHER = 2;

/** @param roles  by key */
function knownOf({ times, finished, keys }: Columns, roles: Uint8Array): Known {
  const own: Counts = { finished: 0, open: 0 };
  const others: Counts = { finished: 0, open: 0 };
  const size = times.length;
  for (let at = 0; at < size; at++) {
    const role = roles[keys[at]!];
    if (role === LEFT_OUT) continue;
    const counts = role === OWN ? own : others;
    if (finished[at]) counts.finished++;
    else counts.open++;
  }
  const many = others.finished + others.open;
  const otherWeight = many === 0 ? 0 : Math.min(1, POOL_WEIGHT / many);
  return {
    own,
    others,
    otherWeight,
    sample: sampleOf({ times, finished, keys }, roles, others, otherWeight),
    openBeyond(time) {
      let count = 0;
      for (let at = 0; at < size; at++) {
        if (!finished[at] && times[at]! > time && roles[keys[at]!] !== LEFT_OUT) count++;
      }
      return count;
    },
  };
}

/** Thousands of others are told as a few dozen, so that a law is made quickly; their weight together stays. */
function sampleOf(
  { times: all, finished: ends, keys }: Columns,
  roles: Uint8Array,
  others: Counts,
  otherWeight: number,
): Sample {
  const groups = new Groups(others.finished + others.open > OTHERS_ALONE, others);
  const times: number[] = [];
  const finished: number[] = [];
  const weights: number[] = [];
  for (let at = 0; at < all.length; at++) {
    const role = roles[keys[at]!];
    if (role === LEFT_OUT) continue;
    const weight = role === OWN ? 1 : groups.next(ends[at] === 1) * otherWeight;
    if (weight === 0) continue;
    times.push(all[at]!);
    finished.push(ends[at]!);
    weights.push(weight);
  }
  return { times, finished, weights };
}

/** Observations in order, in groups of equal size, those that came and those cut off apart. */
class Groups {
  readonly #isOn: boolean;
  readonly #came: Cuts;
  readonly #open: Cuts;

  constructor(isOn: boolean, { finished, open }: Counts) {
    this.#isOn = isOn;
    this.#came = new Cuts(finished);
    this.#open = new Cuts(open);
  }

  /** How many the next one stands for: all of its group where it is the middle one of it, else none. */
  next(isFinished: boolean): number {
    if (!this.#isOn) return 1;
    return isFinished ? this.#came.next() : this.#open.next();
  }
}

/** So many things cut into groups. */
class Cuts {
  readonly #all: number;
  #place = 0;
  #group = 0;
  #middle = -1;
  #size = 0;

  constructor(all: number) {
    this.#all = all;
    this.#cut();
  }

  next(): number {
    if (this.#place++ !== this.#middle) return 0;
    const size = this.#size;
    this.#cut();
    return size;
  }

  #cut(): void {
    const groups = Math.min(this.#all, GROUPS);
    if (this.#group >= groups) return;
    const from = Math.floor((this.#group * this.#all) / groups);
    this.#group++;
    const to = Math.floor((this.#group * this.#all) / groups);
    this.#middle = (from + to - 1) >>> 1;
    this.#size = to - from;
  }
}
